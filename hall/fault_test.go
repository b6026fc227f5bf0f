package hall_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"secondpass/hall"
	"secondpass/store"
	"secondpass/teach/class"
)

// Each act on a disk that is full is refused, changes nothing that is shown, and works once there is room again.
func TestNothingIsShownThatCouldNotBeSaved(t *testing.T) {
	counted := func(h *building) {
		h.openVote("Class")
		h.ok(h.vote(1, 1, "1b 4c 7d"))
		h.count()
	}
	for _, test := range []struct {
		name   string
		mode   class.Mode
		before func(h *building)
		act    func(h *building) error
	}{
		{"joining", class.Together, nil, func(h *building) error { _, _, err := h.room.Join("Fig", "phone of Fig"); return err }},
		{"opening a vote", class.Together, nil, func(h *building) error { return h.room.OpenVote(0, "Class") }},
		{"a choice", class.Together, func(h *building) { h.openVote("Class") }, func(h *building) error { return h.vote(1, 1, "1b 4c 7d") }},
		{"another choice", class.Together, func(h *building) { h.openVote("Class"); h.ok(h.vote(1, 1, "2b 4c 7d")) }, func(h *building) error { return h.vote(1, 2, "1b 4c 7d") }},
		{"the close", class.Together, func(h *building) { h.openVote("Class") }, func(h *building) error { return h.room.CloseVote(1) }},
		{"following", class.Together, counted, func(h *building) error { return h.room.Follow(1, []class.Choice{three("1b 4c 7d")}, "") }},
		{"a judgement", class.Together, counted, func(h *building) error { return h.room.KeepJudging(1, &class.Judgement{Games: 7}) }},
		{"the end", class.Together, counted, func(h *building) error { return h.room.End() }},
		{"a decision", class.Duplicate, nil, func(h *building) error { return h.room.Decide(1, 0, h.answer(1, 0)) }},
		{"taking a student out", class.Together, counted, func(h *building) error { return h.room.Remove(1) }},
		{"closing the way in", class.Together, nil, func(h *building) error { return h.room.LetIn(false) }},
		{"the ranking", class.Duplicate, nil, func(h *building) error { return h.room.ShowRanking(true) }},
		{"deleting", class.Together, nil, func(h *building) error { return h.hall.Delete(h.room) }},
	} {
		t.Run(test.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				h := open(t, test.mode, 0)
				defer h.stop()
				h.join("Plum")
				if test.before != nil {
					test.before(h)
				}
				before := h.room.Now()
				h.disk.fail(errFull)
				if err := test.act(h); kind(err) != hall.NotSaved {
					t.Errorf("on a full disk: %v", err)
				}
				h.onDisk()
				if now := h.room.Now(); test.name != "deleting" && (now.Unsaved == "" || closed(before.PhonesChange())) {
					t.Errorf("the teacher is told %q", now.Unsaved)
				}
				h.disk.fail(nil)
				h.ok(test.act(h))
				if test.name == "deleting" {
					if _, err := h.hall.Room(h.room.ID); kind(err) != hall.Unknown {
						t.Error(err)
					}
					return
				}
				h.onDisk()
				if now := h.room.Now(); now.Unsaved != "" {
					t.Errorf("after that the teacher is still told %q", now.Unsaved)
				}
			})
		})
	}
}

func TestAClassThatCannotBeSavedIsNotOpened(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		h.disk.fail(errFull)
		if _, err := h.hall.Open(must(h.disk.Load("1")), class.Together, 0, hall.Start{}); kind(err) != hall.NotSaved {
			t.Error(err)
		}
		if list := must(h.disk.Classes()); len(list) != 1 {
			t.Errorf("%d classes are listed", len(list))
		}
		if routes := must(h.disk.Load("1")).Routes; len(routes) != 2 {
			t.Errorf("a route without its class is on the sheet: %d routes", len(routes))
		}
	})
}

// A vote waits with its count for choices that are on their way to the disk, however long that takes.
func TestTheCountWaitsForTheDisk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		plum, fig := h.join("Plum"), h.join("Fig")
		h.openVote("Class")
		release := h.disk.hold()
		answers := make(chan error, 2)
		for _, student := range []int{plum, fig} {
			go func() { answers <- h.vote(student, 1, "1b 4c 7d") }()
		}
		synctest.Wait()
		closing := make(chan error, 1)
		go func() { closing <- h.room.CloseVote(1) }()
		time.Sleep(7 * time.Second)
		synctest.Wait()
		if r := h.room.Now().Round(); r.Counted || !r.Closed.IsZero() {
			t.Error("a close shows that is not on the disk")
		}
		release()
		h.ok(<-answers)
		h.ok(<-answers)
		h.ok(<-closing)
		time.Sleep(class.Grace)
		synctest.Wait()
		r := h.room.Now().Round()
		if answered, _ := r.Answered(); answered != 2 || !r.Counted {
			t.Errorf("%d of two choices count; counted: %v", answered, r.Counted)
		}
		h.onDisk()
	})
}

// A vote that closes by itself while nothing can be written is counted when the disk is back.
func TestTheDeadlineOnAFullDisk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 20)
		defer h.stop()
		h.join("Plum")
		h.openVote("Class")
		h.disk.fail(errFull)
		time.Sleep(30 * time.Second)
		synctest.Wait()
		now := h.room.Now()
		if now.Round().Counted || !now.Round().Closed.IsZero() || now.Unsaved == "" {
			t.Errorf("the close shows without being saved; the teacher is told %q", now.Unsaved)
		}
		if err := h.vote(1, 1, "1b 4c 7d"); kind(err) != hall.Late {
			t.Errorf("a choice after the deadline: %v", err)
		}
		h.disk.fail(nil)
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if !h.room.Now().Round().Counted {
			t.Error("the vote is never counted")
		}
		h.onDisk()
	})
}

// After a gap on the disk, as a write that failed once left one, a student goes on before it, and what came after it
// never comes back.
func TestAGapIsNamedAndMended(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Duplicate, 0)
		plum := h.join("Plum")
		h.ok(h.room.Decide(plum, 0, h.answer(plum, 0)))
		stray := store.KeptVote{Class: h.room.ID, Round: 3, Student: plum, Vote: class.Vote{Seq: 1, Choice: three("1b 2b 3b")}}
		log := h.disk.Store.NewVoteLog()
		h.ok(log.Append(t.Context(), stray))
		log.Close()
		h = h.again()
		if w := h.room.Now().Walk(plum); w.Gap != 2 || w.Result.Decided != 1 {
			t.Fatalf("the gap is at %d, with %d decisions before it", w.Gap, w.Result.Decided)
		}
		h.ok(h.room.Decide(plum, 1, h.answer(plum, 0)))
		h.onDisk()
		h = h.again()
		defer func() { h.stop() }()
		if w := h.room.Now().Walk(plum); w.Gap != 0 || w.Result.Decided != 2 {
			t.Errorf("after mending the gap is at %d, with %d decisions", w.Gap, w.Result.Decided)
		}
		h.ok(h.room.Decide(plum, 2, h.answer(plum, 0)))
		h.onDisk()
	})
}

// A decision on the disk that the rules do not allow is a gap as well.
func TestADecisionThatCannotBe(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Duplicate, 0)
		plum := h.join("Plum")
		log := h.disk.Store.NewVoteLog()
		h.ok(log.Append(t.Context(), store.KeptVote{Class: h.room.ID, Round: 1, Student: plum, Vote: class.Vote{Seq: 1, Choice: three("9b 9b 9b")}}))
		log.Close()
		h = h.again()
		defer func() { h.stop() }()
		if w := h.room.Now().Walk(plum); w == nil || w.Gap != 1 || w.Result.Decided != 0 {
			t.Fatalf("%+v", w)
		}
		h.ok(h.room.Decide(plum, 0, h.answer(plum, 0)))
		h.onDisk()
	})
}

// What cannot be read of a class is named, and the rest of it goes on.
func TestAClassThatIsReadInPart(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		plum, fig := h.join("Plum"), h.join("Fig")
		for n := 1; n <= 3; n++ {
			h.openVote("Class")
			h.ok(h.vote(plum, 1, "1b 4c 7d"))
			h.ok(h.vote(plum, 2, "2b 4c 7d"))
			h.ok(h.vote(fig, 1, "1b 4c 7d"))
			h.count()
		}
		h.ok(h.room.KeepJudging(2, &class.Judgement{Games: 7}))
		h.damage(`UPDATE class_rounds SET question = '{"step":99}' WHERE n = 1`)
		h.damage(`UPDATE class_rounds SET judgement = '{' WHERE n = 2`)
		h.damage(`UPDATE class_votes SET choice = '{"tiles":"1b' WHERE round = 2 AND student = 1 AND seq = 2`)
		h.damage(`UPDATE class_votes SET choice = '{"tiles":"999b"}' WHERE round = 3 AND student = 2`)
		h.damage(`UPDATE classes SET routes = 'x'`)
		h = h.again()
		defer func() { h.stop() }()
		now := h.room.Now()
		for _, want := range []string{"vote 1", "the answers cost in vote 2", "Plum in vote 2", "Fig in vote 3", "routes"} {
			if !slices.ContainsFunc(now.Unread, func(s string) bool { return strings.Contains(s, want) }) {
				t.Errorf("not named: %s in %q", want, now.Unread)
			}
		}
		if len(now.Unread) != 5 {
			t.Errorf("named are %q", now.Unread)
		}
		for i, want := range []int{0, 1, 1} {
			if answered, _ := now.Rounds[i].Answered(); answered != want {
				t.Errorf("vote %d has %d answers, not %d", i+1, answered, want)
			}
		}
		if _, err := h.room.Case(1); kind(err) != hall.Wrong {
			t.Errorf("a vote that cannot be read is judged: %v", err)
		}
		h.ok(h.room.Follow(3, []class.Choice{three("2b 4c 7d")}, ""))
		h.openVote(now.Routes[0])
		h.onDisk()
		h.count()
		h.ok(h.room.End())
	})
}

// A gap in the numbers of votes is a vote that is lost.
func TestAVoteThatIsMissing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		plum := h.join("Plum")
		for range 2 {
			h.openVote("Class")
			h.ok(h.vote(plum, 1, "1b 4c 7d"))
			h.count()
		}
		h.damage(`DELETE FROM class_rounds WHERE n = 1`)
		h = h.again()
		defer func() { h.stop() }()
		now := h.room.Now()
		if len(now.Rounds) != 2 || !now.Rounds[0].Lost || now.Rounds[1].Lost || len(now.Unread) != 1 {
			t.Fatalf("%+v %q", now.Rounds, now.Unread)
		}
		if answered, _ := now.Rounds[1].Answered(); answered != 1 {
			t.Error("the answer to the other is lost")
		}
	})
}

// A class goes on with a route that was renamed on the sheet.
func TestARenamedRoute(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		plum := h.join("Plum")
		h.openVote("Class")
		h.ok(h.vote(plum, 1, "1b 4c 7d"))
		x := must(h.disk.Load("1"))
		h.ok(x.RenameRoute("Class", "Monday"))
		h.ok(h.disk.Save(x))
		h.count()
		h.ok(h.room.Follow(1, []class.Choice{three("1b 4c 7d")}, ""))
		h = h.again()
		defer func() { h.stop() }()
		h.openVote(h.room.Now().Routes[0])
		if route := must(must(h.disk.Load("1")).Route("Monday")); len(route.Decisions) != 1 {
			t.Errorf("the renamed route has %d decisions", len(route.Decisions))
		}
	})
}

// The exercise of a class that goes on is not deleted; afterwards it is.
func TestAnExerciseInUse(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Duplicate, 0)
		defer h.stop()
		if _, err := h.disk.Delete("1"); !errors.Is(err, store.ErrInClass) || !strings.Contains(err.Error(), "class 1") {
			t.Errorf("deleting the exercise of an open class: %v", err)
		}
		x := must(h.disk.Load("1"))
		h.ok(h.room.End())
		must(h.disk.Delete("1"))
		if _, err := h.hall.Open(x, class.Duplicate, 0, hall.Start{}); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("a class on a deleted exercise: %v", err)
		}
		if _, err := h.hall.Open(x, class.Together, 0, hall.Start{}); !errors.Is(err, store.ErrChanged) {
			t.Errorf("a vote on a deleted exercise: %v", err)
		}
	})
}
