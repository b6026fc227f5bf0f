package handout

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"secondpass/card"
	"secondpass/charleston"
	"secondpass/drill"
	"secondpass/exercise"
	"secondpass/fit"
	"secondpass/lesson"
	"secondpass/player"
	"secondpass/sheet"
	"secondpass/tile"
)

// someDrills are a few drills found in the first deals.
var someDrills = sync.OnceValues(func() ([]*drill.Drill, error) {
	tuning, _ := player.TuningFor(card.Practice())
	counsel, err := exercise.NewCounsel(card.Practice(), tuning, "nearest", 5)
	if err != nil {
		return nil, err
	}
	maker, err := drill.NewMaker(counsel, "nearest")
	if err != nil {
		return nil, err
	}
	var found []*drill.Drill
	s := drill.Search{Maker: maker, Seed: 5, Kinds: []drill.Kind{drill.Tempting, drill.Plans, drill.Refusing}, Each: 1, Total: 2, Deals: 60}
	_, _, err = s.Run(context.Background(), 0, func(d *drill.Drill) error {
		found = append(found, d)
		return nil
	})
	return found, err
})

func evening(t *testing.T) *lesson.Lesson {
	t.Helper()
	drills, err := someDrills()
	if err != nil || len(drills) == 0 {
		t.Fatal(len(drills), err)
	}
	deal, _, err := exercise.Draw(exercise.Condition{}, 13, tile.Usual, fit.New(card.Practice()), 3)
	if err != nil {
		t.Fatal(err)
	}
	e, err := exercise.New("Two plans", card.Practice(), exercise.UsualHouse, charleston.South, deal, exercise.MockPasses, 3)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.WalkAll([][]string{{"Runs"}, {"Evens"}}); err != nil {
		t.Fatal(err)
	}
	l := &lesson.Lesson{Title: "First evening", Note: "Look for multiples first."}
	for at := range 3 {
		if err := l.AddExercise(e, "A", at, "Which suit is long?"); err != nil {
			t.Fatal(err)
		}
	}
	for _, d := range drills {
		if err := l.AddDrill(d, card.Practice(), ""); err != nil {
			t.Fatal(err)
		}
	}
	return l
}

func keep(t *testing.T, name string, data []byte) {
	if dir := os.Getenv("HANDOUTS"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestWriteThem(t *testing.T) {
	l := evening(t)
	t.Log(len(l.Items))
	for name, paper := range map[string]sheet.PaperSize{"letter": sheet.Letter, "a4": sheet.A4} {
		q, err := Questions(l, paper)
		if err != nil {
			t.Fatal(err)
		}
		data, err := q.PDF(&sheet.Light)
		if err != nil {
			t.Fatal(err)
		}
		keep(t, "handout-"+name+".pdf", data)
		a, err := Answers(l, paper)
		if err != nil {
			t.Fatal(err)
		}
		if data, err = a.PDF(&sheet.Print); err != nil {
			t.Fatal(err)
		}
		keep(t, "answers-"+name+".pdf", data)
	}
	var b bytes.Buffer
	if err := Write(&b, l); err != nil {
		t.Fatal(err)
	}
	keep(t, "drills.html", b.Bytes())
}
