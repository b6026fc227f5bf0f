package hall_test

import (
	"testing"
	"testing/synctest"
	"time"

	"secondpass/hall"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/teach/class"
)

func TestAVoteFromJoiningToTheCount(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		plum, fig := h.join("Plum"), h.join("Fig")
		if kind(h.vote(plum, 1, "1b 4c 7d")) != hall.Late {
			t.Error("a choice before the first vote was taken")
		}
		h.openVote("Class")
		h.ok(h.vote(plum, 1, "1b"))
		h.ok(h.vote(plum, 2, "1b 4c"))
		h.ok(h.vote(plum, 3, "1b 4c 7d"))
		h.ok(h.vote(fig, 1, "2b 4c 7d"))
		h.ok(h.vote(fig, 3, "1b 4c 7d")) // changes the mind
		h.ok(h.vote(fig, 2, "2b 4c 8d")) // was held up on its way
		h.ok(h.vote(fig, 3, "1b 4c 7d")) // the same once more
		late := h.join("Kiwi")
		h.ok(h.vote(late, 1, "3b 4c 7d"))
		r := h.room.Now().Round()
		if answered, _ := r.Answered(); answered != 3 || r.Votes[fig].Seq != 3 {
			t.Errorf("%d have answered, Fig's message %d counts", answered, r.Votes[fig].Seq)
		}
		h.ok(h.room.CloseVote(1))
		h.ok(h.room.CloseVote(1))
		time.Sleep(time.Millisecond)
		if err := h.vote(plum, 5, "3b 4c 7d"); kind(err) != hall.Late {
			t.Errorf("a choice after the close: %v", err)
		}
		if h.room.Now().Round().Counted {
			t.Error("the vote is counted before its grace is over")
		}
		time.Sleep(class.Grace)
		synctest.Wait()
		if !h.room.Now().Round().Counted {
			t.Fatal("the vote is never counted")
		}
		h.onDisk()
	})
}

func TestAVoteClosesAtItsDeadline(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 20)
		defer h.stop()
		h.join("Plum")
		h.openVote("Class")
		counted := func() bool { synctest.Wait(); return h.room.Now().Round().Counted }
		time.Sleep(20*time.Second + time.Millisecond)
		if counted() || h.room.Now().Round().Closed.IsZero() {
			t.Error("at the deadline the vote is not closed")
		}
		time.Sleep(class.Grace)
		if !counted() {
			t.Error("after the grace the vote is not counted")
		}
		h.onDisk()
	})
}

// Phones are woken by what they show, the teacher's screen by everything, and nobody who reads waits for the disk.
func TestWhoIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		plum := h.join("Plum")
		before := h.room.Now()
		h.openVote("Class")
		if !closed(before.PhonesChange()) || !closed(before.Changed()) {
			t.Error("nobody is told of a vote")
		}
		before = h.room.Now()
		release := h.disk.hold()
		answer := make(chan error, 1)
		go func() { answer <- h.vote(plum, 1, "1b 4c 7d") }()
		if closed(before.Changed()) || h.room.Now() != before {
			t.Error("a choice shows before it is on the disk")
		}
		release()
		h.ok(<-answer)
		if closed(before.PhonesChange()) || !closed(before.Changed()) {
			t.Error("a choice concerns the teacher's screen and no other phone")
		}
		if before.Round().Votes[plum].Seq != 0 {
			t.Error("a state changed that was handed out")
		}
		before = h.room.Now()
		leave, err := h.room.Enter(plum, func() {})
		if err != nil || !closed(before.Changed()) || h.room.Now().Connected != 1 {
			t.Error("a phone that comes is not shown", err)
		}
		if leave(); h.room.Now().Connected != 0 {
			t.Error("a phone that goes is not shown")
		}
	})
}

func TestTheOldestTabIsEnded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		plum := h.join("Plum")
		ended := 0
		for range 5 {
			leave := must(h.room.Enter(plum, func() { ended++ }))
			defer leave()
		}
		if ended != 1 || h.room.Now().Connected != 1 {
			t.Errorf("of five tabs %d were ended, %d phones count as there", ended, h.room.Now().Connected)
		}
	})
}

// count closes the vote and waits until it is counted.
func (h *building) count() {
	h.Helper()
	h.ok(h.room.CloseVote(len(h.room.Now().Rounds)))
	time.Sleep(class.Grace)
	synctest.Wait()
	if !h.room.Now().Round().Counted {
		h.Fatal("the vote is never counted")
	}
}

func TestFollowingOneChoiceAndTwo(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 0)
		defer h.stop()
		plum := h.join("Plum")
		h.openVote("Class")
		h.ok(h.vote(plum, 1, "1b 4c 7d"))
		if err := h.room.Follow(1, nil, ""); kind(err) != hall.Wrong {
			t.Errorf("following nothing: %v", err)
		}
		if err := h.room.Follow(1, []class.Choice{three("1b 4c 7d")}, ""); kind(err) != hall.Wrong {
			t.Errorf("following before the count: %v", err)
		}
		h.count()
		h.ok(h.room.Follow(1, []class.Choice{three("1b 4c 7d")}, ""))
		h.ok(h.room.Follow(1, []class.Choice{three("2b 4c 7d")}, "")) // a second tap
		h.openVote("Class")
		rack := h.room.Now().Round().Question.Rack
		h.count()
		a, b := threeOf(rack, 0), threeOf(rack, 1)
		h.ok(h.room.Follow(2, []class.Choice{a, b}, ""))
		if routes := h.room.Now().Routes; len(routes) != 2 {
			t.Fatalf("the class walks %v", routes)
		}
		x := must(h.disk.Load("1"))
		for i, name := range h.room.Now().Routes {
			route := must(x.Route(name))
			if len(route.Decisions) != 2 || route.Decisions[0].Own != three("1b 4c 7d").Own || route.Decisions[1].Own != []class.Choice{a, b}[i].Own {
				t.Errorf("route %s is %v", name, route.Decisions)
			}
		}
		h.onDisk()
	})
}

// threeOf is three naturals of a rack, without the first so many.
func threeOf(r tile.Rack, skip int) class.Choice {
	var own []tile.Kind
	for _, k := range r.Tiles() {
		if k != tile.Joker {
			own = append(own, k)
		}
	}
	return class.Choice{Own: must(charleston.ParcelOf(own[skip : skip+3]...))}
}
