package desk

import (
	"slices"
	"testing"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
)

// Each reviewed decision, of the passing and of the play, stands in the record with the themes of the rack before it.
func TestReviewedDecisionsHaveThemes(t *testing.T) {
	d, s, _ := smallDesk(t)
	ana, err := s.AddStudent("Ana")
	if err != nil {
		t.Fatal(err)
	}
	e, err := exercise.NewTable("Evening", card.Practice(), house.Usual, charleston.South, tile.MustParse("FF 11c 22c 5b 7d 9d NEW J"), "nearest", 5)
	if err != nil {
		t.Fatal(err)
	}
	if err := e.WalkOn("A", 0); err != nil {
		t.Fatal(err)
	}
	x, err := s.Add(e)
	if err != nil {
		t.Fatal(err)
	}
	r, rev := x.Routes[0], &advice.Review{}
	trail, err := x.Replay(r)
	if err != nil {
		t.Fatal(err)
	}
	var want [][]drill.Theme
	for _, snap := range trail.Snapshots {
		rev.Entries = append(rev.Entries, advice.Entry{Decision: snap.Decision})
		want = append(want, drill.ThemesOfRack(x.Card, snap.View.Rack))
	}
	// The play: whatever may be thrown first, let go all else. Only every second decision was worth a word.
	for n := range 8 {
		trail, err = x.Replay(r)
		if err != nil {
			t.Fatal(err)
		}
		state := trail.Game.State()
		if state.Phase() == table.Over {
			t.Fatal("the game is over")
		}
		legal := state.Legal(charleston.South)
		at := max(0, slices.IndexFunc(legal, func(a table.Action) bool { return a.Kind == table.Discard || a.Kind == table.Decline }))
		if n%2 == 0 {
			rack := state.Rack(charleston.South)
			rev.Play = append(rev.Play, advice.PlayEntry{Action: legal[at], Number: r.Len()})
			want = append(want, drill.ThemesOfRack(x.Card, rack))
		}
		if _, err := x.Act("A", legal[at]); err != nil {
			t.Fatal(err)
		}
	}
	if kept, err := d.Record("Ana", x, r, rev); err != nil || kept != len(want) {
		t.Fatal(kept, err)
	}
	tries, err := s.Tries(ana.ID)
	if err != nil || len(tries) != len(want) {
		t.Fatal(len(tries), err)
	}
	for i, try := range tries {
		if len(want[i]) == 0 || !slices.Equal(try.Themes, want[i]) {
			t.Errorf("decision %d, %s: %q, wanted %q", i, try.Step, try.Themes, want[i])
		}
	}
	if last := want[len(want)-1]; slices.Equal(last, want[0]) {
		t.Errorf("the rack is about %q all the time; nothing is told apart here", last)
	}
}
