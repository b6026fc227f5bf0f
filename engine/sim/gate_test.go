package sim

import (
	"context"
	"sync/atomic"
	"testing"
	"testing/synctest"
)

// Half of the workers rest while somebody is inside, all go on some time after the last one left, and the results are the
// same. Time is that of the test's bubble.
func TestGate(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := &Gate{}
		leave := g.Enter()
		var passed atomic.Int32
		ctx, cancel := context.WithCancel(WithGate(t.Context(), g))
		defer cancel()
		for worker := range 4 {
			go func() {
				stepAside(ctx, worker, 4)
				passed.Add(1)
			}()
		}
		synctest.Wait()
		if n := passed.Load(); n != 2 {
			t.Errorf("%d of 4 workers go on while somebody waits; 2 are right", n)
		}
		again := g.Enter()
		leave()
		again()
		synctest.Wait()
		if n := passed.Load(); n != 2 {
			t.Errorf("%d workers go on right after the last one left; 2 are right", n)
		}
		g.wait(ctx) // the bubble's clock runs on
		synctest.Wait()
		if n := passed.Load(); n != 4 {
			t.Errorf("%d of 4 workers go on in the end", n)
		}
		stepAside(ctx, 3, 4) // an open gate holds nobody up
	})
}

// Whoever ends a run is not held up by the gate, and a single worker never rests.
func TestGateLetsGo(t *testing.T) {
	g := &Gate{}
	defer g.Enter()()
	ctx, cancel := context.WithCancel(WithGate(context.Background(), g))
	stepAside(ctx, 0, 1)
	cancel()
	stepAside(ctx, 1, 2)
}
