package workbook

import (
	"testing"

	"secondpass/advice"
	"secondpass/face/web/view"
	"secondpass/work/queue"
)

// A student's record needs every decision: a review that was stopped does not stand in for one that came to its end.
func TestStoppedReviewIsNoRecord(t *testing.T) {
	t.Parallel()
	ledger := &advice.Review{}
	for _, c := range []struct {
		name string
		data any
		want *advice.Review
	}{
		{"no review", nil, nil},
		{"a review that has judged nothing", &view.ReviewFound{}, nil},
		{"a stopped review", &view.ReviewFound{Ledger: ledger, Part: true}, nil},
		{"a review at its end", &view.ReviewFound{Ledger: ledger}, ledger},
	} {
		if got := wholeReview(queue.Shown{Data: c.data}); got != c.want {
			t.Errorf("%s: %v, wanted %v", c.name, got, c.want)
		}
	}
}
