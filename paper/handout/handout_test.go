package handout

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
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

// The file of drills opens from the disk with no network, asks first and tells after: in a real browser.
func TestDrillsOpenFromAFile(t *testing.T) {
	l := evening(t)
	drills, _ := l.Drills()
	pass := drills[slices.IndexFunc(drills, func(d *drill.Drill) bool { return d.Ask() == drill.AskPass })]
	if err := l.AddDrill(pass, card.Practice(), ""); err != nil { // decided by any three tiles, below
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := Write(&b, l, everyPass); err != nil {
		t.Fatal(err)
	}
	for _, away := range []string{"http:", "https:", "@import", "src="} {
		if strings.Contains(b.String(), away) {
			t.Errorf("the file asks for %s", away)
		}
	}
	file := filepath.Join(t.TempDir(), "drills.html")
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	p := browser.Open(t, browser.Phone, "file://"+file)
	p.Offline()
	p.Reload()
	if got := p.Count(".verdict:not([hidden])"); got != 0 {
		t.Errorf("%d verdicts are open before anything is decided", got)
	}
	p.Click("section button")
	drills, _ = l.Drills()
	p.UntilText("#score", fmt.Sprintf("1 of %d decided", len(drills)))
	cost := fmt.Sprintf("thrown away: %.1f percentage points", 100*max(0, drills[0].Key.Answers[0].Cost.Value))
	p.UntilText("#score", cost) // partial credit
	p.Reload()
	p.UntilText("#score", fmt.Sprintf("1 of %d decided", len(drills))) // the score is kept
	p.UntilText("#score", cost)
	if got, want := p.Count("section[data-drill='1'] .verdict:not([hidden])"), len(drills[0].Choices); got != want {
		t.Errorf("%d verdicts are open, of %d choices", got, want)
	}
	if got, want := p.Count("section[data-drill='1'] li.right"), len(drills[0].Key.Right()); got != want {
		t.Errorf("%d answers are marked as right; the key has %d", got, want)
	}
	free := fmt.Sprintf("section[data-drill='%d'] ", len(drills))
	before := p.Text("#score")
	for n := range 4 { // the fourth is one too many
		p.Click(free + fmt.Sprintf(".picks label:nth-child(%d) input", n+1))
	}
	p.UntilText(free+"[data-free]", "Pass these three")
	p.Click(free + "[data-free]")
	p.UntilText(free+".said, "+free+".yours .verdict", "percentage point")
	if p.Text("#score") == before {
		t.Error("a free answer is not counted")
	}
	after := p.Text("#score")
	p.Reload()
	p.UntilText("#score", after)
	comesBack(t, p, l)
	if wide := p.Sideways(); len(wide) > 0 {
		t.Errorf("runs sideways: %v", wide)
	}
	if barriers := p.Barriers(); len(barriers) > 0 {
		t.Error(barriers)
	}
	if said := p.Complaints(); len(said) > 0 {
		t.Error(said)
	}
}

// comesBack saves the answers as the student does, and reads the file as the teacher does.
func comesBack(t *testing.T, p *browser.Page, l *lesson.Lesson) {
	t.Helper()
	browser.Eval[int](p, `(HTMLAnchorElement.prototype.click = async function () { window.saved = await (await fetch(this.href)).text(); }, 0)`)
	p.Type("#back input", "Ana")
	p.Click("#back button")
	p.Until("the answers as a file", "window.saved !== undefined")
	f, err := lesson.ReadReturned(strings.NewReader(browser.Eval[string](p, "window.saved")))
	if err != nil {
		t.Fatal(err)
	}
	drills, _ := l.Drills()
	if f.Student != "Ana" || f.Lesson != l.Title || len(f.Answers) == 0 || f.Answers[0].Drill != drills[0].Mark() || f.Answers[0].Answer != drills[0].Choices[0].String() || f.Answers[0].At.IsZero() {
		t.Errorf("the answers come back as %+v", f)
	}
}

// everyPass makes answers up, right and wrong in turn: what games say of passes is tested with the drills.
func everyPass(i *lesson.Item) []drill.Answer {
	answers := make([]drill.Answer, len(i.Drill.AllPasses()))
	for n := range answers {
		cost := unit.ChanceDifference(n%5) / 50
		answers[n] = drill.Answer{Right: cost <= drill.Margin, Cost: stat.Interval[unit.ChanceDifference]{Value: cost, Low: cost - .01, High: cost + .01, N: 256}}
	}
	return answers
}

func TestNoDrills(t *testing.T) {
	l := &lesson.Lesson{Title: "Empty"}
	if err := Write(&bytes.Buffer{}, l, nil); err == nil || !strings.Contains(err.Error(), "no drills") {
		t.Error(err)
	}
}

func TestMain(m *testing.M) { browser.Main(m) }
