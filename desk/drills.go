package desk

import (
	"context"

	"secondpass/rules/card"
	"secondpass/teach/drill"
	"secondpass/work"
)

// DrillWish is which drills are looked for, and how long.
type DrillWish struct {
	// Players sit at the other seats.
	Players string
	Seed    uint64
	// Kinds to look for; none means all. Count is the most drills.
	Kinds []drill.Kind
	Count int
	// From is the first deal looked at, Deals the most of them.
	From, Deals uint64
}

// DrillSearch is the search for drills of a card, checked, by the user's tuning of the card.
func (d *Desk) DrillSearch(c *card.Card, w DrillWish) (*work.DrillSearch, error) {
	tuning, err := d.Files.Tunings.Tuning(c)
	if err != nil {
		return nil, err
	}
	s := &work.DrillSearch{Card: work.TextOf(c), Tuning: tuning, Players: w.Players, Seed: w.Seed, Kinds: w.Kinds,
		Each: drill.EachKind(w.Count, len(w.Kinds)), Total: w.Count, From: w.From, Deals: w.Deals}
	return s, s.Check()
}

// FindDrills searches and keeps each drill as it is found, so that stopping loses nothing. told, which may be nil, is told
// after each deal; the drills found by then have their numbers.
func (d *Desk) FindDrills(ctx context.Context, c *card.Card, s *work.DrillSearch, told func(*drill.Found)) (*drill.Found, error) {
	kept := 0
	var trouble error
	found, err := work.Run[*drill.Found](ctx, work.New(s), func(p work.Progress) (stop bool) {
		f := p.Result.(*drill.Found)
		for ; kept < len(f.Drills) && trouble == nil; kept++ {
			trouble = d.Store.AddDrill(f.Drills[kept], c)
		}
		if told != nil && trouble == nil {
			told(f)
		}
		return trouble != nil
	})
	if trouble != nil {
		return nil, trouble
	}
	return found, err
}
