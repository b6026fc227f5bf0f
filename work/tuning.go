package work

import (
	"context"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Tuning fits the strong player to a card by self-play. Its result is a [Tuned].
type Tuning struct {
	Card CardText `json:"card"`
	// Start is the values to begin with.
	Start player.Tuning `json:"start"`
	Seed  uint64        `json:"seed"`
	// Games, Try and Points are those of [sim.Tuner].
	Games  int  `json:"games"`
	Try    int  `json:"try,omitempty"`
	Points bool `json:"points,omitempty"`
	// Enough, which may be nil, ends the search early where it is true, as when a person's time for it is over: what was found
	// by then is checked and calibrated. It is no part of what the job is: gone on with, it would search on.
	Enough func() bool `json:"-"`
}

// Tuned is what a search found.
type Tuned struct {
	Tuning player.Tuning `json:"tuning"`
	Seed   uint64        `json:"seed"`
	Games  int           `json:"games"`
	Trials []sim.Trial   `json:"trials"`
	// Lead is the win share of the values found less the mean of three players with those at the start, PointLead
	// the same in points, on fresh deals.
	Lead      stat.Interval[unit.ChanceDifference] `json:"lead"`
	PointLead stat.Interval[unit.NetPoints]        `json:"lead_points"`
	// Kept is false where the values found did not lead, and those at the start stay.
	Kept        bool           `json:"kept"`
	Calibration sim.Calibrated `json:"calibration"`
}

// The stages of a tuning.
const (
	TuningSearch = "games"
	TuningCheck  = "checking and calibrating"
)

// Kind is KindTuning.
func (*Tuning) Kind() Kind { return KindTuning }

// freshSeed sets the last check and the calibration on tiles that the search has not met.
const freshSeed = 1 << 32

// checkDeals and calibrateGames are the sizes of what follows the search: in proportion to it, between a
// quick look and what is worth waiting seconds for.
func (w *Tuning) checkDeals() int     { return sim.ShardGames * min(24, max(2, w.Games/5000)) }
func (w *Tuning) calibrateGames() int { return sim.ShardGames * min(100, max(8, w.Games/1000)) }

// Do searches, checks and calibrates. Stopped, it has no values that were checked, and the error is that of ctx.
func (w *Tuning) Do(ctx context.Context, tell Tell) (any, error) {
	c, err := w.Card.read(tile.Usual)
	if err != nil {
		return nil, err
	}
	r := &Tuned{Seed: w.Seed, Trials: []sim.Trial{}, Kept: true}
	t := sim.Tuner{
		Game: prepared.Of(c).Game(house.Usual), Kit: prepared.Of(c).Cast(w.Start).Kit(), Start: w.Start,
		Seed: w.Seed, Games: w.Games, Try: w.Try, Points: w.Points, Enough: w.Enough,
		Watch: func(trial sim.Trial) { r.Trials = append(r.Trials, trial) },
		Progress: func(games int) {
			r.Games = games
			tell(Progress{Stage: TuningSearch, Done: min(games, w.Games), Of: w.Games})
		},
	}
	best, err := t.Tune(ctx)
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	tell(Progress{Stage: TuningCheck, Of: 1})
	t.Seed ^= freshSeed
	if err := w.check(ctx, &t, &best, r); err != nil {
		return nil, err
	}
	seats, err := sim.Worths(ctx, t.Game, t.Kit.With(best), t.Seed, w.calibrateGames())
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	if r.Calibration, err = sim.Calibrate(seats); err != nil {
		return nil, err
	}
	best.Calibration = r.Calibration.Calibration
	r.Tuning = best
	return r, nil
}

// check plays the values found against those at the start on fresh deals, and goes back to these where they do not lead.
func (w *Tuning) check(ctx context.Context, t *sim.Tuner, best *player.Tuning, r *Tuned) error {
	tally := &sim.MatchTally{}
	n, err := t.Versus(ctx, best.Params, w.Start.Params, 0, w.checkDeals(), tally)
	if err == nil && n < w.checkDeals() {
		err = ctx.Err()
	}
	if err != nil {
		return err
	}
	found := sim.MatchResult{Tally: tally}
	r.Lead, r.PointLead = found.Lead(), found.PointLead()
	gain := r.Lead.Plain()
	if w.Points {
		gain = r.PointLead.Plain()
	}
	if gain.Value <= 0 {
		*best, r.Kept = w.Start, false
	}
	return nil
}
