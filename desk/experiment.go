package desk

import (
	"context"
	"errors"
	"fmt"
	"time"

	"secondpass/deal"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/work"
)

// StartExperiment makes the result of an experiment before any deal, by the user's tuning of the card. deals is the most of
// them; 0 is the experiment's own number.
func (d *Desk) StartExperiment(x *experiment.Experiment, c *card.Card, seed uint64, deals int) (*experiment.Result, error) {
	tuning, err := d.Tuning(c)
	if err != nil {
		return nil, err
	}
	return experiment.Start(x, c, tuning, seed, deals, store.Program())
}

// RepeatExperiment plays a result again from the start to as many deals, and says whether its bytes are the same, the name of the
// program aside. told, which may be nil, is told how many deals are played. Where ctx ends it before, that is the error.
func RepeatExperiment(ctx context.Context, r *experiment.Result, told func(deals int)) (same bool, err error) {
	again, err := r.Again()
	if err != nil {
		return false, err
	}
	played, err := work.Run[*experiment.Result](ctx, work.New(work.ExperimentOf(again)), func(p work.Progress) (stop bool) {
		if told != nil {
			told(p.Done)
		}
		return false
	})
	switch {
	case err != nil:
		return false, err
	case played.Deals < r.Deals && ctx.Err() != nil:
		return false, ctx.Err()
	}
	return r.Same(played), nil
}

// PlayExperiment plays what is left of a result until ctx ends. keep keeps it before, while and after it plays, so that there
// is a whole one at any time; where that fails nothing more is played. told, which may be nil, is told how it stands. What is
// returned is the result as it stands then; r stays as it was. The error wraps [deal.ErrTooRare] where the population is.
func PlayExperiment(ctx context.Context, r *experiment.Result, keep func(*experiment.Result) error, told func(*experiment.Result)) (*experiment.Result, error) {
	if err := keep(r); err != nil {
		return r, err
	}
	saved := time.Now()
	var trouble error
	played, err := work.Run[*experiment.Result](ctx, work.New(work.ExperimentOf(r)), func(p work.Progress) (stop bool) {
		now := p.Result.(*experiment.Result)
		if told != nil {
			told(now)
		}
		if time.Since(saved) > keepEvery {
			trouble, saved = keep(now), time.Now()
		}
		return trouble != nil
	})
	if errors.Is(err, deal.ErrTooRare) {
		err = fmt.Errorf("population %s: %w", r.Of().Population, err)
	}
	switch {
	case trouble != nil:
		return played, trouble
	case played == nil:
		return r, err
	}
	if trouble = keep(played); trouble != nil {
		return played, trouble
	}
	return played, err
}
