package player

import "fmt"

// Params are what self-play fits of the strong player.
type Params struct {
	// Horizon is the part of the wall within which a hand must come, above 0 to 1.
	Horizon float64 `json:"horizon"`
	// LetGo is the share of tiles, 0 to 1, that others discard when they draw one we want.
	LetGo float64 `json:"let_go"`
	// JokerShare is how likely, 0 to 1, an unseen joker comes and is free for one part, as against a natural.
	JokerShare float64 `json:"joker_share"`
	// Points is the exponent, 0 to 2, with which a hand's points weigh; 0 plays to win often.
	Points float64 `json:"points"`
	// ClaimGain is by how much a claim must raise the value, as a factor from 0.5 to 10.
	ClaimGain float64 `json:"claim_gain"`
	// Hold is the part of the value, above 0 to 1, that a pass may cost per tile before the tile is held
	// back: for blind passes, for stopping, for the courtesy.
	Hold float64 `json:"hold"`
	// Slack is how far beyond the cheapest variant others count, 0 to 40, in units of which a missing single
	// costs 4 and a missing group tile 3.
	Slack int `json:"slack"`
	// Lines is the most variants that count, 1 to 1000, the cheapest; fewer are quicker.
	Lines int `json:"lines"`
	// Danger is the part of the value, 0 to 2, that a discard costs which every hand open to an opponent wants
	// late in the game.
	Danger float64 `json:"danger"`
	// Receiver is the part, 0 to 2, of what a tile is worth to a rack on average that passing it costs beside
	// what it is worth to the own one.
	Receiver float64 `json:"receiver"`
}

// General plays a card that was not tuned.
var General = Params{Horizon: 0.3, LetGo: 0.5, JokerShare: 0.4, Points: 0, ClaimGain: 1.3, Hold: 0.25, Slack: 10, Lines: 48, Danger: 0.3}

// GeneralCalibration is for a card that was not tuned: between those of three cards of different character
// (docs/players.md).
var GeneralCalibration = Calibration{A: 1.5, B: 0.47}

// Check says which parameter is out of its range, or nil.
func (p Params) Check() error {
	for _, row := range []struct {
		name             string
		value, low, high float64
	}{
		{"horizon", p.Horizon, 0.001, 1},
		{"let_go", p.LetGo, 0, 1},
		{"joker_share", p.JokerShare, 0, 1},
		{"points", p.Points, 0, 2},
		{"claim_gain", p.ClaimGain, 0.5, 10},
		{"hold", p.Hold, 0.001, 1},
		{"slack", float64(p.Slack), 0, 40},
		{"lines", float64(p.Lines), 1, 1000},
		{"danger", p.Danger, 0, 2},
		{"receiver", p.Receiver, 0, 2},
	} {
		if !(row.low <= row.value && row.value <= row.high) {
			return fmt.Errorf("%s is %v; %v to %v is right", row.name, row.value, row.low, row.high)
		}
	}
	return nil
}
