package sql

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/class"
)

// openClass keeps a class with a student and an open vote.
func openClass(t *testing.T, s *Store) (*store.Saved, *store.SavedClass, *class.Round) {
	t.Helper()
	x, err := s.Add(newExercise(t, "Evens"))
	if err != nil {
		t.Fatal(err)
	}
	now := time.UnixMicro(1_700_000_000_123_456)
	c, err := class.New(class.Together, 30, "A", now)
	if err != nil {
		t.Fatal(err)
	}
	saved := &store.SavedClass{Code: "CDFGH", Link: "link", Key: "key", Exercise: x.ID, Class: c}
	if err := s.AddClass(saved, nil); err != nil {
		t.Fatal(err)
	}
	st, err := c.Join("Plum", now)
	if err == nil {
		err = s.AddClassStudent(saved.ID, st, "token", "phone")
	}
	if err != nil {
		t.Fatal(err)
	}
	saved.Tokens["token"], saved.Phones["phone"] = st.ID, 1
	tr, err := x.Replay(x.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	q, err := class.Ask(&tr.Now, []string{"Runs 1"})
	if err != nil {
		t.Fatal(err)
	}
	r, err := c.OpenVote("A", 0, q, now)
	if err == nil {
		err = s.SaveRound(saved.ID, r)
	}
	if err != nil {
		t.Fatal(err)
	}
	return x, saved, r
}

func threeOf(t *testing.T, text string) class.Choice {
	t.Helper()
	kinds, err := tile.ParseList(text)
	if err != nil {
		t.Fatal(err)
	}
	p, err := charleston.ParcelOf(kinds...)
	if err != nil {
		t.Fatal(err)
	}
	return class.Choice{Own: p}
}

func TestAClassComesBackAsItWas(t *testing.T) { everywhere(t, testAClassComesBackAsItWas) }

func testAClassComesBackAsItWas(t *testing.T, at *place) {
	s := at.open(t)
	_, c, r := openClass(t, s)
	log := s.NewVoteLog()
	defer log.Close()
	// Votes of many at once, and in the wrong order: the greatest number counts.
	var all sync.WaitGroup
	for seq := int64(1); seq <= 50; seq++ {
		choice := threeOf(t, "1b 4c 7d")
		if seq == 50 {
			choice = threeOf(t, "2b 5c 8d")
		}
		v := class.Vote{Seq: seq, Choice: choice, Made: c.Opened, Received: c.Opened}
		if seq == 50 {
			r.Votes[1] = v
		}
		all.Go(func() {
			if err := log.Append(context.Background(), store.KeptVote{Class: c.ID, Round: 1, Student: 1, Vote: v}); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	// A second opening of the file sees what was acknowledged.
	back, err := at.open(t).LoadClass(c.ID)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(back, c) {
		t.Errorf("came back as\n%+v\n%+v\nwas\n%+v\n%+v", back.Class, back.Rounds[0], c.Class, c.Rounds[0])
	}
	if id, err := s.ClassByCode("CDFGH"); id != c.ID || err != nil {
		t.Error(id, err)
	}
	if id, err := s.ClassOf("token"); id != c.ID || err != nil {
		t.Error(id, err)
	}
	second := &store.SavedClass{Code: "CDFGH", Key: "k", Exercise: c.Exercise, Class: c.Class}
	if err := s.AddClass(second, nil); !errors.Is(err, store.ErrNameTaken) {
		t.Errorf("a code that is taken: %v", err)
	}
	if err := s.DeleteClass(c.ID); err != nil {
		t.Fatal(err)
	}
	if _, err := s.LoadClass(c.ID); !errors.Is(err, store.ErrNoClass) {
		t.Error(err)
	}
	if _, err := s.ClassOf("token"); !errors.Is(err, store.ErrNoClass) {
		t.Error("a deleted class leaves its students behind")
	}
}

func TestFollowingIsAllOrNothing(t *testing.T) { everywhere(t, testFollowingIsAllOrNothing) }

func testFollowingIsAllOrNothing(t *testing.T, at *place) {
	s := at.open(t)
	x, c, r := openClass(t, s)
	other, err := s.Load("Evens")
	if err == nil {
		err = s.Save(other) // another program saves meanwhile
	}
	if err != nil {
		t.Fatal(err)
	}
	r.Follows, c.Routes = []class.Follow{{Choice: threeOf(t, "1b 4c 7d"), Route: "A"}}, []string{"A", "B"}
	if err := s.SaveFollow(x, c, r); !errors.Is(err, store.ErrChanged) {
		t.Fatal(err)
	}
	back, err := s.LoadClass(c.ID)
	if err != nil || len(back.Routes) != 1 || len(back.Rounds[0].Follows) != 0 {
		t.Errorf("a part was kept: %v %v %v", back.Routes, back.Rounds[0].Follows, err)
	}
	if err := s.SaveFollow(other, c, r); err != nil {
		t.Fatal(err)
	}
	if back, err = s.LoadClass(c.ID); err != nil || len(back.Routes) != 2 || len(back.Rounds[0].Follows) != 1 {
		t.Errorf("not kept: %v %v %v", back.Routes, back.Rounds[0].Follows, err)
	}
}

// A decision that is missing, as after a write that failed, or damaged ends what is read of a student's walk and is
// named; the next one takes the place of what came after.
func TestAGapInAWalk(t *testing.T) { everywhere(t, testAGapInAWalk) }

func testAGapInAWalk(t *testing.T, at *place) {
	s := at.open(t)
	x, err := s.Add(newExercise(t, "Evens"))
	if err != nil {
		t.Fatal(err)
	}
	c, err := class.New(class.Duplicate, 0, "A", time.UnixMicro(1_700_000_000_000_000))
	if err != nil {
		t.Fatal(err)
	}
	saved := &store.SavedClass{Code: "CDFGH", Link: "link", Key: "key", Exercise: x.ID, Class: c}
	if err := s.AddClass(saved, nil); err != nil {
		t.Fatal(err)
	}
	log := s.NewVoteLog()
	defer log.Close()
	keep := func(student, n int, tiles string, mends bool) {
		t.Helper()
		v := store.KeptVote{Class: saved.ID, Round: n, Student: student, Vote: class.Vote{Seq: 1, Choice: threeOf(t, tiles)}, Mends: mends}
		if err := log.Append(context.Background(), v); err != nil {
			t.Fatal(err)
		}
	}
	for student := 1; student <= 3; student++ {
		keep(student, 1, "1b 2b 3b", false)
		if student != 2 {
			keep(student, 2, "4b 5b 6b", false)
		}
		keep(student, 3, "7b 8b 9b", false)
	}
	at.spoil(t, `UPDATE class_votes SET choice = '{"tiles":' WHERE student = 3 AND round = 2`)
	load := func() *store.SavedClass {
		t.Helper()
		c, err := s.LoadClass(saved.ID)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	got := load()
	if len(got.Walks[1]) != 3 || len(got.Walks[2]) != 1 || len(got.Walks[3]) != 1 || !reflect.DeepEqual(got.Gaps, map[int]int{2: 2, 3: 2}) {
		t.Fatalf("walks %v, gaps %v", got.Walks, got.Gaps)
	}
	keep(2, 2, "1c 2c 3c", true)
	keep(3, 2, "1c 2c 3c", true)
	got = load()
	if len(got.Gaps) != 0 || len(got.Walks[2]) != 2 || got.Walks[2][1] != threeOf(t, "1c 2c 3c") || len(got.Walks[3]) != 2 || len(got.Walks[1]) != 3 {
		t.Errorf("after mending: walks %v, gaps %v", got.Walks, got.Gaps)
	}
}

// A byte of a class that the disk has changed is noticed wherever it stands, also where what is left can be read and says something
// else; data of before there were sums is taken as it is.
func TestClassesCarrySums(t *testing.T) {
	for what, c := range map[string]struct{ damage, want string }{
		"routes":    {`UPDATE classes SET routes = '["B"]'`, "which routes"},
		"student":   {`UPDATE class_students SET name = 'Plun'`, "student 1"},
		"question":  {`UPDATE class_rounds SET question = replace(question, 'step', 'stdp')`, "vote 1"},
		"judgement": {`UPDATE class_rounds SET judgement = replace(judgement, '7', '8')`, "cost in vote 1"},
		"follows":   {`UPDATE class_rounds SET follows = '[{}]'`, "followed in vote 1"},
		"answer":    {`UPDATE class_votes SET choice = replace(choice, '1b', '2b')`, "Plum in vote 1"},
		"nothing":   {`UPDATE classes SET seconds = seconds`, ""},
	} {
		t.Run(what, func(t *testing.T) {
			everywhere(t, func(t *testing.T, at *place) {
				s := at.open(t)
				_, c1, r := openClass(t, s)
				r.Judgement = &class.Judgement{Games: 7}
				if err := s.SaveRound(c1.ID, r); err != nil {
					t.Fatal(err)
				}
				refused, err := s.addVotes([]queuedVote{{KeptVote: store.KeptVote{Class: c1.ID, Round: 1, Student: 1, Vote: class.Vote{Seq: 1, Choice: threeOf(t, "1b 4c 7d")}}}})
				if err != nil || refused[0] != nil {
					t.Fatal(err, refused)
				}
				at.spoil(t, c.damage)
				found, err := s.LoadClass(c1.ID)
				if err != nil {
					t.Fatal(err)
				}
				if named := strings.Join(found.Unread, "; "); !strings.Contains(named, c.want) || (named == "") != (c.want == "") {
					t.Errorf("named are %q", found.Unread)
				}
				if problems := at.check(t); (len(problems) == 0) != (c.want == "") {
					t.Errorf("the check says %q", problems)
				}
			})
		})
	}
}
