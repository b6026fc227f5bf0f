package reader

import (
	"encoding/json"
	"encoding/xml"
	"net/url"
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

// given is an exercise with a teacher's route to its end, by the first legal decision of each step.
func given(t *testing.T, in exercise.Incoming, name string) *exercise.Exercise {
	t.Helper()
	rack, _, err := deal.Draw(deal.Condition{}, 13, tile.Usual, fit.New(card.Practice()), 11)
	if err != nil {
		t.Fatal(err)
	}
	e, err := exercise.New(name, card.Practice(), house.Usual, charleston.South, rack, in, 11)
	if in == exercise.TablePasses {
		e, err = exercise.NewTable(name, card.Practice(), house.Usual, charleston.South, rack, "nearest", 11)
	}
	if err != nil {
		t.Fatal(err)
	}
	if in == exercise.EnteredPasses {
		return e
	}
	for {
		trail, err := e.Replay(e.Routes[0])
		if err != nil {
			t.Fatal(err)
		}
		view := trail.Now.View()
		if trail.Now.Phase() == charleston.Over {
			return e
		}
		a := view.Legal()[0]
		if _, err := e.Do("A", exercise.Decision{Own: a.Own, Count: a.Count, Stop: a.Stop}); err != nil {
			t.Fatal(err)
		}
	}
}

func open(t *testing.T, e *exercise.Exercise, show Showing) (*Course, []byte) {
	t.Helper()
	c, err := NewContent(e, show)
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Open(data, nil)
	if err != nil {
		t.Fatal(err)
	}
	return b, data
}

// walk takes the first legal decision of each step of a route by the page's own forms, to the end.
func walk(t *testing.T, c *Course, path string) Answer {
	t.Helper()
	b := c.items[0].book
	r, _ := b.x.RouteAt("A")
	for {
		trail, err := b.x.Replay(r)
		if err != nil {
			t.Fatal(err)
		}
		if trail.Now.Phase() == charleston.Over {
			return c.Ask(false, path, nil)
		}
		view := trail.Now.View()
		a := view.Legal()[0]
		f := url.Values{"at": {string(rune('0' + r.Len()))}, "typed": {a.Own.String()}}
		switch a.Kind {
		case charleston.Vote:
			f.Set("stop", map[bool]string{true: "yes", false: "no"}[a.Stop])
		case charleston.Name:
			f.Set("count", string(rune('0'+a.Count)))
		case charleston.Pass:
			f.Set("blind", string(rune('0'+a.Count)))
		}
		got := c.Ask(true, path+"/decide", f)
		if !got.OK || !got.Changed {
			t.Fatalf("%v is refused: %s", f, got.HTML)
		}
	}
}

// Whatever the incoming tiles are, the passing is walked to its end; there a code stands, and on the sheet the teacher's route as it
// was asked for.
func TestPassing(t *testing.T) {
	for _, in := range []exercise.Incoming{exercise.MockPasses, exercise.TablePasses} {
		for _, show := range []Showing{After, Always, Never} {
			e := given(t, in, "Monday")
			b, data := open(t, e, show)
			if hers := strings.Contains(string(data), `\"decisions\": []`); hers != (show == Never) {
				t.Errorf("%s, %s: the teacher's decisions are in the page: %v", in, show, !hers)
			}
			const path = "/exercises/1/routes/A"
			if before := b.Ask(false, "/exercises/1", nil); strings.Contains(before.HTML, "Teacher") != (show == Always) {
				t.Errorf("%s, %s: before the end the sheet shows the teacher's route: %v", in, show, show != Always)
			}
			end := walk(t, b, path)
			if !end.OK || !strings.Contains(end.HTML, "Reply code of route A") || strings.Contains(end.HTML, "playon") || strings.Contains(end.HTML, "/play\"") {
				t.Errorf("%s, %s: the end: %s", in, show, end.HTML)
			}
			if after := b.Ask(false, "/exercises/1", nil); strings.Contains(after.HTML, "Teacher") != (show != Never) {
				t.Errorf("%s, %s: the sheet after the end: %s", in, show, after.HTML)
			}
			for _, of := range []string{"/exercises/1/picture", path + "/picture?at=0"} {
				if got := b.Ask(false, of, nil); got.File == nil || xml.Unmarshal([]byte(got.File.Text), new(struct {
					XMLName xml.Name `xml:"svg"`
				})) != nil {
					t.Errorf("%s, %s: no picture at %s: %s", in, show, of, got.HTML)
				}
			}
			kept, err := b.Kept()
			if err != nil {
				t.Fatal(err)
			}
			again, err := Open(data, kept)
			if err != nil || again.Ask(false, "/exercises/1", nil).HTML != b.Ask(false, "/exercises/1", nil).HTML {
				t.Errorf("%s, %s: what is kept is not taken up: %v", in, show, err)
			}
		}
	}
}

// What the rules refuse, forms of another moment, wrong addresses and the teacher's own route are told in a sentence, and leave all as
// it was. What is kept of another exercise is let go.
func TestRefusals(t *testing.T) {
	e := given(t, exercise.MockPasses, `<script>alert(1)</script>`)
	b, data := open(t, e, Always)
	before, err := b.Kept()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		post             bool
		path, form, want string
	}{
		{true, "/exercises/1/routes/A/decide", "at=0&typed=3b", "takes 3 tiles"},
		{true, "/exercises/1/routes/A/decide", "at=0&tile=quux", "is no tile"},
		{true, "/exercises/1/routes/A/decide", "at=4&typed=3b", "decided already"},
		{true, "/exercises/1/routes/A/undo", "at=0", "nothing to take back"},
		{true, "/exercises/1/routes/A/remark", "at=0&remark=%01", "control character"},
		{true, "/exercises/1/routes/A/remove", "", "your only one"},
		{true, "/exercises/1/routes/A/fork", "at=x", "no number of a decision"},
		{true, "/exercises/1/routes/A/pin", "section=None", "No section"},
		{true, "/exercises/1/routes/B/undo", "at=9", "stays as it was walked"},
		{false, "/exercises/1/routes/Z", "", "no route Z"},
		{false, "/exercises/1/routes/A/steps/7", "", "no step number"},
		{false, "/exercises/1/routes/A/advice?own=JJJ", "", "Your own pass cannot be judged"},
		{false, "/exercises/1/routes/B/advice", "", "passing of the route is over"},
		{false, "/exercises/1?routes=A,Q", "", "no route"},
		{false, "/exercises/2", "", "no such place"},
		{false, "/exercises/1/picture?routes=Q", "", "no route"},
		{false, "%zz", "", "no such place"},
		{true, "/lessons/add", "", "no such place"},
	} {
		f, _ := url.ParseQuery(c.form)
		got := b.Ask(c.post, c.path, f)
		if got.OK || got.Changed || !strings.Contains(got.HTML, c.want) {
			t.Errorf("%s %s: wanted %q; ok %v, changed %v: %s", c.path, c.form, c.want, got.OK, got.Changed, alert(got.HTML))
		}
		if strings.Contains(got.HTML, "<script") {
			t.Errorf("%s: the name of the exercise is markup: %s", c.path, got.HTML)
		}
	}
	if after, err := b.Kept(); err != nil || string(after) != string(before) {
		t.Errorf("something is changed: %v", err)
	}
	other, _ := open(t, given(t, exercise.TablePasses, "Other"), After)
	foreign, err := other.Kept()
	if err != nil {
		t.Fatal(err)
	}
	for _, kept := range []string{string(foreign), "{", `{"exercise":"{}"}`} {
		if again, err := Open(data, []byte(kept)); err != nil || again.Name() != e.Name || len(again.items[0].book.last().Decisions) > 0 {
			t.Errorf("%.20s is taken up: %v", kept, err)
		}
	}
	if _, err := NewContent(given(t, exercise.EnteredPasses, "Typed"), After); err == nil {
		t.Error("an exercise with entered passes has a page")
	}
}

// alert is what a page says was refused, for failures.
func alert(html string) string {
	_, text, _ := strings.Cut(html, `role="alert"`)
	return text[:min(len(text), 300)]
}
