package desk

import (
	"context"
	"fmt"
	"time"

	"secondpass/research/cardreport"
	"secondpass/rules/house"
	"secondpass/work"
)

// keepEvery is how often what is counted is kept, so that little is lost where the machine fails.
const keepEvery = 3 * time.Second

// CardCounts is where the report of a card stands that is to be counted: what was kept, if it is a part of what is asked
// for, else nothing. keep says whether it may take the place of what is kept: counts that are none of these, which somebody
// may have waited hours for, stay.
func (d *Desk) CardCounts(s cardreport.Settings) (c *cardreport.Counts, keep bool, err error) {
	c = &cardreport.Counts{Wish: s.Wish(), Tuning: s.Tuning, Tally: &cardreport.Tally{}}
	if s.Hands != nil {
		return c, false, nil
	}
	kept, err := d.Files.Reports.Counts(s.Key())
	if err != nil || kept == nil {
		return c, err == nil, err
	}
	survey, err := cardreport.New(s)
	if err != nil {
		return nil, false, err
	}
	if !survey.GoesOn(kept) {
		return c, false, nil
	}
	c.Tally = kept.Tally
	return c, true, nil
}

// CountCard counts what is left of a report until ctx ends, and keeps it while it does where keep says so. told, which may be
// nil, is told how far the stage has come. c is where it stood and stands then.
func (d *Desk) CountCard(ctx context.Context, s cardreport.Settings, c *cardreport.Counts, keep bool, told func(stage cardreport.Stage, done, of int)) error {
	rules := s.House
	rules.Tiles = house.TilesOf(s.Card.Set)
	job := work.New(&work.CardReport{Card: work.TextOf(s.Card), House: rules, Tuning: c.Tuning, Seed: s.Seed, Hands: s.Hands,
		Deals: s.Deals, Games: s.Games, Aimed: s.Aimed, Tally: c.Tally})
	save := func(t *cardreport.Tally) error {
		if !keep {
			return nil
		}
		counted := cardreport.Counts{Wish: c.Wish, Tuning: c.Tuning, Tally: t}
		if err := d.Files.Reports.SaveCounts(s.Key(), &counted); err != nil {
			return fmt.Errorf("the report could not be kept: %w", err)
		}
		return nil
	}
	saved := time.Now()
	var trouble error
	tally, err := work.Run[*cardreport.Tally](ctx, job, func(p work.Progress) (stop bool) {
		if told != nil {
			told(cardreport.Stage(p.Stage), p.Done, p.Of)
		}
		if time.Since(saved) > keepEvery {
			trouble, saved = save(p.Result.(*cardreport.Tally)), time.Now()
		}
		return trouble != nil
	})
	if tally != nil {
		c.Tally = tally
	}
	switch {
	case trouble != nil:
		return trouble
	case err != nil:
		return err
	}
	return save(c.Tally)
}
