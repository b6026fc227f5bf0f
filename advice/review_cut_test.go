package advice

import (
	"context"
	"testing"

	"secondpass/exercise"
	"secondpass/internal/beginner"
	"secondpass/rules/charleston"
)

// A review that is stopped keeps a ledger that closes, of all decisions judged but the last.
func TestStoppedReviewCloses(t *testing.T) {
	e := newExercise(t, charleston.South, exercise.TablePasses, 7)
	if _, err := e.WalkAll([][]string{nil}); err != nil {
		t.Fatal(err)
	}
	passed := len(e.Routes[0].Decisions)
	for range 3 {
		trail, err := e.Replay(e.Routes[0])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := e.Act("A", beginner.Action(trail.Game.View().Legal())); err != nil {
			t.Fatal(err)
		}
	}
	c := counsel(t, "nearest")
	for _, after := range []int{1, 3, passed, passed + 2} {
		ctx, stop := context.WithCancel(context.Background())
		judged := 0
		rev, err := c.Review(ctx, e, e.Routes[0], Budget{Games: 40}, func(done, _ int) {
			judged++
			if done >= after {
				stop()
			}
		})
		stop()
		if err == nil {
			t.Errorf("stopped after %d: no error", after)
		}
		if judged < 2 {
			if rev != nil {
				t.Errorf("stopped after %d: a ledger of nothing", after)
			}
			continue
		}
		if rev == nil {
			t.Errorf("stopped after %d: no ledger: %v", after, err)
			continue
		}
		if n := len(rev.Entries) + len(rev.Play); n != judged-1 {
			t.Errorf("stopped after %d: %d judged, %d in the ledger", after, judged, n)
		}
		telescopes(t, rev)
	}
}
