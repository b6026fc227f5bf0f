package practice

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"sync"
	"time"

	"secondpass/engine/prepared"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/teach/drill"
)

const (
	// slack is how much later than the server the browser may show a page: its time is believed within that.
	slack = 3 * time.Second
	// showingKept is how long a drill that was shown counts as the same showing, so that a reload does not give more time.
	showingKept = 10 * time.Minute
	// showingsMost is how many showings are remembered.
	showingsMost = 1000
)

// showings is when what waits for an answer was shown first. It is lost when the server ends, and the time then
// begins anew; what was answered is not.
type showings struct {
	mu sync.Mutex
	at map[showing]time.Time
	// answering lets one answer be judged at a time, so that a second tap finds the first.
	answering sync.Mutex
}

// showing is something shown to a student: a drill, or a rack to read.
type showing struct {
	student int64
	what    string
}

func newShowings() *showings { return &showings{at: map[showing]time.Time{}} }

// first is when it was shown first.
func (s *showings) first(what showing, now time.Time) time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	if at, ok := s.at[what]; ok && now.Sub(at) < showingKept && !at.After(now) {
		return at
	}
	for other := range s.at {
		if len(s.at) < showingsMost {
			break
		}
		delete(s.at, other)
	}
	s.at[what] = now
	return now
}

// answered forgets a showing: the next is a new one.
func (s *showings) answered(what showing) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.at, what)
}

// tryPage is a drill that waits for the student's answer.
type tryPage struct {
	Student string
	Session session
	Drill   *view.DrillView
	Clock   clock
	Refusal string
}

// clock is what a form needs so that the time of an answer is known.
type clock struct {
	// Shown is when it was shown first, in milliseconds since 1970 by the server's clock; Before is how long ago that was.
	Shown, Before int64
	Limit         int // seconds, 0 for none
}

func (s *Area) clockOf(what showing, p session) clock {
	now := s.store.Now()
	at := s.showings.first(what, now)
	return clock{at.UnixMilli(), now.Sub(at).Milliseconds(), p.Limit}
}

// readClock is when what a form answers was shown first, and how long the answer took: the browser's time, which
// knows when the page was there to be seen, within what the server's clock leaves possible.
func (s *Area) readClock(f url.Values) (shown time.Time, taken time.Duration, err error) {
	now := s.store.Now()
	ms, err := strconv.ParseInt(f.Get("shown"), 10, 64)
	if err != nil {
		return shown, 0, page.Refused("The form lacks when it was shown. Open the drill again.")
	}
	shown = time.UnixMilli(ms)
	most := max(now.Sub(shown), time.Millisecond)
	if taken = most; f.Get("taken") != "" {
		said, err := strconv.ParseInt(f.Get("taken"), 10, 64)
		if err != nil || said < 0 {
			return shown, 0, page.Refused("The time of the answer, %q, is none.", f.Get("taken"))
		}
		// Bounded first, so that a huge number does not overflow.
		taken = min(time.Duration(min(said, most.Milliseconds()))*time.Millisecond, most)
	}
	return shown, max(taken, most-slack, time.Millisecond), nil
}

func tryKey(d *drill.Drill) string { return "drill " + strconv.Itoa(int(d.ID)) }

func (s *Area) showTry(w http.ResponseWriter, r *http.Request) error {
	return s.renderTry(w, r, http.StatusOK, "")
}

func (s *Area) renderTry(w http.ResponseWriter, r *http.Request, code int, refusal string) error {
	d, c, err := s.loadDrill(r.PathValue("id"))
	if err != nil {
		return err
	}
	st, ok, err := s.somebody(w, r)
	if !ok {
		return err
	}
	p := tryPage{Student: st.Name, Refusal: refusal}
	if p.Session, err = sessionOf(r); err != nil {
		return err
	}
	if p.Drill, err = view.ViewDrill(prepared.Of(c).Index(), d, c); err != nil {
		return err
	}
	p.Clock = s.clockOf(showing{st.ID, tryKey(d)}, p.Session)
	s.show(w, r, code, "try", page.Page{Title: p.Drill.Question, Section: "Drills", Data: p})
	return nil
}

// takeTry judges an answer and keeps it. One that comes twice is kept once.
func (s *Area) takeTry(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	d, c, err := s.loadDrill(r.PathValue("id"))
	if err != nil {
		return err
	}
	st, ok, err := s.somebody(w, r)
	if !ok {
		return err
	}
	p, err := sessionOf(r)
	if err != nil {
		return err
	}
	if r.PostForm.Get("choice") == "free" {
		return s.takeFree(w, r, d, c, &st, p)
	}
	choice, err := strconv.Atoi(r.PostForm.Get("choice"))
	if err != nil || choice < 1 || choice > len(d.Choices) {
		return s.renderTry(w, r, http.StatusUnprocessableEntity, fmt.Sprintf("Choose one of the %d answers.", len(d.Choices)))
	}
	shown, taken, err := s.readClock(r.PostForm)
	if err != nil {
		return err
	}
	t, err := d.Answered(choice-1, s.store.Now(), taken, p.limit())
	if err != nil {
		return err
	}
	t.Themes = d.Themes(c)
	return s.keepTry(w, r, &st, t, shown, p.query(), showing{st.ID, tryKey(d)})
}

// takeFree judges three tiles that were chosen out of the whole rack, by the games of the key.
func (s *Area) takeFree(w http.ResponseWriter, r *http.Request, d *drill.Drill, c *card.Card, st *drill.Student, p session) error {
	shown, taken, err := s.readClock(r.PostForm)
	if err != nil {
		return err
	}
	rack, _, err := view.ReadTiles(r.PostForm["own"])
	if err != nil {
		return page.Refused("%s.", wording.Capital(err.Error()))
	}
	if n := rack.Size(); n != charleston.PassTiles {
		return s.renderTry(w, r, http.StatusUnprocessableEntity, fmt.Sprintf("You chose %s; three go.", wording.Plural(n, "tile")))
	}
	choice, err := d.Free(prepared.Of(c).Game(house.Usual), rack.String())
	if err != nil {
		return s.renderTry(w, r, http.StatusUnprocessableEntity, "These three cannot be passed here.")
	}
	if i, err := d.Choose(choice.String()); err == nil { // one of those offered has its answer already
		t, err := d.Answered(i, s.store.Now(), taken, p.limit())
		if err != nil {
			return err
		}
		t.Themes = d.Themes(c)
		return s.keepTry(w, r, st, t, shown, p.query(), showing{st.ID, tryKey(d)})
	}
	s.judging.Lock() // one after the other, however many phones there are
	a, err := s.desk.JudgeAnswer(r.Context(), c, d, choice)
	s.judging.Unlock()
	if err != nil {
		return err
	}
	t := d.AnsweredFreely(choice, a, s.store.Now(), taken, p.limit())
	t.Themes = d.Themes(c)
	return s.keepTry(w, r, st, t, shown, p.query(), showing{st.ID, tryKey(d)})
}

// keepTry keeps a try of what was shown at a time, unless it was answered since, and leads to its result.
func (s *Area) keepTry(w http.ResponseWriter, r *http.Request, st *drill.Student, t drill.Try, shown time.Time, query string, what showing) error {
	s.showings.answering.Lock()
	defer s.showings.answering.Unlock()
	same := func(old *drill.Try) bool { return old.Drill == t.Drill && old.Kind == t.Kind && old.About == t.About }
	last, err := s.lastTry(st.ID, same)
	if err != nil {
		return err
	}
	if last != nil && !last.At.Before(shown) {
		return page.SeeOther(w, r, fmt.Sprintf("%s/tries/%d?%s&again=yes", baseOf(r), last.ID, query))
	}
	if _, err := s.store.AddTry(st.Name, t); err != nil {
		return err
	}
	s.showings.answered(what)
	if last, err = s.lastTry(st.ID, same); err != nil || last == nil {
		return fmt.Errorf("the try just kept is not there: %v", err)
	}
	return page.SeeOther(w, r, fmt.Sprintf("%s/tries/%d?%s&was=%.1f", baseOf(r), last.ID, query, st.Rating.Value))
}

// lastTry is the last of a student's tries of some sort; nil where there is none.
func (s *Area) lastTry(student int64, sort func(*drill.Try) bool) (*drill.Try, error) {
	tries, err := s.store.Tries(student)
	for i := len(tries) - 1; i >= 0; i-- {
		if sort(&tries[i]) {
			return &tries[i], err
		}
	}
	return nil, err
}

// triedPage is what came of an answer.
type triedPage struct {
	Session session
	Again   bool // it had been answered before
	Late    string
	Took    string
	Verdict string
	Rating  string
	Next    string
	// of a drill
	Drill *view.DrillView
	Key   *view.KeyView
	Free  *view.Free // an answer that the drill does not offer
	Lost  string     // the answer, where the drill does not offer it any more
	// of a reading
	Reading *readView
}

func (s *Area) showTried(w http.ResponseWriter, r *http.Request) error {
	st, ok, err := s.somebody(w, r)
	if !ok {
		return err
	}
	id, bad := strconv.ParseInt(r.PathValue("try"), 10, 64)
	t, err := s.lastTry(st.ID, func(t *drill.Try) bool { return t.ID == id })
	if err == nil && (bad != nil || t == nil || t.Kind == drill.OfExercise) {
		err = page.NotFound("%s has no such answer.", st.Name)
	}
	if err != nil {
		return err
	}
	p := triedPage{Again: r.FormValue("again") != ""}
	if p.Session, err = sessionOf(r); err != nil {
		return err
	}
	if t.Taken > 0 {
		p.Took = secondsText(t.Taken)
	}
	if t.Late() {
		p.Late = fmt.Sprintf("Late: %s, where %.0f s was the limit. It counts as not known; the answer is kept.", p.Took, t.Limit.Seconds())
	}
	if t.Kind == drill.OfReading {
		err = s.fillRead(&p, t, r)
	} else {
		err = s.fillTried(&p, &st, t, r)
	}
	if err != nil {
		return err
	}
	s.show(w, r, http.StatusOK, "tried", page.Page{Title: p.Verdict, Section: "Drills", Data: p})
	return nil
}

func secondsText(d time.Duration) string { return fmt.Sprintf("%.1f s", d.Seconds()) }

// fillTried fills in the key of the drill that was answered.
func (s *Area) fillTried(p *triedPage, st *drill.Student, t *drill.Try, r *http.Request) error {
	d, c, err := s.loadDrill(strconv.Itoa(int(t.Drill)))
	if err != nil {
		return err
	}
	if p.Drill, err = view.ViewDrill(prepared.Of(c).Index(), d, c); err != nil {
		return err
	}
	yours := slices.IndexFunc(d.Choices, func(c drill.Choice) bool { return c.String() == t.Answer })
	if yours < 0 {
		if p.Free, err = view.FreeAnswer(d, c, t); err != nil {
			return err
		}
		if p.Free == nil {
			p.Lost = t.Answer
		}
	}
	if p.Key, err = view.ViewKey(d, c, yours); err != nil {
		return err
	}
	p.Verdict = "A right answer"
	if !t.Right {
		p.Verdict = "That costs " + view.CostSentence(t.Cost)
	}
	memories, err := s.store.Memories(st.ID)
	if err != nil {
		return err
	}
	if m, ok := memories[d.ID]; ok {
		p.Next = "It comes again " + whenText(m.Due, s.store.Now()) + "."
		p.Rating = ratingSentence(st, r.FormValue("was"), m.Tries)
	}
	return nil
}

// ratingSentence says how strong the student is by all first tries, and how this one moved that.
func ratingSentence(st *drill.Student, was string, tries int) string {
	now := fmt.Sprintf("By all first tries, %s %s", st.Name, wording.Strength(st.Rating))
	before, err := strconv.ParseFloat(was, 64)
	switch {
	case tries > 1:
		return now + ". Only a first try of a drill moves it."
	case err != nil || math.IsNaN(before) || math.Abs(before) > 10_000:
		return now + "."
	}
	then := 10 * (drill.Rating{Value: before}).Against(drill.NewRating)
	return fmt.Sprintf("%s; before this one it was %.1f, now %.1f.", now, then, 10*st.Rating.Against(drill.NewRating))
}
