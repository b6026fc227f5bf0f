package drill

import (
	"context"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
)

// Each part of a filter takes some and leaves some.
func TestFilter(t *testing.T) {
	d := Drill{Kind: Tempting, Position: typed(t, "2222b 3333b F N 9c 1d R", charleston.FirstAcross), Rating: NewRating}
	for name, c := range map[string]struct {
		f    Filter
		want bool
	}{
		"all":              {Filter{}, true},
		"kind":             {Filter{Kinds: []Kind{Blind, Tempting}}, true},
		"another kind":     {Filter{Kinds: []Kind{Blind}}, false},
		"step":             {Filter{Step: "first-across"}, true},
		"another step":     {Filter{Step: StepOfPlay}, false},
		"theme":            {Filter{Theme: OneSuit}, true},
		"another theme":    {Filter{Theme: Flowers}, false},
		"difficulty":       {Filter{Difficulty: MiddleDrill}, true},
		"other difficulty": {Filter{Difficulty: HardDrill}, false},
	} {
		if got := c.f.Holds(card.Practice(), &d); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	for above, want := range map[float64]Difficulty{-300: EasyDrill, 0: MiddleDrill, 300: HardDrill} {
		if got := (Rating{Value: NewRating.Value + above, Deviation: 60}).Difficulty(); got != want {
			t.Errorf("rated %+.0f: %s, wanted %s", above, got, want)
		}
	}
}

// Kinds that are never asked at a step are not looked for there, and a search for nothing says so.
func TestSearchKnowsItsSteps(t *testing.T) {
	for step, want := range map[string]string{
		"first-right": "plans tempting breaking", "first-left": "tempting breaking switch blind stop", "courtesy": "courtesy", StepOfPlay: "refuse take",
		"second-across": "tempting breaking switch", "last-right": "tempting breaking switch blind",
	} {
		f := Filter{Step: step}
		kinds, err := f.searched()
		var names []string
		for _, k := range kinds {
			names = append(names, string(k))
		}
		if got := strings.Join(names, " "); got != want || err != nil {
			t.Errorf("%s: %q, %v, wanted %q", step, got, err, want)
		}
	}
	for _, f := range []Filter{{Kinds: []Kind{Own}}, {Kinds: []Kind{Blind}, Step: "courtesy"}} {
		if _, err := (&Search{Filter: f}).Run(context.Background(), 0, nil); err == nil {
			t.Errorf("%+v is looked for", f)
		}
	}
}
