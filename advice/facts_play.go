package advice

import (
	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// FactsOfPlay says what each of several decisions of a seat in play leaves it. Where others may answer the same discard,
// they are taken to let it go.
func FactsOfPlay(state table.State, seat charleston.Seat, actions []table.Action) ([]Facts, error) {
	g := playGround(state.View(seat))
	facts := make([]Facts, len(actions))
	for i, a := range actions {
		if a.Kind == table.Mahjong || a.Kind == table.Declare {
			facts[i] = Facts{Wins: true, InPlay: true, before: g.hands}
			continue
		}
		after := state
		if err := settle(&after, a); err != nil {
			return nil, err
		}
		facts[i] = g.playFacts(after.View(seat))
		facts[i].InPlay = true
		switch a.Kind {
		case table.Discard:
			facts[i].Given = tile.RackOf(a.Tile)
			facts[i].ask(state.View(seat), a.Tile)
		case table.Expose:
			facts[i].Shown = table.Exposure{Tile: a.Tile, Size: a.Size, Jokers: a.Jokers}
		}
	}
	return facts, nil
}

// ask looks at what lies open for one who has use for a discard.
func (f *Facts) ask(v table.View, k tile.Kind) {
	c := v.Game().Card()
	for seat := range charleston.Seat(charleston.Seats) {
		groups, n := v.Open(seat)
		for _, e := range groups[:n] {
			f.Exchangeable = f.Exchangeable || e.Tile == k && e.Jokers > 0
		}
		ways := v.Variants(seat)
		if seat == v.Seat() || n == 0 || len(ways) == 0 {
			continue
		}
		var opened tile.Rack
		for _, e := range groups[:n] {
			opened[e.Tile] += e.Size
		}
		uses := 0
		for _, w := range ways {
			if x := &c.Variants[w]; x.Small[k]+x.Large[k] > opened[k] {
				uses++
			}
		}
		if asked := share(uses, len(ways)); asked > f.Asked {
			f.Asked, f.Asker = asked, seat
		}
	}
}

// settle carries out an action as if nobody else wanted the tile.
func settle(s *table.State, a table.Action) error {
	switch a.Kind {
	case table.Decline:
		return nil // the seat stands as it stood
	case table.Expose:
		var claims [charleston.Seats]table.Claim
		claims[a.Seat] = a.Claim()
		return s.Settle(claims)
	}
	return s.Apply(a)
}

// playGround is what a seat holds in play, with what its open groups allow.
func playGround(v table.View) *ground {
	c := v.Game().Card()
	g := newGround(c, v.Rack(), waysInPlay(v), handsInPlay(v))
	g.unseen, g.wall = v.Unseen(), v.WallLeft()
	return g
}

func (g *ground) playFacts(v table.View) Facts {
	if len(g.hands) == 0 {
		return Facts{Dead: true, Wall: g.wall}
	}
	left := map[int]int{}
	for _, w := range waysInPlay(v) {
		left[w.Variant] = w.Away
	}
	f := g.facts(handsInPlay(v), func(w *fit.Reading) (int, bool) {
		away, ok := left[w.Variant]
		return away, ok
	})
	for _, away := range left {
		if !f.Dead && away <= f.After.Away+1 {
			f.Left++
		}
	}
	return f
}

// waysInPlay reads every way that the open groups allow, best first; handsInPlay is the hands.
func waysInPlay(v table.View) []fit.Reading { return exercise.WaysInPlay(v) }

func handsInPlay(v table.View) []fit.Reading {
	c := v.Game().Card()
	all := make([]int, len(c.Hands))
	for i := range all {
		all[i] = i
	}
	return exercise.NearestInPlay(v, all, len(all))
}

// FactsOfSections says how near each of several sections is to a rack: Before is the nearest hand of the section, Near
// the number of its near ways.
func FactsOfSections(c *card.Card, v charleston.View, sections []string) ([]Facts, error) {
	facts := make([]Facts, len(sections))
	for i, name := range sections {
		hands, err := exercise.Hands(c, []string{name})
		if err != nil {
			return nil, err
		}
		x := prepared.Of(c).Aimed(hands)
		near, _ := fit.NewRater(x).Nearest(&v.Rack, len(hands), nil)
		g := newGround(c, v.Rack, x.Variants(v.Rack), near)
		g.unseen, g.wall = unseenInPassing(c, &v), freshWall(c)
		facts[i] = g.facts(near, func(w *fit.Reading) (int, bool) { return w.Away, true })
		facts[i].Left, facts[i].Section = len(g.near), name
	}
	return facts, nil
}
