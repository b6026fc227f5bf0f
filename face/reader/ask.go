package reader

import (
	"errors"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"secondpass/exercise"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
)

// Answer is what the page shows after a link or a form.
type Answer struct {
	// Path is the address that is shown now, which may be another than the one that was asked for.
	Path string `json:"path"`
	// Title and HTML are the page; OK is false where what was asked for was not done, which the page then says.
	Title string `json:"title"`
	HTML  string `json:"html"`
	OK    bool   `json:"ok"`
	// Wide says that the page takes all the room there is, as a sheet does.
	Wide bool `json:"wide,omitempty"`
	// Changed says that there is something new to be kept, see [Book.Kept].
	Changed bool `json:"changed,omitempty"`
	// File is something to take away, in place of a page.
	File *File `json:"file,omitempty"`
	// Judge is set where the judgement of the decision at Path is to be played, with so many short games, and Alone where one worker plays it;
	// Halt where it is to be stopped.
	Judge int  `json:"judge,omitempty"`
	Alone bool `json:"alone,omitempty"`
	Halt  bool `json:"halt,omitempty"`
}

// File is something to take away.
type File struct {
	Name string `json:"name"`
	Type string `json:"type"`
	Text string `json:"text"`
}

// errNowhere is an address that the page does not have.
var errNowhere = errors.New("this page has no such place; go back to where you were")

// ask answers a link or a form about the exercise: parts are what stands behind its number in the address.
func (b *Book) ask(post bool, parts []string, query, form url.Values) (Answer, error) {
	switch {
	case len(parts) == 0:
		return b.sheet(query)
	case parts[0] == "here":
		return b.showRoute("", b.last(), nil)
	case parts[0] == "picture":
		return b.sheetPicture(query)
	case parts[0] != "routes" || len(parts) < 2:
		return Answer{}, errNowhere
	}
	letter, what := parts[1], strings.Join(parts[2:], "/")
	if what == "restore" && post {
		return b.restore(letter)
	}
	r, err := b.x.RouteAt(letter)
	if err != nil {
		return Answer{}, err
	}
	if post {
		return b.do(what, r, form)
	}
	return b.showRoute(what, r, query)
}

// showRoute answers a link to a page of a route.
func (b *Book) showRoute(what string, r *exercise.Route, query url.Values) (Answer, error) {
	t, err := b.x.Replay(r)
	if err != nil {
		return Answer{}, err
	}
	place, at, _ := strings.Cut(what, "/")
	switch place {
	case "", "end":
		return b.stands(r, &t, nil, "")
	case "hands":
		p, err := view.NewHandsPage(b.numbered(), b.index(), r, t.Now.Rack())
		if err != nil {
			return Answer{}, err
		}
		return b.page(view.StepPath(b.number, r.ID)+"/hands", "All hands, by section", "hands-page", p)
	case "steps":
		return b.moment(r, &t, at, "")
	case "advice":
		return b.advice(r, query)
	case "picture":
		return b.stepPicture(r, query.Get("at"))
	}
	return Answer{}, errNowhere
}

// page fills a page; its title has the exercise's name behind it.
func (b *Book) page(path, title, name string, data any) (Answer, error) {
	html, err := b.fill(name, data)
	return Answer{Path: path, Title: title + ", " + b.x.Name, HTML: html, OK: true}, err
}

// stands shows the decision that is due on a route, or the end of its passing. sent is a form that was refused, with the reason.
func (b *Book) stands(r *exercise.Route, t *exercise.Trail, sent url.Values, refusal string) (Answer, error) {
	if t.Now.Phase() == charleston.Over {
		return b.end(r, t, refusal)
	}
	p, err := view.NewStepPage(b.numbered(), b.index(), r, t)
	if err != nil {
		return Answer{}, err
	}
	p.CanDeal = false // there is no play in the page
	p.Sent(t.Now.Rack(), sent, refusal)
	a, err := b.page(view.StepPath(b.number, r.ID), p.Heading, "step", p)
	a.OK = refusal == ""
	return a, err
}

func (b *Book) end(r *exercise.Route, t *exercise.Trail, refusal string) (Answer, error) {
	p, err := view.NewEndPage(b.numbered(), b.index(), r, t)
	if err != nil {
		return Answer{}, err
	}
	p.Refusal, p.Play = refusal, ""
	a, err := b.page(view.EndPath(b.number, r, t), p.Heading, "end", p)
	if err == nil {
		a.HTML, err = b.withCode(a.HTML, r)
	}
	a.OK = refusal == ""
	return a, err
}

// moment shows a step as it was.
func (b *Book) moment(r *exercise.Route, t *exercise.Trail, text, refusal string) (Answer, error) {
	at, err := strconv.Atoi(text)
	if err != nil || at < 0 || at > len(t.Snapshots) {
		return Answer{}, fmt.Errorf("route %s has no step number %q", r.Name, text)
	}
	if at == len(t.Snapshots) {
		return b.stands(r, t, nil, refusal)
	}
	p, err := view.NewMomentPage(b.numbered(), b.index(), r, t, at)
	if err != nil {
		return Answer{}, err
	}
	p.Refusal = refusal
	a, err := b.page(view.MomentPath(b.number, r.ID, at), p.Title(), "moment", p)
	a.OK = refusal == ""
	return a, err
}

// sheet is the routes side by side, the teacher's among them where it is time.
func (b *Book) sheet(query url.Values) (Answer, error) {
	before := len(b.x.Routes)
	if b.passed() {
		if err := b.showTeachers(); err != nil {
			return Answer{}, err
		}
	}
	shown, err := b.shown(query.Get("routes"))
	if err != nil {
		return Answer{}, err
	}
	p, err := view.NewSheetPage(b.numbered(), shown)
	if err != nil {
		return Answer{}, err
	}
	for i := range p.Fields {
		p.Fields[i].Path = "" // there is no page of the card
	}
	path := view.SheetPath(b.number)
	if wish := query.Get("routes"); wish != "" {
		path += "?routes=" + url.QueryEscape(wish)
	}
	a, err := b.page(path, "Sheet", "sheet", p)
	if err == nil {
		a.HTML, err = b.withCode(a.HTML, b.last())
	}
	if err == nil && b.show == After && !b.passed() && b.teacherHas() {
		a.HTML, err = b.with(a.HTML, "hidden-teacher", nil)
	}
	a.Wide, a.Changed = true, len(b.x.Routes) != before
	return a, err
}

// teacherHas says whether the teacher has walked a route.
func (b *Book) teacherHas() bool {
	return slices.ContainsFunc(b.given.Routes, func(r *exercise.Route) bool { return len(r.Decisions) > 0 })
}

// last is the reader's last route.
func (b *Book) last() *exercise.Route {
	for _, r := range slices.Backward(b.x.Routes) {
		if !b.isTeachers(r) {
			return r
		}
	}
	return b.x.Routes[0]
}

// shownMost is how many routes stand side by side.
const shownMost = 6

// shown is the places of the routes asked for by their letters, as in "A,C"; without a wish the reader's last one and the
// teacher's.
func (b *Book) shown(wish string) ([]int, error) {
	var shown []int
	if wish == "" {
		last := b.last()
		for i, r := range b.x.Routes {
			if (r == last || b.isTeachers(r)) && len(shown) < shownMost {
				shown = append(shown, i)
			}
		}
		return shown, nil
	}
	for _, letter := range strings.Split(wish, ",") {
		i := slices.IndexFunc(b.x.Routes, func(r *exercise.Route) bool { return r.ID == letter })
		if i < 0 {
			return nil, fmt.Errorf("there is no route %q; there are %s", letter, wording.Plural(len(b.x.Routes), "route"))
		}
		if !slices.Contains(shown, i) {
			shown = append(shown, i)
		}
	}
	if len(shown) > shownMost {
		return nil, fmt.Errorf("six routes at most stand side by side; %d were asked for", len(shown))
	}
	return shown, nil
}
