package hall_test

import (
	"context"
	"fmt"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"secondpass/hall"
	"secondpass/teach/class"
)

func TestLimits(t *testing.T) {
	now := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	l := hall.NewLimits(1, 3, nil, func() time.Time { return now })
	take := func(address string) bool { _, ok := l.Take(address); return ok }
	for i, want := range []bool{true, true, true, false} {
		if take("a") != want {
			t.Errorf("at once, number %d: %v", i+1, !want)
		}
	}
	if !take("b") {
		t.Error("one address stops another")
	}
	if now = now.Add(time.Second); !take("a") || take("a") {
		t.Error("after a second there is one more")
	}
	if refund, ok := l.Take("b"); ok {
		refund()
	}
	if !take("b") || !take("b") || !take("b") || take("b") {
		t.Error("what was given back is lost")
	}
	if now = now.Add(-time.Hour); take("c") != true {
		t.Error("a clock that goes back stops a new address")
	}
}

func TestWrongCodesAreCounted(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		code := h.room.Now().Code
		for range 30 {
			if rm, err := h.hall.ByCode("a", " "+code); err != nil || rm != h.room {
				t.Fatal("the right code:", err)
			}
		}
		wrong := "CCCCC"
		if wrong == code {
			wrong = "DDDDD"
		}
		for i := range 10 {
			if _, err := h.hall.ByCode("a", wrong); kind(err) != hall.Unknown {
				t.Fatalf("wrong code %d: %v", i, err)
			}
		}
		if _, err := h.hall.ByCode("a", wrong); kind(err) != hall.TooOften {
			t.Error(err)
		}
		if _, err := h.hall.ByCode("a", code); kind(err) != hall.TooOften {
			t.Error("the right code tells itself apart from wrong ones", err)
		}
		if _, err := h.hall.ByCode("b", code); err != nil {
			t.Error(err)
		}
		time.Sleep(6 * time.Second)
		if _, err := h.hall.ByCode("a", code); err != nil {
			t.Error("after a while:", err)
		}
	})
}

func TestEndingAndDeleting(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		code := h.room.Now().Code
		_, token, err := h.room.Join("Plum", "phone of Plum")
		h.ok(err)
		h.openVote("Class")
		if err := h.room.End(); kind(err) != hall.Wrong {
			t.Errorf("ending in mid-vote: %v", err)
		}
		h.count()
		h.ok(h.room.End())
		h.ok(h.room.End())
		h.onDisk()
		if _, err := h.hall.ByCode("a", code); kind(err) != hall.Unknown {
			t.Error("the code still lets in", err)
		}
		if _, _, err := h.room.Join("Fig", "phone of Fig"); kind(err) != hall.Wrong {
			t.Error("somebody joins a class that has ended", err)
		}
		ended := false
		must(h.room.Enter(1, func() { ended = true }))
		last := h.room.Now()
		h.ok(h.hall.Delete(h.room))
		if !ended || !closed(last.PhonesChange()) {
			t.Error("phones of a deleted class are not told")
		}
		if _, _, err := h.hall.ByToken(token); kind(err) != hall.Stranger {
			t.Error(err)
		}
		if _, err := h.hall.Room(h.room.ID); kind(err) != hall.Unknown {
			t.Error(err)
		}
	})
}

// Guessers at fifty addresses use up what all together may guess; students at other addresses come in all the same, and
// so do five hundred behind one.
func TestGuessersKeepNobodyOut(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		code := h.room.Now().Code
		wrong := "CCCCC"
		if wrong == code {
			wrong = "DDDDD"
		}
		tried := 0
		for range 12 {
			for g := range 50 {
				if _, err := h.hall.ByCode(fmt.Sprint("guesser ", g), wrong); kind(err) == hall.Unknown {
					tried++
				}
			}
		}
		if tried > 120+50 {
			t.Errorf("%d wrong codes were tried at once", tried)
		}
		var students sync.WaitGroup
		for i := range 500 {
			address := "hall"
			if i%2 == 0 {
				address = fmt.Sprint("student ", i)
			}
			students.Go(func() {
				if _, err := h.hall.ByCode(address, code); err != nil {
					t.Errorf("from %s: %v", address, err)
				}
			})
		}
		students.Wait()
		if _, err := h.hall.ByCode("guesser 1", code); kind(err) != hall.TooOften {
			t.Errorf("the right code tells itself apart for a guesser: %v", err)
		}
	})
}

func TestClosingTheWayIn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		plum := h.join("Plum")
		code := h.room.Now().Code
		h.ok(h.room.LetIn(true)) // it is open already
		if h.room.Now().Code != code {
			t.Error("a second tap changes the code")
		}
		h.ok(h.room.LetIn(false))
		h.onDisk()
		if _, err := h.hall.ByCode("a", code); kind(err) != hall.Unknown {
			t.Errorf("the code still lets in: %v", err)
		}
		h.openVote("Class")
		h.ok(h.vote(plum, 1, "1b 4c 7d"))
		h = h.again()
		defer func() { h.stop() }()
		h.ok(h.room.LetIn(true))
		h.onDisk()
		if again := h.room.Now().Code; again == "" || again == code {
			t.Errorf("the new code is %q after %q", again, code)
		}
		if rm, err := h.hall.ByCode("b", h.room.Now().Code); err != nil || rm != h.room {
			t.Error(err)
		}
		h.count()
		h.ok(h.room.End())
		if err := h.room.LetIn(true); kind(err) != hall.Wrong {
			t.Errorf("a class that has ended lets in: %v", err)
		}
	})
}

// The link lets in whoever scans it, however many codes were guessed from the same address; it ends with the code.
func TestTheLinkPassesGuessers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		link := h.room.Now().Link
		if len(link) != 22 {
			t.Fatalf("the link is %q", link)
		}
		wrong := "CCCCC"
		if wrong == h.room.Now().Code {
			wrong = "DDDDD"
		}
		for range 20 {
			h.hall.ByCode("hall", wrong)
		}
		if _, err := h.hall.ByCode("hall", h.room.Now().Code); kind(err) != hall.TooOften {
			t.Errorf("after 20 guesses a code is looked up: %v", err)
		}
		if rm, err := h.hall.ByCode("hall", link); err != nil || rm != h.room {
			t.Errorf("the link does not let in: %v", err)
		}
		h.ok(h.room.LetIn(false))
		if _, err := h.hall.ByCode("hall", link); kind(err) != hall.Unknown {
			t.Errorf("after joining was closed the link still lets in: %v", err)
		}
		h.ok(h.room.LetIn(true))
		if again := h.room.Now().Link; again == "" || again == link {
			t.Errorf("the new link is %q", again)
		}
		h.onDisk()
	})
}

// One phone joins under three names and no more, also after a restart and when they were taken out; others come in.
func TestOnePhoneHasFewNames(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		in := 0
		for i := range 500 {
			if _, _, err := h.room.Join(fmt.Sprint("Prank ", i), "one phone"); err == nil {
				in++
			} else if kind(err) != hall.Wrong {
				t.Fatal(err)
			}
		}
		if in != class.MaxNames {
			t.Errorf("one phone joined under %d names", in)
		}
		for id := 1; id <= in; id++ {
			h.ok(h.room.Remove(id))
		}
		h = h.again()
		defer func() { h.stop() }()
		if _, _, err := h.room.Join("Prank", "one phone"); kind(err) != hall.Wrong {
			t.Errorf("after a restart: %v", err)
		}
		if id := h.join("Plum"); id != class.MaxNames+1 {
			t.Errorf("the number %d is given again", id)
		}
		h.onDisk()
	})
}

// Names from one address come at a bounded rate; five hundred phones behind one address are in within a minute.
func TestAHallArrives(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		begun := time.Now()
		var all sync.WaitGroup
		for range 500 {
			all.Go(func() { h.ok(h.hall.Arrive(t.Context(), "hall")) })
		}
		time.Sleep(time.Second)
		if err := h.hall.Arrive(t.Context(), "another"); err != nil || time.Since(begun) > time.Second {
			t.Errorf("another address waits: %v", err)
		}
		all.Wait()
		if took := time.Since(begun); took < 40*time.Second || took > time.Minute {
			t.Errorf("the hall is in after %v", took)
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Millisecond)
		defer cancel()
		if err := h.hall.Arrive(ctx, "hall"); kind(err) != hall.TooOften {
			t.Errorf("one too many: %v", err)
		}
	})
}

// A student who is taken out is gone with every answer, from what is shown and from the disk, also when an answer was on
// its way; the phone is told, and others stay.
func TestTakingAStudentOut(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		_, token, err := h.room.Join("Rude", "phone")
		h.ok(err)
		plum := h.join("Plum")
		h.openVote("Class")
		h.ok(h.vote(1, 1, "1b 4c 7d"))
		h.ok(h.vote(plum, 1, "2b 4c 7d"))
		h.count()
		h.ok(h.room.Follow(1, []class.Choice{three("1b 4c 7d")}, ""))
		h.openVote("Class")
		before, ended := h.room.Now(), false
		leave, err := h.room.Enter(1, func() { ended = true })
		h.ok(err)
		defer leave()
		release := h.disk.hold()
		answer := make(chan error, 1)
		tiles := threeOf(h.room.Now().Round().Question.Rack, 0)
		go func() {
			now := time.Now()
			answer <- h.room.Vote(1, 2, class.Vote{Seq: 1, Choice: tiles, Made: now, Received: now})
		}()
		synctest.Wait()
		out := make(chan error, 1)
		go func() { out <- h.room.Remove(1) }()
		synctest.Wait()
		release()
		h.ok(<-out)
		<-answer // kept and then deleted, or refused
		h.ok(h.room.Remove(1))
		if !ended || !closed(before.PhonesChange()) {
			t.Error("phones are not told")
		}
		if _, _, err := h.hall.ByToken(token); kind(err) != hall.Stranger {
			t.Errorf("the phone's place: %v", err)
		}
		if err := h.vote(1, 2, "1b"); err == nil {
			t.Error("one who is out still answers")
		}
		look := func() {
			t.Helper()
			h.onDisk()
			now := h.room.Now()
			if len(now.Students) != 1 || now.Students[0].ID != plum || len(now.Rounds[0].Votes) != 1 || len(now.Rounds[1].Votes) != 0 {
				t.Errorf("left are %v, with the answers %v and %v", now.Students, now.Rounds[0].Votes, now.Rounds[1].Votes)
			}
		}
		look()
		h = h.again()
		defer func() { h.stop() }()
		look()

	})
}
