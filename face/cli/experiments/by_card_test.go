package experiments

import (
	"testing"

	"secondpass/engine/stat"
	"secondpass/research/experiment"
)

// Where a comparison has which verdict is told in one word only where it is the same on every card.
func TestWhere(t *testing.T) {
	t.Parallel()
	verdict := func(v stat.Verdict) *experiment.Comparison { return &experiment.Comparison{Verdict: v} }
	holds, not, open := verdict(stat.Holds), verdict(stat.DoesNotHold), verdict(stat.NotShown)
	explained := &experiment.Comparison{Verdict: stat.Holds, Own: &experiment.Own{Explains: true}}
	cards := []string{"A", "B", "C"}
	for want, on := range map[string][]*experiment.Comparison{
		"On all 3 cards: holds":                                        {holds, holds, holds},
		"On A, B: holds":                                               {holds, holds, nil},
		"On B: holds; A, C: does not hold":                             {not, holds, not},
		"On C: does not hold; B: not shown":                            {nil, open, not},
		"On all 3 cards: not shown":                                    {open, open, open},
		"On A: holds; B, C: holds; the seat's own wins can explain it": {holds, explained, explained},
	} {
		if got := (&line{on: on}).where(cards); got != want {
			t.Errorf("%q instead of %q", got, want)
		}
	}
	if h, n := (&line{on: []*experiment.Comparison{holds, not, nil}}).inFavour(); h != 1 || n != 1 {
		t.Error(h, n)
	}
}

// Deals without a value are not counted among those behind a difference.
func TestCounted(t *testing.T) {
	t.Parallel()
	for want, n := range map[string][2]int{"64 deals": {64, 64}, "1 deal": {1, 1}, "0 of 64 deals count": {0, 64}, "12 of 64 deals count": {12, 64}} {
		if got := counted(n[0], n[1]); got != want {
			t.Errorf("%q instead of %q", got, want)
		}
	}
}
