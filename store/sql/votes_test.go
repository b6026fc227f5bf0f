package sql

import (
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"secondpass/store"
	"secondpass/teach/class"
)

// A thousand votes that come while another program holds the lock for seven seconds: those that are refused are refused
// soon, and sent again until they are kept, as phones do, each is there once.
func TestALockLosesAndDoublesNoVote(t *testing.T) {
	t.Parallel()
	everywhere(t, testALockLosesAndDoublesNoVote)
}

func testALockLosesAndDoublesNoVote(t *testing.T, at *place) {
	t.Parallel()
	s := at.open(t)
	_, c, _ := openClass(t, s)
	choices := []class.Choice{threeOf(t, "1b 4c 7d"), threeOf(t, "2b 4c 7d"), threeOf(t, "3b 4c 7d")}
	log := s.NewVoteLog()
	defer log.Close()
	release := hold(t, at.open(t))
	time.AfterFunc(7*time.Second, release)
	begun := time.Now()
	var all sync.WaitGroup
	for student := 1; student <= 1000; student++ {
		vote := store.KeptVote{Class: c.ID, Round: 1, Student: student, Vote: class.Vote{Seq: 1, Choice: choices[student%3]}}
		all.Go(func() {
			for log.Append(context.Background(), vote) != nil {
				if time.Since(begun) > 5*time.Minute {
					t.Errorf("the vote of student %d is not kept", student)
					return
				}
				time.Sleep(100 * time.Millisecond)
			}
		})
	}
	all.Wait()
	if took := time.Since(begun); took > 2*time.Minute {
		t.Errorf("a lock of 7 s holds votes up for %v", took)
	}
	rows, students := count(t, s, `SELECT COUNT(*) FROM class_votes`), count(t, s, `SELECT COUNT(DISTINCT student) FROM class_votes`)
	if rows != 1000 || students != 1000 {
		t.Errorf("%d votes of %d students are kept", rows, students)
	}
	back, err := s.LoadClass(c.ID)
	if err != nil {
		t.Fatal(err)
	}
	for student := 1; student <= 1000; student++ {
		if got := back.Rounds[0].Votes[student].Choice; got != choices[student%3] {
			t.Errorf("student %d chose %v, kept is %v", student, choices[student%3].Own, got.Own)
		}
	}
}

// One vote that cannot be kept does not take along those that arrived with it.
func TestABadVoteStopsNoOther(t *testing.T) { everywhere(t, testABadVoteStopsNoOther) }

func testABadVoteStopsNoOther(t *testing.T, at *place) {
	s := at.open(t)
	_, c, _ := openClass(t, s)
	var batch []queuedVote
	for n := range 20 {
		id := c.ID
		if n%5 == 0 {
			id = 99 // no such class
		}
		batch = append(batch, queuedVote{KeptVote: store.KeptVote{Class: id, Round: 1, Student: 1, Vote: class.Vote{Seq: int64(n + 1)}}})
	}
	refused, err := s.addVotes(batch)
	if err != nil {
		t.Fatal(err)
	}
	for n, err := range refused {
		if (err != nil) != (n%5 == 0) {
			t.Errorf("vote %d: %v", n, err)
		}
	}
	if rows := count(t, s, `SELECT COUNT(*) FROM class_votes`); rows != 16 {
		t.Errorf("%d votes are kept", rows)
	}
}

// Two programs over one folder take a choice each under the same number: one is kept, the other is told that it is not.
func TestTwoProgramsKeepTheSameNumber(t *testing.T) { everywhere(t, testTwoProgramsKeepTheSameNumber) }

func testTwoProgramsKeepTheSameNumber(t *testing.T, at *place) {
	first, second := at.open(t), at.open(t)
	_, c, _ := openClass(t, first)
	one, two := first.NewVoteLog(), second.NewVoteLog()
	defer one.Close()
	defer two.Close()
	vote := func(tiles string) store.KeptVote {
		return store.KeptVote{Class: c.ID, Round: 1, Student: 1, Vote: class.Vote{Seq: 4, Choice: threeOf(t, tiles)}}
	}
	if err := one.Append(t.Context(), vote("1b 4c 7d")); err != nil {
		t.Fatal(err)
	}
	if err := two.Append(t.Context(), vote("1b 4c 7d")); err != nil {
		t.Errorf("the same once more: %v", err)
	}
	if err := two.Append(t.Context(), vote("2b 4c 7d")); !errors.Is(err, store.ErrOtherVote) {
		t.Errorf("another choice under the same number: %v", err)
	}
	at.spoil(t, `UPDATE class_votes SET choice = 'x'`)
	if err := two.Append(t.Context(), vote("2b 4c 7d")); err != nil {
		t.Errorf("in place of what cannot be read: %v", err)
	}
	if back, err := first.LoadClass(c.ID); err != nil || back.Rounds[0].Votes[1].Choice != threeOf(t, "2b 4c 7d") {
		t.Error(back, err)
	}
}
