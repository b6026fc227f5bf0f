package queue

import (
	"context"
	"errors"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"secondpass/engine/sim"
)

// sharing makes the lists of several parties in one room.
func sharing(room *Room, parties int) (all []*Jobs) {
	for range parties {
		all = append(all, NewJobs(room, &sim.Gate{}, func(_ string, err error) string { return err.Error() }))
	}
	return all
}

// pieces is work of many pieces, each of which takes a moment; what it has done is published, and added up.
func pieces(each time.Duration, done *atomic.Int64) Work {
	return func(ctx context.Context, publish func(any)) error {
		for s := sim.StewardOf(ctx); ; {
			s.Hold(ctx)
			if ctx.Err() != nil {
				return ctx.Err()
			}
			time.Sleep(each)
			publish(done.Add(1))
		}
	}
}

// However much a party asks for, and however long its work takes, each gets the same share, and a newcomer does not wait for the end of anything.
func TestEachPartyHasItsShare(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		parties := sharing(NewRoom(1, 2), 3)
		var greedy [4]atomic.Int64
		var modest, late atomic.Int64
		for i := range greedy {
			parties[0].KeepOn(string(rune('a'+i)), pieces(100*time.Millisecond, &greedy[i]))
		}
		time.Sleep(time.Hour) // what nobody else wants is not to be paid for
		before := greedy[0].Load()
		parties[1].KeepOn("modest", pieces(200*time.Millisecond, &modest))
		time.Sleep(time.Second)
		if modest.Load() < 3 {
			t.Errorf("a newcomer had %d pieces after a second", modest.Load())
		}
		time.Sleep(2 * time.Minute)
		had := time.Duration(greedy[0].Load()-before) * 100 * time.Millisecond
		if other := time.Duration(modest.Load()) * 200 * time.Millisecond; had < 50*time.Second || other < 50*time.Second {
			t.Errorf("after two minutes the one with four pieces of work had %v, the one with one %v", had, other)
		}
		if greedy[1].Load()+greedy[2].Load()+greedy[3].Load() != 0 {
			t.Errorf("work of a party goes in the order in which it came")
		}
		first := modest.Load()
		before = greedy[0].Load()
		parties[2].KeepOn("late", pieces(100*time.Millisecond, &late))
		time.Sleep(3 * time.Minute)
		for who, had := range map[string]time.Duration{"greedy": time.Duration(greedy[0].Load()-before) * 100 * time.Millisecond, "modest": time.Duration(modest.Load()-first) * 200 * time.Millisecond, "late": time.Duration(late.Load()) * 100 * time.Millisecond} {
			if had < 50*time.Second || had > 70*time.Second {
				t.Errorf("of three minutes %s had %v", who, had)
			}
		}
		for _, p := range parties {
			p.Drain()
		}
	})
}

// Who waits is told where in the queue, the parties in turns; what stands aside for a moment keeps what it has shown.
func TestPlacesInTheQueue(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		parties := sharing(NewRoom(1, 1), 2)
		var n atomic.Int64
		parties[0].KeepOn("a", pieces(time.Second, &n))
		time.Sleep(time.Second)
		parties[0].KeepOn("b", until)
		synctest.Wait()
		parties[0].KeepOn("c", until)
		synctest.Wait()
		parties[1].KeepOn("d", until)
		synctest.Wait()
		said := func(of *Jobs, key string) string { return of.Now(key).Meanwhile() }
		want := []string{"", "Other simulations go first: this one is second in the queue.", "Other simulations go first: this one is third in the queue.", "Other simulations go first: this one is next in the queue."}
		if got := []string{said(parties[0], "a"), said(parties[0], "b"), said(parties[0], "c"), said(parties[1], "d")}; !slices.Equal(got, want) {
			t.Errorf("%q", got)
		}
		time.Sleep(20 * time.Second) // a makes room, and d has no pieces between which it would
		if a := parties[0].Now("a"); a.State != Waiting || !a.Begun() || a.Data == nil || parties[1].Now("d").State != Running || parties[0].Now("b").State != Waiting {
			t.Errorf("a %+v, d %v, b %v", a, parties[1].Now("d").State, parties[0].Now("b").State)
		}
		parties[1].End("d")
		synctest.Wait()
		if a := parties[0].Now("a").State; a != Running {
			t.Errorf("a goes on before b, which has not begun: %v", a)
		}
		for n, want := range map[int]string{1: "next in the queue", 2: "second in the queue", 10: "tenth in the queue", 11: "number 11 in the queue"} {
			if got := inLine(n); got != want {
				t.Errorf("%d: %s", n, got)
			}
		}
		parties[0].Drain()
	})
}

// allowed is an allowance of so much.
type allowed struct {
	mu   sync.Mutex
	left time.Duration
}

var errSpent = errors.New("No more today.")

func (a *allowed) Left() error { return a.Spend(0) }

func (a *allowed) Spend(core time.Duration) error {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.left -= core
	if a.left <= 0 {
		return errSpent
	}
	return nil
}

// Work ends where the allowance does, with what it has and a sentence on why; none is begun afterwards.
func TestAllowance(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		jobs := newJobs(1)
		jobs.Allow(&allowed{left: 5 * time.Second})
		work := func(ctx context.Context, publish func(any)) error {
			done, err := sim.InOrder(ctx, sim.PiecesOf(0, 100, func() (func(context.Context, int) (int, error), error) {
				return func(context.Context, int) (int, error) { time.Sleep(time.Second); return 0, nil }, nil
			}, func(int, int) error { return nil }))
			publish(done)
			return err
		}
		if err := jobs.KeepOn("work", work); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Minute)
		if got := jobs.Now("work"); got.State != Failed || got.Error != "Told: No more today." || got.Data == nil || got.Data.(int) > 8 {
			t.Errorf("%+v", got)
		}
		if err := jobs.Start("more", always(until)); !errors.Is(err, errSpent) || jobs.Find("more") != nil {
			t.Errorf("begun with nothing left: %v", err)
		}
	})
}

// away is a runner on other machines.
type away struct{ until chan struct{} }

func (a away) Do(_ context.Context, p *sim.Pieces) (int, error) { <-a.until; return p.To, nil }

// What other machines do takes no place here, but its party still waits for its end with what else it has.
func TestElsewhere(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		parties := sharing(NewRoom(1, 1), 2)
		over := make(chan struct{})
		parties[0].KeepOn("sent", func(ctx context.Context, publish func(any)) error {
			_, err := sim.InOrder(sim.WithRunner(ctx, Elsewhere(away{over})), &sim.Pieces{To: 1})
			publish("back")
			return err
		})
		synctest.Wait()
		parties[0].KeepOn("next", until)
		parties[1].KeepOn("other", until)
		synctest.Wait()
		if sent, next, other := parties[0].Now("sent").State, parties[0].Now("next").State, parties[1].Now("other").State; sent != Running || next != Waiting || other != Running {
			t.Errorf("sent %v, next %v, other %v", sent, next, other)
		}
		close(over)
		synctest.Wait()
		if got := parties[0].Now("sent"); got.State != Waiting {
			t.Errorf("come back to a full room: %v", got.State)
		}
		parties[1].End("other")
		synctest.Wait()
		if got := parties[0].Now("sent"); got.State != Done || got.Data != "back" {
			t.Errorf("at its end: %+v", got)
		}
		parties[0].Drain()
	})
}
