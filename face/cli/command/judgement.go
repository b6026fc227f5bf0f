package command

import (
	"errors"
	"fmt"
	"io/fs"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/house"
)

// Tuning is what strong players of a card go by: the user's own tuning of it, the one built in, or
// general values.
func (g *Globals) Tuning(c *card.Card) (player.Tuning, error) {
	t, err := g.Files().Tunings.Tuning(c)
	if pathError := (*fs.PathError)(nil); errors.As(err, &pathError) {
		err = Failed(err)
	}
	return t, err
}

// Counsel judges an exercise, against its own players where none are named, by its own seed unless --seed was given.
func (g *Globals) Counsel(e *exercise.Exercise, players string) (*advice.Counsel, error) {
	seed := g.JudgementSeed(e)
	d := desk.Desk{Files: g.Files()}
	return d.Counsel(e, desk.Judge{Players: players, Seed: &seed})
}

// JudgementSeed is --seed where it was given, else the exercise's own.
func (g *Globals) JudgementSeed(e *exercise.Exercise) uint64 {
	if g.Seeded {
		return g.Seed
	}
	return desk.JudgementSeed(e)
}

// CardCounsel judges decisions on a card that belong to no exercise.
func (g *Globals) CardCounsel(c *card.Card, rules house.House, others string) (*advice.Counsel, error) {
	t, err := g.Tuning(c)
	if err != nil {
		return nil, err
	}
	return advice.NewCounsel(c, rules, t, others, g.Seed)
}

// BudgetOf is a budget of games where a number is given, of time where one is given, else the usual one.
func BudgetOf(games *int, time *time.Duration, usual advice.Budget) (advice.Budget, error) {
	switch {
	case games != nil && *games < 1:
		return advice.Budget{}, fmt.Errorf("--games %d: a positive number is right", *games)
	case games != nil:
		return advice.Budget{Games: *games}, nil
	case time == nil:
		return usual, nil
	case *time <= 0:
		return advice.Budget{}, fmt.Errorf("--budget %s: a time above 0 is right, as in 5s", *time)
	}
	return advice.Budget{Time: *time}, nil
}
