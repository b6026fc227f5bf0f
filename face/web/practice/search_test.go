package practice

import (
	"testing"

	"secondpass/teach/drill"
)

// A search skips the deals of an earlier one only where that looked for the same.
func TestSearchGoesOnBehindItsLike(t *testing.T) {
	t.Parallel()
	stop, plans := []drill.Kind{drill.Stopping}, []drill.Kind{drill.Plans}
	for _, c := range []struct {
		name   string
		before any
		want   uint64
	}{
		{"the first search", nil, 3},
		{"the same again", &workState{seed: 5, Filter: drill.Filter{Kinds: stop}, next: 40}, 40},
		{"another seed", &workState{seed: 6, Filter: drill.Filter{Kinds: stop}, next: 40}, 3},
		{"another kind", &workState{seed: 5, Filter: drill.Filter{Kinds: plans}, next: 40}, 3},
		{"the same, not so far", &workState{seed: 5, Filter: drill.Filter{Kinds: stop}, next: 2}, 3},
	} {
		w := workState{seed: 5, Filter: drill.Filter{Kinds: stop}, next: 3}
		if w.goOn(c.before); w.next != c.want {
			t.Errorf("%s: begins at deal %d, wanted %d", c.name, w.next, c.want)
		}
	}
}
