package drill

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"secondpass/advice"
	"secondpass/cardmaking/compose"
	"secondpass/engine/sim"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// claimPosition plays deals by strong players until a seat may claim for a group and the greedy player would.
func claimPosition(t testing.TB, m *Maker) *proposal {
	t.Helper()
	b, err := m.bench()
	if err != nil {
		t.Fatal(err)
	}
	for deal := range uint64(20) {
		racks, wall := table.Deal(m.counsel.Game.Set(), sim.Stream(1, deal, "deal"))
		rec := table.Record{Game: m.counsel.Game, Racks: racks, Wall: wall}
		state, err := rec.Game.Start(racks, wall)
		if err != nil {
			t.Fatal(err)
		}
		for state.Phase() != table.Over {
			turn := state.Turn()
			var a table.Action
			if state.Phase() == table.Discarding {
				a = b.tables.Players[turn].Turn(state.View(turn))
			} else {
				for turn = 0; !state.Waits(turn); turn++ {
				}
				p, err := b.claims(&state, turn, rec.Text, func(Kind) bool { return true })
				if err != nil {
					t.Fatal(err)
				}
				first := rec.Actions[len(rec.Actions)-1].Kind == table.Discard // nobody has answered yet
				if p != nil && first {
					return p
				}
				discard, _ := state.View(turn).Claimable()
				a = b.tables.Players[turn].Claim(state.View(turn)).By(turn, discard.Tile)
			}
			if err := state.Apply(a); err != nil {
				t.Fatal(err)
			}
			rec.Actions = append(rec.Actions, a)
		}
	}
	t.Fatal("no claim in twenty deals")
	return nil
}

// What a claim leaves is what the rules of play say is still possible.
func TestReasonsOfAClaim(t *testing.T) {
	m := maker(t)
	p := claimPosition(t, m)
	facts, err := p.facts(m.counsel.Game.Card())
	if err != nil {
		t.Fatal(err)
	}
	state, err := p.Position.Table(m.counsel.Game)
	if err != nil {
		t.Fatal(err)
	}
	seat := p.Position.Seat
	for i := range facts {
		f, a := &facts[i], p.Choices[i].Play
		if a.Kind == table.Decline {
			if f.Lost > 0 || f.Before != f.After || len(f.GivenUp) > 0 {
				t.Errorf("letting go changes something: %+v", f)
			}
			continue
		}
		after := state
		if err := after.Apply(a); err != nil {
			t.Fatal(err)
		}
		for other := range charleston.Seat(charleston.Seats) {
			if after.Phase() == table.Claiming && after.Waits(other) {
				if err := after.Apply(table.Action{Seat: other, Kind: table.Decline}); err != nil {
					t.Fatal(err)
				}
			}
		}
		near := exercise.WaysInPlay(after.View(seat))
		left := 0
		for _, w := range near {
			if w.Away <= near[0].Away+1 {
				left++
			}
		}
		if f.Left != left || f.After.Away != near[0].Away || f.Shown.Jokers != a.Jokers || f.After.Away >= f.Before.Away {
			t.Errorf("%s: %d ways left and %d away, %d and %d are right: %+v", a, f.Left, f.After.Away, left, near[0].Away, f)
		}
	}
}

// Every choice of every kind of the passing is set against another one.
func TestReasonsOfThePassing(t *testing.T) {
	m := maker(t)
	b, err := m.bench()
	if err != nil {
		t.Fatal(err)
	}
	v := voteView(t, m, 4)
	first := v
	first.Step, first.Phase = charleston.FirstRight, charleston.Passing
	first.Gave, first.Came, first.Blind = [charleston.Steps]charleston.Parcel{}, [charleston.Steps]charleston.Parcel{}, [charleston.Steps]int{}
	list := []*proposal{b.votes(&v)}
	list = append(list, b.proposePassing(&first, b.decision(&first), func(Kind) bool { return true })...)
	left := first
	left.Step = charleston.FirstLeft
	list = append(list, b.blinds(&left))
	for _, p := range list {
		p.Key.Answers = make([]Answer, len(p.Choices))
		p.Key.Answers[0].Right = true
		for i := range p.Key.Answers {
			p.Key.Answers[i].Cost.Value = unit.ChanceDifference(i) / 10
		}
		reasons, err := p.Reasons(m.counsel.Game.Card())
		if err != nil || len(reasons) != len(p.Choices) {
			t.Fatal(p.Kind, err)
		}
		for i, r := range reasons {
			against := p.Choices[0]
			if i == 0 {
				against = p.Choices[1]
			}
			if r.Choice != p.Choices[i] || r.Against != against {
				t.Errorf("%s: %s is set against %s", p.Kind, r.Choice, r.Against)
			}
		}
	}
}

// Right answers need points for them, wrong ones points against them, and the most telling ones at that.
func TestSeparates(t *testing.T) {
	points := func(weights ...float64) (list []advice.Point) {
		for _, w := range weights {
			list = append(list, advice.Point{Weight: w})
		}
		return list
	}
	k := Key{Answers: []Answer{{Right: true}, {}}}
	for _, test := range []struct {
		right, wrong []advice.Point
		want         bool
	}{
		{points(.5), points(-.5), true},
		{points(.5, -.2), points(-.5, .2), true},
		{points(.5, -.2, -.2, -.2), points(-.5), false}, // together they speak against it
		{points(-.5, .6), points(-.5), false},
		{points(.5), points(.5), false},
		{points(.5), points(-.01), false},
		{points(.5), nil, false},
	} {
		if got := k.Separates([]Reason{{Points: test.right}, {Points: test.wrong}}); got != test.want {
			t.Errorf("%v and %v: %v", test.right, test.wrong, got)
		}
	}
}

var (
	reasonsWanted = flag.Int("reasons", 0, "find so many drills on three cards and say how many are told by what can be seen")
	reasonsCard   = flag.String("reasonscard", "", "only on this one of the three cards: Lantern, orderly or clumsy")
	reasonsKept   = flag.String("reasonskept", "", "a folder into which the drills found are written as they are, a drill file for each card")
)

// TestReasonsTell finds drills on the practice card, an orderly and a clumsy one, and says of how many the reasons tell
// the key: 60 % at least. Search leaves the others out. It says how far it is every ten deals.
//
//	go test ./teach/drill -run TestReasonsTell -reasons 200 -v -timeout 3h
func TestReasonsTell(t *testing.T) {
	cards := []*card.Card{card.Practice()}
	s := Search{Seed: 31, Each: 2, Total: 3, Deals: 60, Filter: Filter{Kinds: []Kind{Stopping, Courtesy}}}
	if n := *reasonsWanted; n > 0 {
		s.Each, s.Total, s.Deals, s.Kinds = EachKind((n+2)/3, 0), (n+2)/3, 4000, nil
		for _, character := range []compose.Character{compose.Orderly, compose.Clumsy} {
			text, err := compose.DrawCharacter(9, character, string(character))
			if err != nil {
				t.Fatal(err)
			}
			c, _, err := card.Read(string(character), []byte(text), tile.Usual)
			if err != nil {
				t.Fatal(err)
			}
			cards = append(cards, c)
		}
	}
	told, all := 0, 0
	for _, c := range cards {
		if *reasonsCard != "" && *reasonsCard != c.Name {
			continue
		}
		s.Maker = makerOf(t, c)
		found, err := s.Run(context.Background(), 0, func(f *Found) bool {
			if *reasonsWanted > 0 && f.Deals%10 == 0 {
				fmt.Printf("%s: %d told, %d left out in %d deals\n", c.Name, len(f.Drills), f.Unclear, f.Deals)
				keepFound(t, c, f.Drills)
			}
			return false
		})
		if err != nil {
			t.Fatal(err)
		}
		keepFound(t, c, found.Drills)
		kinds := map[Kind]int{}
		for _, d := range found.Drills {
			kinds[d.Kind]++
			if told, err := d.Told(c); err != nil || !told {
				t.Errorf("a drill is found that nothing tells: %s %v", d.Kind, err)
			}
		}
		told, all = told+len(found.Drills), all+len(found.Drills)+found.Unclear
		t.Logf("%s: %d told, %d left out, %d deals, %v", c.Name, len(found.Drills), found.Unclear, found.Deals, kinds)
	}
	t.Logf("the reasons tell the key of %d drills in %d", told, all)
	if all == 0 || 10*told < 6*all {
		t.Errorf("fewer than 60 %% of %d drills are told", all)
	}
}

// keepFound writes the drills of a card where the flag says.
func keepFound(t *testing.T, c *card.Card, drills []*Drill) {
	t.Helper()
	if *reasonsKept == "" {
		return
	}
	var b bytes.Buffer
	err := Write(&b, c, drills)
	if err == nil {
		err = os.WriteFile(filepath.Join(*reasonsKept, c.Name+".json"), b.Bytes(), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}
