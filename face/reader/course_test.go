package reader

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"secondpass/advice"
	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/rules/house"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// sample is a lesson of all drills of a ready-made one, and an exercise asked about after its first pass.
func sample(t *testing.T) *lesson.Lesson {
	t.Helper()
	l, err := lesson.ReadReady("opening")
	if err != nil {
		t.Fatal(err)
	}
	l.Title, l.Teacher = `Openings <script>alert(1)</script>`, "secret"
	if err := l.AddExercise(given(t, exercise.MockPasses, "Monday"), "A", 1, "What goes <b>across</b>?"); err != nil {
		t.Fatal(err)
	}
	return l
}

func openLesson(t *testing.T, l *lesson.Lesson, show Showing) (*Course, []byte) {
	t.Helper()
	c, err := NewLesson(l, show)
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	course, err := Open(data, nil)
	if err != nil {
		t.Fatal(err)
	}
	return course, data
}

// free is a pass that a drill does not offer, tile by tile, and as an answer.
func free(t *testing.T, d *drill.Drill) (own []string, choice drill.Choice) {
	t.Helper()
	for _, c := range d.AllPasses() {
		if _, err := d.Choose(c.String()); err != nil {
			for _, k := range c.Action.Own.Tiles() {
				own = append(own, k.String())
			}
			return own, c
		}
	}
	t.Fatal("the drill offers every pass")
	return nil, drill.Choice{}
}

// A lesson is done from its list: a drill by one of its choices, another by any three tiles, which are judged to what the program says;
// an exercise from where the lesson asks. What is done is kept, and carried to another browser by codes.
func TestLesson(t *testing.T) {
	l := sample(t)
	c, data := openLesson(t, l, After)
	if strings.Contains(string(data), "secret") {
		t.Error("the page for the teacher is in the readers' page")
	}
	list := c.Ask(false, c.Start(), nil)
	if !list.OK || strings.Contains(list.HTML, "<script") || !strings.Contains(list.HTML, "0 of "+fmt.Sprint(len(l.Items))+" done") {
		t.Fatalf("the list: %s", list.HTML)
	}
	if got := c.Ask(false, "/exercises/1", nil); !got.OK || !strings.Contains(got.HTML, "Pass these three") || strings.Contains(got.HTML, "drill-key") || strings.Contains(got.HTML, "cands") {
		t.Fatalf("the first drill: %s", got.HTML)
	}
	for _, bad := range []url.Values{{}, {"choice": {"99"}}, {"choice": {"free"}}, {"choice": {"free"}, "own": {"J", "J", "J"}}, {"choice": {"free"}, "own": {"quux"}}} {
		if got := c.Ask(true, "/exercises/1", bad); got.OK || got.Changed || !strings.Contains(got.HTML, `role="alert"`) {
			t.Errorf("%v is taken: %s", bad, alert(got.HTML))
		}
	}
	if got := c.Ask(true, "/exercises/1", url.Values{"choice": {"1"}}); !got.Changed || !strings.Contains(got.HTML, "cands keyed") || !strings.Contains(got.HTML, ">yours<") {
		t.Errorf("the first answer: %s", got.HTML)
	}

	// Any three tiles, judged as the program does.
	d, of := l.Items[1].Drill, l.Items[1].Card
	own, choice := free(t, d)
	asked := c.Ask(true, "/exercises/2", url.Values{"choice": {"free"}, "own": own})
	if asked.Judge == 0 || !asked.Alone || asked.Changed {
		t.Fatalf("nothing is judged: %+v", asked)
	}
	var judged Judged
	copied, err := Open(data, keptOf(t, c))
	if err != nil {
		t.Fatal(err)
	}
	if err := copied.Judge(context.Background(), asked.Path, asked.Judge, func(j Judged) { judged = j }); err != nil {
		t.Fatal(err)
	}
	c.Take([]byte(judged.Book))
	tuning, _ := player.TuningFor(of)
	counsel, err := advice.NewCounsel(of, house.Usual, tuning, d.Key.Players, 0)
	if err != nil {
		t.Fatal(err)
	}
	m, err := drill.NewMaker(counsel, d.Key.Players)
	if err != nil {
		t.Fatal(err)
	}
	want, err := m.Judge(context.Background(), d, choice)
	if err != nil {
		t.Fatal(err)
	}
	if got := c.items[1].drill.answer; got == nil || got.Cost != want.Cost || got.Right != want.Right || !judged.Over || !strings.Contains(judged.HTML, "freed") {
		t.Errorf("judged %+v, the program says %+v:\n%s", got, want, judged.HTML)
	}

	// Both go back to the teacher as a file.
	if got := c.Ask(true, backPath, url.Values{"student": {"\x01"}}); got.OK || got.File != nil || !strings.Contains(got.HTML, `role="alert"`) {
		t.Errorf("a name that is none: %+v", got.File)
	}
	back := c.Ask(true, backPath, url.Values{"student": {"Ana <b>"}})
	if back.File == nil || back.File.Name != "answers of Ana b.json" {
		t.Fatalf("no file: %+v", back)
	}
	returned, err := lesson.ReadReturned(strings.NewReader(back.File.Text))
	if err != nil || returned.Student != "Ana <b>" || returned.Lesson != l.Title || len(returned.Answers) != 2 || returned.Answers[1].Drill != d.Mark() || returned.Answers[1].Answer != choice.String() || returned.Answers[0].At.IsZero() {
		t.Errorf("the answers come back as %+v, %v", returned, err)
	}
	if list := c.Ask(false, listPath, nil); !strings.Contains(list.HTML, "of 2 drills ") || !strings.Contains(list.HTML, "percentage points of the chance to win") {
		t.Errorf("the list does not tell how it went: %s", list.HTML)
	}

	// The exercise begins after the pass that the lesson has made.
	at := fmt.Sprintf("/exercises/%d", len(l.Items))
	if got := c.Ask(false, at+"/here", nil); !got.OK || !strings.Contains(got.HTML, "Three across") || !strings.Contains(got.HTML, "What goes &lt;b&gt;across") {
		t.Errorf("the exercise: %s", got.HTML)
	}
	r := c.items[len(l.Items)-1].book.last()
	if got := c.Ask(true, at+"/routes/A/decide", url.Values{"at": {"1"}, "typed": {firstPass(t, c.items[len(l.Items)-1].book, r)}, "blind": {"0"}}); !got.Changed {
		t.Errorf("no pass is taken: %s", alert(got.HTML))
	}

	again, err := Open(data, keptOf(t, c))
	if err != nil || again.Ask(false, listPath, nil).HTML != c.Ask(false, listPath, nil).HTML {
		t.Errorf("what is kept is not taken up: %v", err)
	}
	carriedTo(t, c, data)
}

// carriedOff is the codes of all that was done.
func carriedOff(c *Course) string {
	var codes []string
	for _, m := range regexp.MustCompile(`class="code">([^<]+)<`).FindAllStringSubmatch(c.Ask(false, carryPath, nil).HTML, -1) {
		codes = append(codes, m[1])
	}
	return strings.Join(codes, "\n")
}

// carriedTo takes them to another browser.
func carriedTo(t *testing.T, c *Course, data []byte) {
	t.Helper()
	text := carriedOff(c)
	if strings.Count(text, "\n") < 1 {
		t.Fatalf("codes: %s", text)
	}
	other, err := Open(data, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := other.Ask(true, carryPath, url.Values{"codes": {"no code"}}); got.OK || got.Changed {
		t.Errorf("no code is taken up: %s", got.HTML)
	}
	if got := other.Ask(true, carryPath, url.Values{"codes": {"mine: " + strings.ToLower(text)}}); !got.OK || !got.Changed {
		t.Fatalf("the codes are not taken up: %s", alert(got.HTML))
	}
	if got, want := other.items[0].drill.answer, c.items[0].drill.answer; got == nil || got.Answer != want.Answer || got.Right != want.Right || got.Cost != want.Cost {
		t.Errorf("the answer %+v came as %+v", want, got)
	}
	// The free answer is judged where it came to.
	if got := other.Ask(false, "/exercises/2", nil); got.Judge == 0 || !strings.Contains(got.HTML, c.items[1].drill.answer.Answer) {
		t.Errorf("the pass of one's own: %s", got.HTML)
	}
	last := len(c.items) - 1
	if got, want := other.items[last].book.last(), c.items[last].book.last(); fmt.Sprint(got.Decisions) != fmt.Sprint(want.Decisions) {
		t.Errorf("the route %v came as %v", want.Decisions, got.Decisions)
	}
}

func keptOf(t *testing.T, c *Course) []byte {
	t.Helper()
	data, err := c.Kept()
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// firstPass is three tiles that may go.
func firstPass(t *testing.T, b *Book, r *exercise.Route) string {
	t.Helper()
	trail, err := b.x.Replay(r)
	if err != nil {
		t.Fatal(err)
	}
	view := trail.Now.View()
	return view.Legal()[0].Own.String()
}

// A lesson without anything in it, and one with an exercise that nobody else can walk, have no page.
func TestNoLesson(t *testing.T) {
	empty, err := lesson.New("Nothing")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := NewLesson(empty, After); err == nil {
		t.Error("an empty lesson has a page")
	}
	if err := empty.AddExercise(given(t, exercise.EnteredPasses, "Typed"), "A", 0, ""); err != nil {
		t.Fatal(err)
	}
	if _, err := NewLesson(empty, After); err == nil {
		t.Error("tiles that are typed in have a page")
	}
}
