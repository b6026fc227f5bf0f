package command

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/paper/wording"
)

// Judge is how a judgement of an exercise is asked for: by its own seed unless --seed was given, against its own players where
// none are named.
func (g *Globals) Judge(players string) desk.Judge {
	by := desk.Judge{Players: players, Waits: g.waits}
	if g.Seeded {
		by.Seed = &g.Seed
	}
	return by
}

// JudgeBySeed is that for what has no seed of its own.
func (g *Globals) JudgeBySeed(players string) desk.Judge {
	return desk.Judge{Players: players, Seed: &g.Seed, Waits: g.waits}
}

// waits tells whoever waits that a card is judged for the first time.
func (g *Globals) waits(context.Context) {
	if IsTerminal(g.Stderr) {
		g.Remark("%s", wording.FirstTime)
	}
}

// DiskError marks an error of the work where a file cannot be read or written, and leaves others as they are.
func DiskError(err error) error {
	if pathError := (*fs.PathError)(nil); errors.As(err, &pathError) {
		return Failed(err)
	}
	return err
}

// BudgetOf is a budget of games where a number is given, of time where one is given, else the usual one.
func BudgetOf(games *int, time *time.Duration, usual advice.Budget) (advice.Budget, error) {
	switch {
	case games != nil && time != nil:
		return advice.Budget{}, fmt.Errorf("--games %d and --budget %s: leave out one of the two", *games, *time)
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
