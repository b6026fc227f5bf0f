package lesson

import (
	"bytes"
	"strings"
	"testing"

	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

func walked(t *testing.T) *exercise.Exercise {
	t.Helper()
	deal, _, err := deal.Draw(deal.Condition{}, 13, tile.Usual, fit.New(card.Practice()), 3)
	if err != nil {
		t.Fatal(err)
	}
	e, err := exercise.New("Two plans", card.Practice(), house.Usual, charleston.South, deal, exercise.MockPasses, 3)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.WalkAll([][]string{{"Runs"}, {"Evens"}}); err != nil {
		t.Fatal(err)
	}
	return e
}

// What is written is read back the same, and a lesson keeps the exercise as it was when it was put in.
func TestRoundTrip(t *testing.T) {
	l, err := New("First evening")
	if err != nil {
		t.Fatal(err)
	}
	l.Note = "Look for multiples first.\nThen for the pattern."
	if err := l.AddExercise(walked(t), "A", 2, "Which suit is long?"); err != nil {
		t.Fatal(err)
	}
	if err := l.AddExercise(walked(t), "a", 0, ""); err != nil {
		t.Fatal(err)
	}
	var first, second bytes.Buffer
	if err := l.Write(&first); err != nil {
		t.Fatal(err)
	}
	text := first.String()
	again, err := Read(&first)
	if err != nil {
		t.Fatal(err)
	}
	if err := again.Write(&second); err != nil {
		t.Fatal(err)
	}
	if second.String() != text {
		t.Error("written again it is another file")
	}
	board, err := again.Items[0].Board()
	if err != nil {
		t.Fatal(err)
	}
	trail, err := walked(t).Replay(walked(t).Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	if board.Rack != trail.Snapshots[2].Before {
		t.Errorf("asked after two decisions the rack is %s; the route held %s then", board.Rack, trail.Snapshots[2].Before)
	}
}

func TestRefused(t *testing.T) {
	l, err := New("Evening")
	if err != nil {
		t.Fatal(err)
	}
	e := walked(t)
	for _, c := range []struct {
		name, want string
		do         func() error
	}{
		{"no title", "the title", func() error { _, err := New(" "); return err }},
		{"no route", "no route", func() error { return l.AddExercise(e, "Q", 0, "") }},
		{"past the end", "decisions in the passing", func() error { return l.AddExercise(e, "A", 99, "") }},
		{"before the start", "decisions in the passing", func() error { return l.AddExercise(e, "A", -1, "") }},
		{"long note", "are the most", func() error { return l.AddExercise(e, "A", 0, strings.Repeat("x", mostNote+1)) }},
		{"control", "control character", func() error { return l.AddExercise(e, "A", 0, "a\x00b") }},
		{"nothing to move", "the lesson has 0", func() error { return l.Move(0, 1) }},
		{"nothing to remove", "the lesson has 0", func() error { return l.Remove(0) }},
		{"no file", "no lesson file", func() error { _, err := Read(strings.NewReader("{")); return err }},
		{"other format", "no lesson file", func() error { _, err := Read(strings.NewReader(`{"format":"x","version":1}`)); return err }},
		{"empty item", "missing", func() error {
			_, err := Read(strings.NewReader(`{"format":"secondpass lesson","version":1,"title":"T","items":[{}]}`))
			return err
		}},
	} {
		if err := c.do(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; %q is expected in it", c.name, err, c.want)
		}
	}
	if len(l.Items) != 0 {
		t.Error("what was refused was put in")
	}
}

// Moving keeps every item, whatever the places.
func TestMove(t *testing.T) {
	for from := range 4 {
		for to := range 4 {
			l := &Lesson{Title: "Order"}
			for _, note := range []string{"a", "b", "c", "d"} {
				l.Items = append(l.Items, Item{Note: note})
			}
			if err := l.Move(from, to); err != nil {
				t.Fatal(err)
			}
			seen := ""
			for _, i := range l.Items {
				seen += i.Note
			}
			if len(seen) != 4 || l.Items[to].Note != string("abcd"[from]) {
				t.Errorf("from %d to %d: %s", from, to, seen)
			}
			if strings.Replace(seen, string("abcd"[from]), "", 1) != strings.Replace("abcd", string("abcd"[from]), "", 1) {
				t.Errorf("from %d to %d the others changed their order: %s", from, to, seen)
			}
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"format":"secondpass lesson","version":1,"title":"T","items":[]}`))
	f.Add([]byte(`{"format":"secondpass lesson","version":1,"title":"T","items":[{"note":"n","exercise":{},"at":1}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := Read(bytes.NewReader(data))
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := l.Write(&b); err != nil {
			t.Fatal(err)
		}
		if _, err := Read(&b); err != nil {
			t.Fatalf("what was written cannot be read: %v", err)
		}
	})
}
