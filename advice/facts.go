package advice

import (
	"slices"

	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Facts is what a decision leaves of what a seat holds, before anything comes back: what can be seen without playing on.
// A way is a variant of the card. A near way is one that is, before the decision, at most one tile further away than the
// nearest hand.
type Facts struct {
	// Before and After are the nearest hand before the decision and after it; After is that of Before where no hand is
	// possible any more, which Dead says.
	Before, After fit.Reading
	Dead          bool
	// Near is the number of near ways, Lost how many of them are further away after the decision or not possible any more;
	// Nearest and LostNearest are the same for the ways that are as near as the nearest hand.
	Near, Lost, Nearest, LostNearest int
	// Left is, of sections and in play, the number of ways at most one tile further away than the nearest hand after it.
	Left int
	// Given is the own tiles that go, Blind the number of incoming tiles handed on unseen.
	Given tile.Rack
	Blind int
	// Spare are the tiles that no near way uses before the decision, jokers aside.
	Spare tile.Rack
	// GivenUp are hands that were options before and that nobody would steer for after it: not possible any more, or at
	// least hopeless tiles further away than the nearest hand then. By card order.
	GivenUp []int
	// Broken is the multiples that lose a tile which the nearest hand before the decision uses, see [fit.Reading.Breaks].
	Broken tile.Rack
	// Gift is what the pass is worth to the receiver by its looks.
	Gift Gift
	// Wins says that the decision wins the game.
	Wins bool
	// Asked is, of a discard, what part of the ways that a seat's open groups allow uses the tile, of the seat that wants it
	// most (Asker); 0 where nobody has laid groups open.
	Asked float64
	Asker charleston.Seat
	// Exchangeable says that a discard is a tile for which a joker lies open.
	Exchangeable bool
	// Shown is the group that a claim lays open; the zero value for none.
	Shown table.Exposure
	// Alive is how many unseen copies there are of the tiles that After lacks, jokers aside.
	Alive int
	// More is, of votes and offers, how many tiles may still change hands after it: nine when all go on, none after a stop.
	More int
	// Section is the section steered for, where sections are compared; InPlay says that the passing is over.
	Section string
	InPlay  bool
	// Wall is the tiles left in the wall; in the passing that of a fresh deal.
	Wall int

	before, after []fit.Reading // of every hand possible, best first
}

// hopeless is how many tiles further than the nearest hand one is that nobody steers for any more.
const hopeless = 3

// secondTiles is the tiles of the second Charleston.
const secondTiles = 3 * charleston.PassTiles

// ground is what the seat holds when it decides.
type ground struct {
	card *card.Card
	rack tile.Rack
	open fit.Open
	// near is the near ways, best first; hands is all hands still possible, best first.
	near, hands []fit.Reading
	spare       tile.Rack
	unseen      tile.Rack
	rater       *fit.Rater // nil in play
	wall        int
}

// newGround reads a rack against all ways that are possible for it.
func newGround(c *card.Card, rack tile.Rack, ways, hands []fit.Reading) *ground {
	g := &ground{card: c, rack: rack, hands: hands}
	for i := range ways {
		if ways[i].Away > ways[0].Away+1 {
			break
		}
		g.near = append(g.near, ways[i])
	}
	g.spare = fit.Spare(rack, g.near)
	return g
}

// facts compares the ways and hands after a decision with those before. after reads a way as it stands then; ok is false
// where it is not possible any more.
func (g *ground) facts(hands []fit.Reading, after func(*fit.Reading) (away int, ok bool)) Facts {
	f := Facts{Before: g.hands[0], After: g.hands[0], Dead: len(hands) == 0, Near: len(g.near), Spare: g.spare, Wall: g.wall, before: g.hands, after: hands}
	for i := range g.near {
		w := &g.near[i]
		away, ok := after(w)
		nearest := w.Away == f.Before.Away
		if nearest {
			f.Nearest++
		}
		if !ok || away > w.Away {
			f.Lost++
			if nearest {
				f.LostNearest++
			}
		}
	}
	if f.Dead {
		return f
	}
	f.After = hands[0]
	for k, n := range f.After.Missing {
		if n > 0 {
			f.Alive += int(g.unseen[k])
		}
	}
	for i := range g.hands {
		h := &g.hands[i]
		if h.Away > g.hands[0].Away+1 {
			break
		}
		if away, ok := awayOf(hands, h.Hand); !ok || away >= f.After.Away+hopeless {
			f.GivenUp = append(f.GivenUp, h.Hand)
		}
	}
	slices.Sort(f.GivenUp)
	return f
}

// awayOf is how far a hand is among readings of hands.
func awayOf(hands []fit.Reading, hand int) (away int, ok bool) {
	for i := range hands {
		if hands[i].Hand == hand {
			return hands[i].Away, true
		}
	}
	return 0, false
}

// factFinder reads the facts of passes.
type factFinder struct{ *ground }

func newFactFinder(c *card.Card, v charleston.View) *factFinder {
	x := prepared.Of(c).Index()
	rater := fit.NewRater(x)
	hands, _ := rater.Nearest(&v.Rack, len(c.Hands), nil)
	g := newGround(c, v.Rack, x.Variants(v.Rack), hands)
	g.rater, g.wall, g.unseen = rater, freshWall(c), unseenInPassing(c, &v)
	return &factFinder{g}
}

// unseenInPassing is the tiles that a seat neither holds nor has given away.
func unseenInPassing(c *card.Card, v *charleston.View) tile.Rack {
	unseen := tile.Rack(c.Set).Minus(v.Rack)
	for step := range v.Gave {
		unseen = unseen.Minus(v.Gave[step].Rack())
	}
	return unseen
}

// freshWall is the tiles left in the wall when all are dealt.
func freshWall(c *card.Card) int { return c.Set.Size() - (charleston.Seats*(card.HandTiles-1) + 1) }

// find reads the facts of one candidate; votes and numbers leave the rack as it is.
func (f *factFinder) find(a charleston.Action) Facts {
	if a.Kind == charleston.Vote || a.Kind == charleston.Name {
		facts := f.facts(f.hands, func(w *fit.Reading) (int, bool) { return w.Away, true })
		switch {
		case a.Kind == charleston.Name:
			facts.More = a.Count
		case !a.Stop:
			facts.More = secondTiles
		}
		return facts
	}
	given := a.Own.Rack()
	rest := f.rack.Minus(given)
	hands, _ := f.rater.Nearest(&rest, len(f.card.Hands), nil)
	facts := f.facts(hands, func(w *fit.Reading) (int, bool) {
		after := fit.Read(f.card, w.Variant, rest)
		return after.Away, true
	})
	facts.Given, facts.Blind, facts.Gift = given, a.Count, giftOf(a.Own)
	if a.Kind == charleston.Give {
		facts.Blind = 0
	}
	facts.Broken = f.hands[0].Breaks(given)
	return facts
}

// FactsOf says what each of several decisions of the passing does to a rack, before anything comes back.
func FactsOf(c *card.Card, v charleston.View, actions []charleston.Action) []Facts {
	finder := newFactFinder(c, v)
	facts := make([]Facts, len(actions))
	for i, a := range actions {
		facts[i] = finder.find(a)
	}
	return facts
}
