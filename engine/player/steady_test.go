package player

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

func rack(text string) tile.Rack { return tile.MustParse(text) }

func view(r tile.Rack, step charleston.Step) *charleston.View {
	return &charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: step, Phase: charleston.Passing, Rack: r}
}

func hands(t *testing.T, name string) []int {
	t.Helper()
	found, err := card.Practice().Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func ExampleWalk() {
	deal := rack("228b 14699c 7d EW F J")
	mock, _ := charleston.DrawMock(deal, tile.Usual, rand.New(rand.NewPCG(1, 1)))
	seat := charleston.NewSolo(charleston.South, deal, house.Usual.Passing, &mock)
	err := Walk(&seat, NewSteady(card.Practice(), indexOf(card.Practice(), nil)))
	fmt.Println(seat.Phase() == charleston.Over, seat.Rack().Size(), err)
	// Output: true 13 <nil>
}

// Of all legal passes the chosen one leaves the greatest value: checked against every parcel.
func TestPassIsTheBestByItsOwnMeasure(t *testing.T) {
	for _, aim := range [][]int{nil, hands(t, "Evens"), hands(t, "Runs 1")} {
		s := NewSteady(card.Practice(), indexOf(card.Practice(), aim))
		rapid.Check(t, func(t *rapid.T) {
			r := tile.RackOf(rapid.Permutation(tile.Usual.Tiles()).Draw(t, "tiles")[:13]...)
			own, blind := s.Pass(view(r, charleston.FirstRight))
			if blind != 0 || own.Len() != 3 {
				t.Fatalf("%s with %d blind at the first right", own, blind)
			}
			value := func(p charleston.Parcel) int64 {
				rest := r.Minus(p.Rack())
				return s.rater.Value(s.weights, &rest)
			}
			best := value(own)
			for _, p := range charleston.Parcels(r, 3) {
				if v := value(p); v > best {
					t.Fatalf("%s: passes %s (%d), but %s leaves %d", r, own, best, p, v)
				}
			}
		})
	}
}

// Whatever comes, the walker's decisions are legal to the end, and jokers stay.
func TestWalksLegally(t *testing.T) {
	s := NewSteady(card.Practice(), indexOf(card.Practice(), nil))
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		tiles := tile.Usual.Tiles()
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		deal := tile.RackOf(tiles[:14]...)
		mock, err := charleston.DrawMock(deal, tile.Usual, rng)
		if err != nil {
			t.Fatal(err)
		}
		seat := charleston.NewSolo(charleston.East, deal, house.Usual.Passing, &mock)
		if err := Walk(&seat, s); err != nil {
			t.Fatal(err)
		}
		if r := seat.Rack(); r.Size() != 14 || r[tile.Joker] != deal[tile.Joker] {
			t.Fatalf("%s became %s", deal, r)
		}
	})
}

// With fewer than three spare tiles the plan is not broken: the rest goes blind, the second
// Charleston is stopped, and no more are offered than are spare.
func TestSparesDecide(t *testing.T) {
	c := card.Practice()
	v := c.VariantsOf(hands(t, "Runs 1")[0])[0]
	all := v.Small.Plus(v.Large).Tiles()
	oneSpare := tile.RackOf(all[:12]...).Plus(rack("9d"))
	s := NewSteady(c, indexOf(c, hands(t, "Runs 1")))
	if n := s.spare(oneSpare); n != 1 {
		t.Fatalf("%s has %d spare", oneSpare, n)
	}
	own, blind := s.Pass(view(oneSpare, charleston.FirstLeft))
	if own.String() != "9d" || blind != 2 {
		t.Errorf("passes %s and %d blind", own, blind)
	}
	at := view(oneSpare, charleston.FirstLeft)
	if !s.Stop(at) || s.Offer(at) != 1 {
		t.Errorf("stops %v, offers %d", s.Stop(at), s.Offer(at))
	}
	at.Rules.Blind = false
	if own, blind := s.Pass(at); own.Len() != 3 || blind != 0 {
		t.Errorf("passes %s and %d blind where that is not allowed", own, blind)
	}
	many := rack("147b 258c 369d NEWS")
	if s.Stop(view(many, charleston.FirstLeft)) || s.Offer(view(many, charleston.Courtesy)) != 3 {
		t.Error("stops or offers less than three with much to spare")
	}
}

// The plan is the nearest hands of the aim, as fit orders them.
func TestPlan(t *testing.T) {
	c := card.Practice()
	r := rack("228b 14699c 7d EW F J")
	plan := NewSteady(c, indexOf(c, hands(t, "Evens"))).Plan(r)
	want := fit.Of(c, hands(t, "Evens")).Hands(r)
	if len(plan) != PlanHands {
		t.Fatalf("%d hands in the plan", len(plan))
	}
	for i := range plan {
		if plan[i].Variant != want[i].Variant {
			t.Errorf("hand %d of the plan is %s", i, plan[i].OnCard().Name)
		}
	}
}
