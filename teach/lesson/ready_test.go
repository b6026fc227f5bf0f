package lesson_test

import (
	"bytes"
	"context"
	"testing"

	"secondpass/advice"
	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// The ready lessons are on the practice card as it is, each with four drills that are told by their reasons and a page for the teacher;
// one of them judged anew on the games of its keys says the same.
func TestReady(t *testing.T) {
	ready := lesson.Ready()
	if len(ready) != 6 {
		t.Fatalf("%d ready lessons, wanted 6", len(ready))
	}
	hands := player.Fingerprint(card.Practice())
	for _, r := range ready {
		l, err := lesson.ReadReady(r.Name)
		if err != nil {
			t.Errorf("%s: %v", r.Name, err)
			continue
		}
		drills, _ := l.Drills()
		if l.Title != r.Title || len(l.Note) < 40 || len(l.Teacher) < 800 || len(drills) < 4 {
			t.Errorf("%s: the title %q, %d and %d bytes of notes, %d drills", r.Name, l.Title, len(l.Note), len(l.Teacher), len(drills))
		}
		for i, d := range drills {
			if d.Key.Fingerprint != hands || d.Key.Version != drill.KeyVersion {
				t.Errorf("%s, drill %d is keyed for the hands %s by version %d; the practice card has %s. Find the drills again, see docs/lessons.md", r.Name, i+1, d.Key.Fingerprint, d.Key.Version, hands)
			}
			if err := d.Key.Check(); err != nil {
				t.Errorf("%s, drill %d: %v", r.Name, i+1, err)
			}
		}
		var file bytes.Buffer
		if err := l.Write(&file); err != nil {
			t.Fatal(err)
		}
		if again, err := lesson.Read(&file); err != nil || again.Teacher != l.Teacher {
			t.Errorf("%s is not read back from its file: %v", r.Name, err)
		}
	}
	if _, err := lesson.ReadReady("nothing"); err == nil {
		t.Error("a lesson that there is not")
	}
	l, err := lesson.ReadReady("courtesy")
	if err != nil {
		t.Fatal(err)
	}
	judgedAgain(t, l.Items[0].Drill)
}

// judgedAgain plays a drill's choices on the games of its key.
func judgedAgain(t *testing.T, d *drill.Drill) {
	t.Helper()
	tuning, _ := player.TuningFor(card.Practice())
	counsel, err := advice.NewCounsel(card.Practice(), house.Usual, tuning, d.Key.Players, 1)
	if err != nil {
		t.Fatal(err)
	}
	m, err := drill.NewMaker(counsel, d.Key.Players)
	if err != nil {
		t.Fatal(err)
	}
	answers, err := m.JudgeAll(context.Background(), d, d.Choices, d.Key.Games)
	if err != nil {
		t.Fatal(err)
	}
	for i := range answers {
		if want := d.Key.Answers[i]; answers[i].Right != want.Right || answers[i].Cost.Value != want.Cost.Value {
			t.Errorf("%s costs %v, right %v; its key has %v, %v", d.Choices[i], answers[i].Cost.Value, answers[i].Right, want.Cost.Value, want.Right)
		}
	}
}

// Any order that has each item once is one; others leave the lesson as it is.
func TestOrder(t *testing.T) {
	l, err := lesson.ReadReady("courtesy")
	if err != nil {
		t.Fatal(err)
	}
	before := []*drill.Drill{l.Items[0].Drill, l.Items[1].Drill, l.Items[2].Drill, l.Items[3].Drill}
	for _, wrong := range [][]int{{0, 1, 2}, {0, 1, 2, 2}, {0, 1, 2, 4}, {-1, 1, 2, 3}, nil} {
		if err := l.Order(wrong); err == nil || l.Items[3].Drill != before[3] {
			t.Errorf("the order %v: %v", wrong, err)
		}
	}
	if err := l.Order([]int{3, 1, 0, 2}); err != nil {
		t.Fatal(err)
	}
	for i, was := range []int{3, 1, 0, 2} {
		if l.Items[i].Drill != before[was] {
			t.Errorf("item %d is not what item %d was", i+1, was+1)
		}
	}
}
