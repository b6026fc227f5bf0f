package drill

import (
	"slices"
	"testing"

	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
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

// What a claim closes is what the rules of play say is open no more.
func TestReasonsOfAClaim(t *testing.T) {
	m := maker(t)
	p := claimPosition(t, m)
	c := m.counsel.Game.Card()
	reasons, err := p.Reasons(c)
	if err != nil {
		t.Fatal(err)
	}
	state, err := p.Position.Table(m.counsel.Game)
	if err != nil {
		t.Fatal(err)
	}
	seat := p.Position.Seat
	for i, r := range reasons {
		a := p.Choices[i].Play
		if a.Kind == table.Decline {
			if len(r.Claim.Closed) > 0 || r.Claim.Before != r.Claim.After {
				t.Errorf("letting go changes something: %+v", r.Claim)
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
		open := map[int]bool{}
		for _, v := range after.View(seat).Variants(seat) {
			open[c.Variants[v].Hand] = true
		}
		for h := range c.Hands {
			if slices.Contains(r.Claim.Closed, h) && open[h] {
				t.Errorf("%s: %s is said to be closed and is open", a, c.Hands[h].Name)
			}
		}
		if r.Claim.Jokers != int(a.Jokers) || r.Claim.After.Away >= r.Claim.Before.Away {
			t.Errorf("%s brings nothing nearer: %+v", a, r.Claim)
		}
	}
}

// Every choice of every kind of the passing has its facts.
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
		reasons, err := p.Reasons(m.counsel.Game.Card())
		if err != nil || len(reasons) != len(p.Choices) {
			t.Fatal(p.Kind, err)
		}
		for i, r := range reasons {
			if (r.Facts == nil) == (r.Plan == nil) || r.Choice.String() != p.Choices[i].String() {
				t.Errorf("%s, %s: %+v", p.Kind, p.Choices[i], r)
			}
		}
	}
}
