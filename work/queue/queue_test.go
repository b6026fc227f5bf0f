package queue

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"secondpass/engine/sim"
)

func newJobs(atOnce int) *Jobs {
	return NewJobs(NewRoom(atOnce, atOnce), &sim.Gate{}, func(_ string, err error) string { return "Told: " + err.Error() })
}

// until is work that goes on until it is stopped.
func until(ctx context.Context, publish func(any)) error {
	publish("begun")
	<-ctx.Done()
	return ctx.Err()
}

func always(w Work) func(int, any) Work { return func(int, any) Work { return w } }

// What nobody watches is stopped in a while, what somebody watches is not, nor what is kept on.
func TestUnwatchedIsStopped(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		jobs := newJobs(3)
		jobs.Start("left", always(until))
		jobs.Start("watched", always(until))
		leave := jobs.Find("watched").Watch()
		jobs.KeepOn("kept", until)
		time.Sleep(unwatched + time.Second)
		synctest.Wait()
		for key, want := range map[string]State{"left": Stopped, "watched": Running, "kept": Running} {
			if got := jobs.Now(key); got.State != want || got.Data != "begun" {
				t.Errorf("%s: %v, %v; want %v", key, got.State, got.Data, want)
			}
		}
		leave()
		time.Sleep(unwatched + time.Second)
		if got := jobs.Now("watched").State; got != Stopped {
			t.Errorf("after its watcher left: %v", got)
		}
		jobs.Drain()
	})
}

// One that has no room waits until another ends; stopped while it waits it never begins.
func TestRoom(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		jobs := newJobs(1)
		jobs.KeepOn("first", until)
		synctest.Wait()
		jobs.KeepOn("second", until)
		jobs.KeepOn("third", until)
		synctest.Wait()
		jobs.Halt("third")
		synctest.Wait()
		if first, second, third := jobs.Now("first"), jobs.Now("second"), jobs.Now("third"); first.State != Running || !second.Waiting() || third.State != Stopped || third.Data != nil {
			t.Errorf("first %v, second %v, third %v, %v", first.State, second.State, third.State, third.Data)
		}
		jobs.End("first")
		synctest.Wait()
		if first, second := jobs.Now("first").State, jobs.Now("second").State; first != Stopped || second != Running {
			t.Errorf("after the first ended: first %v, second %v", first, second)
		}
		jobs.Drain()
	})
}

// Gone on with, work is told how often it was begun and what it had; begun twice it goes on as it was.
func TestGoOn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		jobs := newJobs(1)
		begin := func(round int, before any) Work {
			return func(ctx context.Context, publish func(any)) error {
				publish(fmt.Sprint(round, " after ", before))
				<-ctx.Done()
				return nil
			}
		}
		jobs.Start("a", begin)
		jobs.Start("a", begin)
		synctest.Wait()
		jobs.End("a")
		if got := jobs.Now("a").Data; got != "0 after <nil>" {
			t.Errorf("at first: %v", got)
		}
		jobs.Start("a", begin)
		synctest.Wait()
		jobs.End("a")
		if got := jobs.Now("a").Data; got != "1 after 0 after <nil>" {
			t.Errorf("gone on with: %v", got)
		}
	})
}

// Who ends a job waits until what it has is kept, but not for ever.
func TestEndWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		jobs := newJobs(1)
		kept := false
		jobs.KeepOn("slow", func(ctx context.Context, _ func(any)) error {
			<-ctx.Done()
			time.Sleep(farewell / 2)
			kept = true
			return nil
		})
		synctest.Wait()
		if jobs.End("slow"); !kept {
			t.Error("ended before it was kept")
		}
		begin := time.Now()
		jobs.KeepOn("stuck", func(ctx context.Context, _ func(any)) error { time.Sleep(time.Hour); return nil })
		synctest.Wait()
		if jobs.End("stuck"); time.Since(begin) != farewell {
			t.Errorf("waited %v for one that does not end", time.Since(begin))
		}
		time.Sleep(time.Hour) // until it does
	})
}

// A failure is told once, in words; one that comes of the stop is none.
func TestFailure(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		jobs := newJobs(2)
		jobs.Start("broken", always(func(context.Context, func(any)) error { return errors.New("no disk") }))
		jobs.Start("stopped", always(until))
		jobs.End("stopped")
		synctest.Wait()
		if got := jobs.Now("broken"); got.State != Failed || got.Error != "Told: no disk" {
			t.Errorf("%v, %q", got.State, got.Error)
		}
		if got := jobs.Now("stopped"); got.State != Stopped || got.Error != "" {
			t.Errorf("%v, %q", got.State, got.Error)
		}
		if _, err := jobs.Watched("none"); !errors.Is(err, ErrNothing) {
			t.Errorf("a key without a job: %v", err)
		}
	})
}

// Room for more is made by forgetting those that are over, the one longest not looked at first; those that run stay.
func TestForgetting(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		jobs := newJobs(1)
		jobs.KeepOn("runs", until)
		synctest.Wait()
		for i := range jobsKept {
			key := fmt.Sprint(i)
			jobs.Start(key, always(until))
			jobs.End(key)
			time.Sleep(time.Second)
			jobs.Now("0") // looked at all the time
		}
		if jobs.Find("runs") == nil || jobs.Find("0") == nil || jobs.Find("1") != nil || jobs.Find("2") == nil {
			t.Errorf("runs %v, 0 %v, 1 %v, 2 %v", jobs.Find("runs"), jobs.Find("0"), jobs.Find("1"), jobs.Find("2"))
		}
		jobs.Drain()
	})
}

// However often figures come, they are published twice a second.
func TestSeldom(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		published, made := 0, 0
		told := Seldom(func(any) { published++ })
		for range 101 {
			told(func() any { made++; return made })
			time.Sleep(100 * time.Millisecond)
		}
		if published < 17 || published > 21 || made != published {
			t.Errorf("in ten seconds: %d published, %d made", published, made)
		}
	})
}

// Those who watch are told what is done first, until there is something to show; outside of a job a note goes nowhere.
func TestNote(t *testing.T) {
	Note(context.Background(), "Nobody hears this.")
	synctest.Test(t, func(t *testing.T) {
		jobs := newJobs(1)
		jobs.KeepOn("first", until)
		synctest.Wait()
		jobs.KeepOn("noting", func(ctx context.Context, publish func(any)) error {
			Note(ctx, "Making ready.")
			time.Sleep(time.Second)
			return until(ctx, publish)
		})
		synctest.Wait()
		said := func() string { return jobs.Now("noting").Meanwhile() }
		if got := said(); got != "Other simulations go first: this one is next in the queue." {
			t.Errorf("without room: %q", got)
		}
		jobs.End("first")
		synctest.Wait()
		if got := said(); got != "Making ready." {
			t.Errorf("at its beginning: %q", got)
		}
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if got := said(); got != "" {
			t.Errorf("once something is found: %q", got)
		}
		jobs.Drain()
	})
}

// Lists that share a room wait for each other, in the order in which they came.
func TestSharedRoom(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		room := NewRoom(1, 1)
		tell := func(_ string, err error) string { return err.Error() }
		ana, bea := NewJobs(room, &sim.Gate{}, tell), NewJobs(room, &sim.Gate{}, tell)
		if ana.Working() {
			t.Error("a list with nothing in it works")
		}
		ana.KeepOn("a", until)
		synctest.Wait()
		bea.KeepOn("a", until)
		synctest.Wait()
		if !bea.Now("a").Waiting() || !bea.Working() {
			t.Errorf("the second list: %v", bea.Now("a").State)
		}
		ana.End("a")
		synctest.Wait()
		if bea.Now("a").State != Running || ana.Working() {
			t.Errorf("after the first ended: %v", bea.Now("a").State)
		}
		bea.Drain()
	})
}

// What is to be shown at once is there as soon as the work was asked for, also while it waits; what the work publishes takes its place, and what
// an earlier round has left is not hidden by it.
func TestStartShowing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		room := NewRoom(1, 1)
		jobs := NewJobs(room, &sim.Gate{}, func(_ string, err error) string { return err.Error() })
		jobs.KeepOn("first", until)
		synctest.Wait()
		next := func(int, any) Work {
			return func(_ context.Context, publish func(any)) error { publish("figures"); return nil }
		}
		jobs.StartShowing("a", "asked for", next)
		if now := jobs.Now("a"); now.Data != "asked for" || !now.Waiting() {
			t.Errorf("while it waits: %+v", now)
		}
		jobs.End("first")
		synctest.Wait()
		if now := jobs.Now("a"); now.Data != "figures" || now.State != Done {
			t.Errorf("when it is done: %+v", now)
		}
		jobs.KeepOn("last", until)
		synctest.Wait()
		jobs.StartShowing("a", "asked for", next)
		if now := jobs.Now("a"); now.Data != "figures" {
			t.Errorf("asked for again: %+v", now)
		}
		jobs.Drain()
	})
}
