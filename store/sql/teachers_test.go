package sql

import (
	"errors"
	"testing"
	"time"

	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/teach/class"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// aTeacher is another teacher of a place, with one of everything. All of them have the same names and numbers; codes and tokens are hers.
func aTeacher(t *testing.T, d *Database, code string) *Store {
	t.Helper()
	teacher, err := d.AddTeacher()
	if err != nil {
		t.Fatal(err)
	}
	s := d.For(teacher)
	x, err := s.Add(newExercise(t, "Monday"))
	if err != nil {
		t.Fatal(err)
	}
	asked := newDrill()
	if err := s.AddDrill(asked, card.Practice()); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddLesson(&lesson.Lesson{Title: "Flowers", Items: []lesson.Item{{Exercise: x.Exercise, Route: "A"}}}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddStudent("Ana"); err != nil {
		t.Fatal(err)
	}
	try, err := asked.Answered(0, time.Unix(2_000_000, 0), time.Second, 0)
	if err == nil {
		_, err = s.AddTry("Ana", try)
	}
	if err != nil {
		t.Fatal(err)
	}
	ended := &drill.Charleston{Exercise: "Monday", Route: "A", At: time.Unix(9, 0)}
	if err := s.AddExercise("Ana", []drill.Try{{Kind: drill.OfExercise, About: "Monday, route A", Step: "courtesy", At: time.Unix(9, 0)}}, ended); err != nil {
		t.Fatal(err)
	}
	c, err := class.New(class.Together, 30, "A", time.UnixMicro(1_700_000_000_000_000))
	if err != nil {
		t.Fatal(err)
	}
	open := &store.SavedClass{Code: code, Link: code + " link", Key: "key", Exercise: x.ID, Class: c}
	if err := s.AddClass(open, nil); err != nil {
		t.Fatal(err)
	}
	plum, err := c.Join("Plum", c.Opened)
	if err == nil {
		err = s.AddClassStudent(open.ID, plum, code+" token", "phone")
	}
	if err != nil {
		t.Fatal(err)
	}
	tr, err := x.Replay(x.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	q, err := class.Ask(&tr.Now, []string{"Runs 1"})
	if err != nil {
		t.Fatal(err)
	}
	r, err := c.OpenVote("A", 0, q, c.Opened)
	if err == nil {
		err = s.SaveRound(open.ID, r)
	}
	if err != nil {
		t.Fatal(err)
	}
	if d.path == "" {
		if err := s.Room().Write("cards/Mine.card", []byte("card Mine\n")); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.AddWork(time.Unix(2_000_000, 0), time.Second); err != nil {
		t.Fatal(err)
	}
	refused, err := s.addVotes([]queuedVote{{KeptVote: store.KeptVote{Class: open.ID, Round: 1, Student: 1, Vote: class.Vote{Seq: 1, Choice: threeOf(t, "1b 4c 7d")}}}})
	if err != nil || refused[0] != nil {
		t.Fatal(refused, err)
	}
	return s
}

// hers is what a store shows: how many of each there are, whatever their names and numbers.
func hers(t *testing.T, s *Store) (counts [7]int) {
	t.Helper()
	exercises, err1 := s.List(false)
	drills, err2 := s.Drills(store.DrillFilter{})
	lessons, err3 := s.Lessons()
	students, err4 := s.Students()
	classes, err5 := s.Classes()
	tries, err6 := s.Tries(1)
	found, err7 := s.Search(store.Wish{})
	if err := errors.Join(err1, err2, err3, err4, err5, err6, err7); err != nil {
		t.Fatal(err)
	}
	return [7]int{len(exercises), len(drills), len(lessons), len(students), len(classes), len(tries), len(found)}
}

// Each teacher has her own names and numbers, and what one does leaves what others keep as it is.
func TestTeachersAreApart(t *testing.T) { everywhere(t, testTeachersAreApart) }

func testTeachersAreApart(t *testing.T, at *place) {
	d := at.open(t).Database
	one, two := aTeacher(t, d, "CDFGH"), aTeacher(t, d, "GHJKL")
	whole := [7]int{1, 1, 1, 1, 1, 2, 1}
	for _, s := range []*Store{one, two} {
		if got := hers(t, s); got != whole {
			t.Errorf("she sees %v", got)
		}
	}
	for key, s := range map[string]*Store{"CDFGH": one, "CDFGH link": one, "CDFGH token": one, "GHJKL": two} {
		if teacher, err := d.TeacherOf(key); err != nil || teacher != s.teacher {
			t.Errorf("%q leads to %d, %v, wanted %d", key, teacher, err, s.teacher)
		}
	}
	token, err := two.StudentToken("Ana")
	if err != nil {
		t.Fatal(err)
	}
	if teacher, err := d.TeacherOf(token); err != nil || teacher != two.teacher {
		t.Errorf("a student's token leads to %d, %v", teacher, err)
	}
	if _, err := one.StudentByToken(token); !errors.Is(err, store.ErrNoStudent) {
		t.Errorf("a student of another: %v", err)
	}
	if _, err := one.ClassByCode("GHJKL"); !errors.Is(err, store.ErrNoClass) {
		t.Errorf("a class of another: %v", err)
	}
	for _, nowhere := range []string{"", "cdfgh", "key"} {
		if _, err := d.TeacherOf(nowhere); !errors.Is(err, store.ErrNoTeacher) {
			t.Errorf("%q leads somewhere, %v", nowhere, err)
		}
	}
	c, err := class.New(class.Together, 30, "A", time.Unix(5, 0))
	if err != nil {
		t.Fatal(err)
	}
	if err := one.AddClass(&store.SavedClass{Code: "GHJKL", Key: "key", Exercise: 1, Class: c}, nil); !errors.Is(err, store.ErrNameTaken) {
		t.Errorf("a code of another's class: %v", err)
	}
	for what, do := range map[string]func() error{
		"class":    func() error { return one.DeleteClass(1) },
		"student":  func() error { return one.DeleteStudent("Ana") },
		"drill":    func() error { return one.DeleteDrill(1) },
		"lesson":   func() error { return one.DeleteLesson(1) },
		"exercise": func() error { return one.Rename("Monday", "Tuesday") },
	} {
		if err := do(); err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	if got := hers(t, one); got != [7]int{1, 0, 0, 0, 0, 0, 1} {
		t.Errorf("left is %v", got)
	}
	if got := hers(t, two); got != whole {
		t.Errorf("the other sees %v", got)
	}
	if _, err := two.Load("Monday"); err != nil {
		t.Error(err)
	}
}

// Of a teacher who is not there nothing is kept.
func TestNoSuchTeacher(t *testing.T) {
	everywhere(t, func(t *testing.T, at *place) {
		if _, err := at.open(t).For(99).Add(newExercise(t, "Monday")); !errors.Is(err, store.ErrNoTeacher) {
			t.Error(err)
		}
	})
}
