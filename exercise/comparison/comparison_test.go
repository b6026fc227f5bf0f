package comparison

import (
	"testing"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Two routes, one with an aim, walked to their ends: every measure has a value for both, and what is compared is the second
// less the first.
func TestAtEnd(t *testing.T) {
	e, err := exercise.New("Try", card.Practice(), house.Usual, charleston.South, tile.MustParse("2238b 449c 15d W FF J"), exercise.MockPasses, 4711)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.WalkAll([][]string{nil, {"Compass"}}); err != nil {
		t.Fatal(err)
	}
	var columns []exercise.Column
	for _, r := range e.Routes {
		c, err := e.Column(r)
		if err != nil {
			t.Fatal(err)
		}
		columns = append(columns, c)
	}
	keys := map[string]bool{}
	for _, row := range AtEnd(columns) {
		if keys[row.Key] || row.Label == "" || row.Note == "" || (row.Less == "") != (row.More == "") {
			t.Errorf("measure %+v", row.Measure)
		}
		keys[row.Key] = true
		for n := range row.Values {
			if v := &row.Values[n]; v.None() {
				t.Errorf("%s has nothing of route %d", row.Key, n)
			}
		}
		more, ok := row.Compared(1)
		if ok != (row.Less != "") {
			t.Errorf("%s is compared: %v", row.Key, ok)
		}
		a, b := columns[0].End(), columns[1].End()
		if want, there := map[string]int{
			"nearest": b.Nearest.Away - a.Nearest.Away, "spare_best": b.SpareBest.Size() - a.SpareBest.Size(),
			"plan": b.Plan[0].Away - a.Plan[0].Away, "spare_plan": b.SparePlan.Size() - a.SparePlan.Size(), "options": b.Options - a.Options,
		}[row.Key]; there && more != want {
			t.Errorf("%s: %d more, want %d", row.Key, more, want)
		}
		v := &row.Values[1]
		switch row.Key {
		case "clean_best":
			if *v.Clean != (b.SpareBest.Size() <= 4) {
				t.Errorf("%d spare are clean: %v", b.SpareBest.Size(), *v.Clean)
			}
		case "multiples":
			for k, n := range v.Tiles {
				if kind := tile.Kind(k); n > 0 && (n < 2 || kind == tile.Joker) || n == 0 && b.Rack[k] >= 2 && kind != tile.Joker {
					t.Errorf("multiples of %s: %s", b.Rack, v.Tiles)
				}
			}
		case "plan":
			if len(v.Hands) != len(b.Plan) || v.Hands[0] == b.Nearest {
				t.Errorf("the plan is %s, nearest is %s; another exercise is needed", v.Hands[0].OnCard().Name, b.Nearest.OnCard().Name)
			}
		}
	}
	if !keys["nearest"] || !keys["gaps"] {
		t.Errorf("keys %v", keys)
	}
	// While the passing goes on no Charleston is clean or not.
	e.Routes[0].Decisions = e.Routes[0].Decisions[:1]
	c, err := e.Column(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range AtEnd([]exercise.Column{c}) {
		if v := &row.Values[0]; v.None() != (row.Key == "clean_best" || row.Key == "clean_plan") {
			t.Errorf("on the way %s has %+v", row.Key, *v)
		}
	}
}
