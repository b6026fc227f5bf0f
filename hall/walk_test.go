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

// answer is a choice for what a student's walk waits for, from the tile number skip on.
func (h *building) answer(student, skip int) class.Choice {
	h.Helper()
	w := h.room.Now().Walk(student)
	if w == nil {
		h.Fatal("no walk: ", h.room.Now().Problem)
	}
	q := must(class.Ask(&w.Trail.Now, nil))
	switch q.Phase {
	case charleston.Passing:
		return threeOf(q.Rack, skip)
	case charleston.Giving:
		c := threeOf(q.Rack, skip)
		return class.Choice{Own: must(charleston.ParcelOf(c.Own.Tiles()[:q.Need]...))}
	case charleston.Naming:
		return class.Choice{Said: true, Count: 2}
	}
	return class.Choice{Said: true}
}

// walk takes a student to the end, each decision twice as by a double tap, and gives the number of decisions.
func (h *building) walk(student, skip int) int {
	h.Helper()
	for n := 0; ; n++ {
		if h.room.Now().Walk(student).Result.Over {
			return n
		}
		c := h.answer(student, skip)
		h.ok(h.room.Decide(student, n, c))
		h.ok(h.room.Decide(student, n, c))
		if n > 12 {
			h.Fatal("the walk does not end")
		}
	}
}

func TestADuplicateClass(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Duplicate, 0)
		plum, fig := h.join("Plum"), h.join("Fig")
		if n := h.walk(plum, 0); n != 9 { // six passes, the vote, the number, the courtesy
			t.Errorf("Plum took %d decisions", n)
		}
		h = h.again()
		defer func() { h.stop() }()
		late := h.join("Kiwi")
		before := h.room.Now()
		h.ok(h.room.Decide(fig, 0, h.answer(fig, 1)))
		if closed(before.PhonesChange()) || !closed(before.Changed()) {
			t.Error("a decision on the way concerns the teacher alone")
		}
		h.ok(h.room.Decide(fig, 0, h.answer(fig, 2))) // taken already
		for n := 1; !h.room.Now().Walk(fig).Result.Over; n++ {
			h.ok(h.room.Decide(fig, n, h.answer(fig, 1)))
		}
		if !closed(before.PhonesChange()) {
			t.Error("the room's mean changes; those at the end are told")
		}
		now := h.room.Now()
		results := now.Results()
		if len(results) != 3 || !results[0].Over || !results[1].Over || results[2].Decided != 0 {
			t.Fatalf("%+v", results)
		}
		for _, r := range results[:2] {
			rack := now.Walk(r.Student).Trail.Now.Rack()
			if r.Spares != int(rack[tile.Flower]) || r.Chance != float64(rack[tile.Joker])/16 {
				t.Errorf("%+v is not what the rack %s is worth", r, rack)
			}
		}
		if err := h.room.Decide(late, 1, h.answer(late, 0)); kind(err) != hall.Wrong {
			t.Errorf("the second decision before the first: %v", err)
		}
		if err := h.room.Decide(late, 0, class.Choice{}); kind(err) != hall.Wrong {
			t.Errorf("an unfinished decision: %v", err)
		}
		h.ok(h.room.ShowRanking(true))
		if !h.room.Now().Ranking {
			t.Error("the ranking is not shown")
		}
		h.ok(h.room.KeepRoutes())
		h.ok(h.room.KeepRoutes())
		x := must(h.disk.Load("1"))
		for _, student := range []int{plum, fig} {
			st := must(now.Student(student))
			route := must(x.Route(st.Name))
			trail := must(x.Replay(route))
			if got, want := trail.Now.Rack(), now.Walk(student).Trail.Now.Rack(); got != want {
				t.Errorf("the route of %s ends at %s, not %s", st.Name, got, want)
			}
		}
		h.onDisk()
	})
}

// Two tabs of one student answer the same step in different ways at once: one answer counts, on the screen and on the
// disk.
func TestTwoTabs(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Duplicate, 0)
		plum := h.join("Plum")
		release := h.disk.hold()
		answers := make(chan error, 2)
		for skip := range 2 {
			c := h.answer(plum, skip)
			go func() { answers <- h.room.Decide(plum, 0, c) }()
		}
		synctest.Wait()
		if h.room.Now().Walk(plum).Result.Decided != 0 {
			t.Error("a decision shows before it is on the disk")
		}
		release()
		h.ok(<-answers)
		h.ok(<-answers)
		h.onDisk()
		shown := h.room.Now().Walks[plum]
		h = h.again()
		defer h.stop()
		if there := h.room.Now().Walks[plum]; len(there) != 1 || there[0] != shown[0] {
			t.Errorf("shown was %v, after a restart it is %v", shown, there)
		}
	})
}

func TestADuplicateClassWhoseExerciseIsGone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Duplicate, 0)
		plum := h.join("Plum")
		h.ok(h.room.Decide(plum, 0, h.answer(plum, 0)))
		h.damage(`UPDATE exercises SET deleted = 1`) // as earlier programs did
		h = h.again()
		defer h.stop()
		if now := h.room.Now(); now.Problem == "" || now.Walk(plum) != nil || len(now.Results()) != 0 {
			t.Errorf("%+v", now)
		}
		if err := h.room.Decide(plum, 1, threeOf(tile.Rack{3, 3}, 0)); kind(err) != hall.Wrong {
			t.Error(err)
		}
		if _, err := h.disk.Restore("1"); err != nil {
			t.Fatal(err)
		}
		must(h.hall.Room(h.room.ID))
		if now := h.room.Now(); now.Problem != "" || now.Walk(plum).Result.Decided != 1 {
			t.Errorf("when the exercise is back: %+v", now)
		}
	})
}

func TestARestartInMidVote(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := open(t, class.Together, 20)
		plum, fig := h.join("Plum"), h.join("Fig")
		h.openVote("Class")
		h.ok(h.vote(plum, 3, "1b 4c 7d"))
		h.stop()
		kept := time.Now() // what Fig chooses while the server is away
		time.Sleep(time.Minute)
		h = &building{T: t, dir: h.dir, room: h.room}
		next := start(t, h.dir)
		next.room = must(next.hall.Room(h.room.ID))
		h = next
		defer h.stop()
		if v := h.room.Now().Round().Votes[plum]; v.Seq != 3 || v.Choice != three("1b 4c 7d") {
			t.Errorf("Plum's choice is %+v", v)
		}
		h.ok(h.room.Vote(fig, 1, class.Vote{Seq: 1, Choice: three("2b 4c 7d"), Made: kept, Received: time.Now()}))
		time.Sleep(class.AwayGrace + class.Grace + time.Millisecond)
		synctest.Wait()
		r := h.room.Now().Round()
		if answered, _ := r.Answered(); !r.Counted || answered != 2 {
			t.Errorf("counted: %v, answers: %d", r.Counted, answered)
		}
		h.onDisk()
	})
}
