package wording

import (
	"strings"
	"testing"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// A reason is said where a cost is shown and the best is another decision, and nowhere else; what can be seen and says the opposite of the
// games is called so.
func TestWhyADecisionCosts(t *testing.T) {
	e, err := exercise.New("Monday", card.Practice(), house.Usual, charleston.South, tile.MustParse("2222b 3333b F N 9c 1d R"), exercise.MockPasses, 3)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.WalkAll([][]string{{"Big Groups"}}); err != nil {
		t.Fatal(err)
	}
	trail, err := e.Replay(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	taken := trail.Snapshots[0].Decision
	parcel := func(text string) charleston.Action {
		own, err := exercise.ParseParcel(text, tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		return charleston.Action{Seat: charleston.South, Kind: charleston.Pass, Own: own}
	}
	cost := func(low, high unit.ChanceDifference) advice.Worth {
		return advice.Worth{Cost: stat.Interval[unit.ChanceDifference]{Value: (low + high) / 2, Low: low, High: high, N: 100}}
	}
	better, worse := parcel("9c 1d R"), parcel("2b 3b N")
	for name, c := range map[string]struct {
		taken charleston.Parcel
		best  charleston.Action
		worth advice.Worth
		want  string // what the phrase begins with; "" for none
	}{
		"no cost shown":         {better.Own, worse, cost(-0.01, 0.03), ""},
		"the best itself":       {worse.Own, worse, cost(0.01, 0.03), ""},
		"against what is seen":  {better.Own, worse, cost(0.01, 0.03), "What can be seen speaks for it, the games against it. "},
		"as what is seen tells": {worse.Own, better, cost(0.01, 0.03), "Sets back"},
	} {
		d := taken
		d.Own = c.taken
		rev := &advice.Review{Entries: []advice.Entry{{Decision: d, Best: c.best, Worth: c.worth}}}
		got := EntryWhy(e, &trail, rev, 0).Text()
		if c.want == "" && got != "" || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: %q, wanted %q", name, got, c.want)
		}
	}
}
