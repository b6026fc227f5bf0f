package handout

import (
	"bytes"
	"context"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"testing"

	"secondpass/advice"
	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/internal/browser"
	"secondpass/paper/draw"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// someDrills are a few drills found in the first deals.
var someDrills = sync.OnceValues(func() ([]*drill.Drill, error) {
	tuning, _ := player.TuningFor(card.Practice())
	counsel, err := advice.NewCounsel(card.Practice(), house.Usual, tuning, "nearest", 5)
	if err != nil {
		return nil, err
	}
	maker, err := drill.NewMaker(counsel, "nearest")
	if err != nil {
		return nil, err
	}
	s := drill.Search{Maker: maker, Seed: 5, Filter: drill.Filter{Kinds: []drill.Kind{drill.Tempting, drill.Plans, drill.Refusing}}, Each: 1, Total: 2, Deals: 60}
	found, err := s.Run(context.Background(), 0, nil)
	if err != nil {
		return nil, err
	}
	return found.Drills, nil
})

func evening(t *testing.T) *lesson.Lesson {
	t.Helper()
	drills, err := someDrills()
	if err != nil || len(drills) == 0 {
		t.Fatal(len(drills), err)
	}
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

// text is what pdftotext (poppler) reads off a document.
func text(t *testing.T, data []byte) string {
	t.Helper()
	cmd := exec.Command("pdftotext", "-layout", "-", "-")
	cmd.Stdin = bytes.NewReader(data)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("pdftotext, of Debian's poppler-utils, is needed: %v", err)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}

// answers is the answer sheet with every route's decisions costing 2.5 points.
func answers(l *lesson.Lesson, paper draw.PaperSize) (*draw.Document, error) {
	return Answers(l, func(i *lesson.Item, r *exercise.Route) *advice.Review {
		rev := &advice.Review{}
		t, err := i.Exercise.Replay(r)
		if err != nil {
			panic(err)
		}
		for _, s := range t.Snapshots {
			e := advice.Entry{Decision: s.Decision, Best: s.Decision.Action(s.View.Seat)}
			if e.Best.Kind == charleston.Pass {
				e.Best.Own, _ = charleston.ParcelOf(s.View.Rack.Tiles()[3:6]...)
			}
			e.Cost = stat.Interval[unit.ChanceDifference]{Value: .025, Low: .01, High: .04, N: 400}
			rev.Entries = append(rev.Entries, e)
		}
		return rev
	}, paper)
}

func pdf(t *testing.T, build func(*lesson.Lesson, draw.PaperSize) (*draw.Document, error), l *lesson.Lesson, paper draw.PaperSize) []byte {
	t.Helper()
	d, err := build(l, paper)
	if err != nil {
		t.Fatal(err)
	}
	data, err := d.PDF(&draw.Print)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// A drill of the answer sheet begins where the one before ends and goes on overleaf: no page but the last leaves half of it free.
func TestAnswersFillTheirPages(t *testing.T) {
	l := evening(t)
	one := slices.MaxFunc(l.Items[3:], func(a, b lesson.Item) int { return len(a.Drill.Choices) - len(b.Drill.Choices) })
	of := func(n int) *lesson.Lesson {
		return &lesson.Lesson{Title: "Many", Items: slices.Repeat([]lesson.Item{one}, n)}
	}
	for _, paper := range []draw.PaperSize{draw.Letter, draw.A4} {
		pages := func(n int) int {
			d, err := Answers(of(n), nil, paper)
			if err != nil {
				t.Fatal(err)
			}
			return len(d.Pages())
		}
		const many = 12
		if got := pages(many); got > many*3/4 {
			t.Errorf("%d drills with %d answers each stand on %d pages", many, len(one.Drill.Choices), got)
		}
	}
}

// The handout asks and tells nothing; the answer sheet tells what is right, what the rest costs, and why.
func TestPaper(t *testing.T) {
	l := evening(t)
	for _, paper := range []draw.PaperSize{draw.Letter, draw.A4} {
		asked, answered := text(t, pdf(t, Questions, l, paper)), text(t, pdf(t, answers, l, paper))
		for _, want := range []string{"First evening", "Look for multiples first.", "Name", "Date", "Which suit is long?", "The first across: what do you pass?"} {
			if !strings.Contains(asked, want) {
				t.Errorf("the handout lacks %q", want)
			}
		}
		for _, told := range []string{"Nearest:", "options", "games a choice", "ercentage points"} {
			if strings.Contains(asked, told) {
				t.Errorf("the handout tells %q", told)
			}
		}
		for i := range l.Items {
			d := l.Items[i].Drill
			if d == nil {
				continue
			}
			for n, c := range d.Choices {
				if d.Ask() != drill.AskPass && !strings.Contains(asked, wording.DrillChoice(c)) {
					t.Errorf("the handout does not offer %s", wording.DrillChoice(c))
				}
				if cost := strings.TrimPrefix(costText(&d.Key.Answers[n]), "+"); n != d.Key.Best() && !strings.Contains(answered, cost) {
					t.Errorf("the answer sheet lacks the cost %s", cost)
				}
			}
			if strings.Contains(asked, wording.Capital(wording.DrillKind(d.Kind))) {
				t.Errorf("the handout gives away that it is %s", wording.DrillKind(d.Kind))
			}
		}
		for _, want := range []string{"Route A, step by step", "Best found", "2.5", "near ways", "Which suit is long?"} {
			if !strings.Contains(answered, want) {
				t.Errorf("the answer sheet lacks %q", want)
			}
		}
		if !strings.Contains(answered, "Nearest:") || !strings.Contains(answered, "Evens") {
			t.Error("the answer sheet does not say what is near and what the routes did")
		}
	}
}

// A summary of a comparison is one page.
func TestSummaryIsOnePage(t *testing.T) {
	e := evening(t).Items[0].Exercise
	var columns []exercise.Column
	for _, r := range e.Routes {
		c, err := e.Column(r)
		if err != nil {
			t.Fatal(err)
		}
		columns = append(columns, c)
	}
	for _, paper := range []draw.PaperSize{draw.Letter, draw.A4} {
		if n := len(Comparison(e, columns, nil, paper).Pages()); n != 1 {
			t.Errorf("%d pages", n)
		}
	}
}

func TestMain(m *testing.M) { browser.Main(m) }
