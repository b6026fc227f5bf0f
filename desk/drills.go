package desk

import (
	"cmp"
	"context"
	"slices"

	"secondpass/advice"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/teach/drill"
	"secondpass/work"
)

// DrillWish is which drills are looked for, and how long.
type DrillWish struct {
	// Players sit at the other seats.
	Players string
	Seed    uint64
	// Filter is which drills to look for, Count the most of them.
	drill.Filter
	Count int
	// From is the first deal looked at, Deals the most of them.
	From, Deals uint64
}

// DrillSearch is the search for drills of a card, checked, by the user's tuning of the card.
func (d *Desk) DrillSearch(c *card.Card, w DrillWish) (*work.DrillSearch, error) {
	tuning, err := d.Tuning(c)
	if err != nil {
		return nil, err
	}
	s := &work.DrillSearch{Card: work.TextOf(c), Tuning: tuning, Players: w.Players, Seed: w.Seed, Filter: w.Filter,
		Each: drill.EachKind(w.Count, len(w.Kinds)), Total: w.Count, From: w.From, Deals: w.Deals, Shelf: d.Files.Shelf}
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

// DrillCounsel judges drills of a card against players, by the user's tuning of the card. Who judges with it is told the seed of each
// judgement.
func (d *Desk) DrillCounsel(c *card.Card, players string) (*advice.Counsel, error) {
	return d.counsel(c, house.Usual, Judge{Players: players, Seed: new(uint64)})
}

// maker judges drills of a card against players, by the user's tuning of the card.
func (d *Desk) maker(c *card.Card, players string) (*drill.Maker, error) {
	counsel, err := d.DrillCounsel(c, players)
	if err != nil {
		return nil, err
	}
	return drill.NewMaker(counsel, players)
}

// JudgeAnswer says what an answer is worth that a drill of a card does not offer, against the players of its key.
func (d *Desk) JudgeAnswer(ctx context.Context, c *card.Card, of *drill.Drill, choice drill.Choice) (drill.Answer, error) {
	m, err := d.maker(c, of.Key.Players)
	if err != nil {
		return drill.Answer{}, err
	}
	return m.Judge(ctx, of, choice)
}

// JudgeAnswers is JudgeAnswer for several.
func (d *Desk) JudgeAnswers(ctx context.Context, c *card.Card, of *drill.Drill, choices []drill.Choice) ([]drill.Answer, error) {
	if len(choices) == 0 {
		return nil, nil
	}
	m, err := d.maker(c, of.Key.Players)
	if err != nil {
		return nil, err
	}
	return m.JudgeAll(ctx, of, choices, drill.MostFree)
}

// CheckPlayers says why nobody of a description can sit at the other seats, or nil.
func (d *Desk) CheckPlayers(c *card.Card, players string) error {
	_, err := d.maker(c, players)
	return err
}

// KeyWish is how keys are made again.
type KeyWish struct {
	// Players sit at the other seats; "" are those of each key.
	Players string
	Seed    uint64
	// Times is so many times the games of the key as it is.
	Times int
	// Try keeps the old keys.
	Try bool
}

// RemakeKeys makes the keys of a card's drills again and keeps each in the place of the old one before it is told of. The drills
// handed in stay as they are. It returns how many were made when all are, ctx ends, or told returns an error.
func (d *Desk) RemakeKeys(ctx context.Context, c *card.Card, drills []*drill.Drill, w KeyWish, told func(drill.Remade) error) (done int, err error) {
	for _, group := range byPlayers(drills, w.Players) {
		m, err := d.maker(c, group.players)
		if err != nil {
			return done, err
		}
		n, err := m.Remake(ctx, group.drills, w.Seed, w.Times, func(r drill.Remade) error {
			if !w.Try {
				remade := *r.Drill
				remade.Key = r.New
				if err := d.Store.SaveDrill(&remade, c); err != nil {
					return err
				}
			}
			return told(r)
		})
		if done += n; err != nil {
			return done, err
		}
	}
	return done, nil
}

// playedBy is drills that are judged against the same players.
type playedBy struct {
	players string
	drills  []*drill.Drill
}

// byPlayers is drills by the players of their keys, in the order of the first of each; all in one where players are named.
func byPlayers(drills []*drill.Drill, players string) (groups []playedBy) {
	for _, d := range drills {
		name := cmp.Or(players, d.Key.Players)
		i := slices.IndexFunc(groups, func(g playedBy) bool { return g.players == name })
		if i < 0 {
			i, groups = len(groups), append(groups, playedBy{players: name})
		}
		groups[i].drills = append(groups[i].drills, d)
	}
	return groups
}

// RenewDrills judges drills for another card, and keeps each that teaches there as a new drill of it before it is told of. It
// returns how many were judged when all are, ctx ends, or told returns an error.
func (d *Desk) RenewDrills(ctx context.Context, drills []*drill.Drill, to *card.Card, players string, seed uint64, told func(drill.Renewed) error) (done int, err error) {
	m, err := d.maker(to, players)
	if err != nil {
		return 0, err
	}
	return m.Renew(ctx, drills, seed, func(r drill.Renewed) error {
		if r.New != nil {
			if err := d.Store.AddDrill(r.New, to); err != nil {
				return err
			}
		}
		return told(r)
	})
}
