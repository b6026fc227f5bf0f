package desk

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// Answers of a file go into the record of a student by the keys of the lessons here; the same file again replaces them, and what is not
// legal keeps nothing.
func TestAnswersComeBack(t *testing.T) {
	t.Parallel()
	d, s, c := smallDesk(t)
	first, second := stopOrGoOn(c, "1122b 4455b 668b NE", "nearest"), stopOrGoOn(c, "1112c 2244c 889c 55d", "nearest")
	l, err := lesson.New("Week")
	if err != nil {
		t.Fatal(err)
	}
	for _, of := range []*drill.Drill{first, second} {
		if err := l.AddDrill(of, c, ""); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.AddLesson(l); err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)
	f := &lesson.Returned{Lesson: "Week", Student: "Ana", Answers: []lesson.ReturnedAnswer{
		{Drill: first.Mark(), Answer: "go on", At: at, Seconds: 7}, {Drill: second.Mark(), Answer: "stop", At: at.Add(time.Hour)}, {Drill: "nowhere", Answer: "stop", At: at}}}
	if _, err := d.KeepReturned(context.Background(), f, "Ana"); !errors.Is(err, store.ErrNoStudent) {
		t.Errorf("kept for nobody: %v", err)
	}
	st, err := s.AddStudent("Ana")
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if k, err := d.KeepReturned(context.Background(), f, "Ana"); err != nil || k != (KeptAnswers{2, 1}) {
			t.Errorf("%+v, %v", k, err)
		}
	}
	tries, err := s.Tries(st.ID)
	if err != nil || len(tries) != 2 {
		t.Fatalf("%+v, %v", tries, err)
	}
	if x := &tries[0]; !x.Right || x.Kind != string(drill.Stopping) || x.Taken != 7*time.Second || !x.At.Equal(at) || len(x.Themes) == 0 {
		t.Errorf("kept as %+v", x)
	}
	if x := &tries[1]; x.Right || x.Cost != second.Key.Answers[1].Cost || x.Taken != 0 {
		t.Errorf("kept as %+v", x)
	}
	f.Answers[0].Answer = "1b 1b 1b"
	if _, err := d.KeepReturned(context.Background(), f, "Ana"); !errors.Is(err, drill.ErrFree) || !strings.Contains(err.Error(), "answer 1") {
		t.Errorf("what cannot be decided: %v", err)
	}
	if tries, _ := s.Tries(st.ID); len(tries) != 2 {
		t.Errorf("a refused file leaves %d tries", len(tries))
	}
}
