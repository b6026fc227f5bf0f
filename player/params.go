package player

// Params are what self-play fits of the strong player.
type Params struct {
	// Horizon is the part of the wall within which a hand must come, 0 to 1.
	Horizon float64 `json:"horizon"`
	// LetGo is the share of tiles that others discard when they draw one we want.
	LetGo float64 `json:"let_go"`
	// JokerShare is how likely an unseen joker comes and is free for one part, as against a natural.
	JokerShare float64 `json:"joker_share"`
	// Points is the exponent with which a hand's points weigh; 0 plays to win often.
	Points float64 `json:"points"`
	// ClaimGain is by how much a claim must raise the value, as a factor.
	ClaimGain float64 `json:"claim_gain"`
	// Hold is the part of the value that a pass may cost per tile before the tile is held back: for
	// blind passes, for stopping, for the courtesy.
	Hold float64 `json:"hold"`
	// Slack is how far beyond the cheapest variant others count, in units of fit.Cost.
	Slack int `json:"slack"`
	// Lines is the most variants that count, the cheapest; fewer are quicker.
	Lines int `json:"lines"`
}

// General plays a card that was not tuned.
var General = Params{Horizon: 0.3, LetGo: 0.5, JokerShare: 0.4, Points: 0, ClaimGain: 1.3, Hold: 0.25, Slack: 10, Lines: 48}
