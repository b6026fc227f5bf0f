package desk

import (
	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/store"
	"secondpass/teach/drill"
)

// Budgets of a judgement where nobody names one: short games for a first piece of advice, and for each decision of a review
// and of a student's record.
const (
	AdviceGames = 8000
	ReviewGames = 1000
)

// JudgementSeed is the seed of every judgement of an exercise where nobody names one. It is the same for all routes and
// steps, so that routes that share their beginning are judged alike there.
func JudgementSeed(e *exercise.Exercise) uint64 { return e.Seed }

// Others is who sits at the other seats of an exercise where nobody is named: its own players, else the usual ones.
func Others(e *exercise.Exercise) string {
	if e.Incoming == exercise.TablePasses && e.Players != "" {
		return e.Players
	}
	return exercise.DefaultPlayers
}

// Judge says how a judgement is asked for where it is not to be as usual.
type Judge struct {
	// Players sit at the other seats; "" is Others.
	Players string
	// Seed draws the games; nil is JudgementSeed.
	Seed *uint64
}

// Counsel judges decisions of an exercise, by the user's tuning of its card.
func (d *Desk) Counsel(e *exercise.Exercise, by Judge) (*advice.Counsel, error) {
	tuning, err := d.Files.Tunings.Tuning(e.Card)
	if err != nil {
		return nil, err
	}
	if by.Players == "" {
		by.Players = Others(e)
	}
	seed := JudgementSeed(e)
	if by.Seed != nil {
		seed = *by.Seed
	}
	return advice.NewCounsel(e.Card, e.House, tuning, by.Players, seed)
}

// Record keeps what a review says of a student's decisions, and how the passing ended if it did. It returns how many decisions
// were kept.
func (d *Desk) Record(student string, x *store.Saved, r *exercise.Route, rev *advice.Review) (kept int, err error) {
	now := d.Store.Now()
	tries := drill.Reviewed(rev, x.Exercise.Name, r.Name, now, nil)
	ended, over, err := drill.Ended(x.Exercise, r, now)
	if err != nil {
		return 0, err
	}
	if !over {
		return len(tries), d.Store.AddExercise(student, tries, nil)
	}
	return len(tries), d.Store.AddExercise(student, tries, &ended)
}
