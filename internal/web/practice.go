package web

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"secondpass/card"
	"secondpass/drill"
	"secondpass/internal/store"
	"secondpass/internal/wording"
)

// routePractice is a student at work: who it is, what is due, one drill after the other.
func (s *Server) routePractice(mux *http.ServeMux) {
	mux.HandleFunc("GET /practice", s.handle(s.showPractice))
	mux.HandleFunc("POST /practice", s.handle(s.choosePractice))
	mux.HandleFunc("GET /practice/next", s.handle(s.nextDrill))
	mux.HandleFunc("GET /practice/drills/{id}", s.handle(s.showTry))
	mux.HandleFunc("POST /practice/drills/{id}", s.handle(s.takeTry))
	mux.HandleFunc("GET /practice/tries/{try}", s.handle(s.showTried))
}

const (
	// practiceCookie keeps who practises in this browser.
	practiceCookie = "practice"
	// slack is how much later than the server the browser may show a page: its time is believed within that.
	slack = 3 * time.Second
	// showingKept is how long a drill that was shown counts as the same showing, so that a reload does not give more time.
	showingKept = 10 * time.Minute
	// showingsMost is how many showings are remembered.
	showingsMost = 1000
)

// timeLimits are the times, in seconds, that a student may give a decision; 0 is as long as it takes.
var timeLimits = []int{0, 20, 10, 5}

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

// errNobody: this browser does not know who practises.
var errNobody = errors.New("nobody practises in this browser yet")

// practising is the student of the browser's cookie.
func (s *Server) practising(r *http.Request) (drill.Student, error) {
	c, err := r.Cookie(practiceCookie)
	if err != nil {
		return drill.Student{}, errNobody
	}
	name, err := url.QueryUnescape(c.Value)
	if err != nil {
		return drill.Student{}, errNobody
	}
	st, err := s.store.Student(name)
	if errors.Is(err, store.ErrNoStudent) {
		return st, errNobody
	}
	return st, err
}

// session is what a student has chosen to practise with; it goes along in addresses.
type session struct {
	// Card is the fingerprint of the card, "" for the practice card. Limit is in seconds, 0 for none.
	Card  string
	Limit int
}

func sessionOf(r *http.Request) (session, error) {
	p := session{Card: r.FormValue("card")}
	text := r.FormValue("limit")
	if text == "" {
		return p, nil
	}
	var err error
	if p.Limit, err = strconv.Atoi(text); err != nil || !slices.Contains(timeLimits, p.Limit) {
		return p, refused("A limit of %q seconds: 5, 10, 20, or 0 for none is right.", text)
	}
	return p, nil
}

// Query is the session as part of an address.
func (p session) Query() string {
	return url.Values{"card": {p.Card}, "limit": {itoa(p.Limit)}}.Encode()
}

func (p session) limit() time.Duration { return time.Duration(p.Limit) * time.Second }

// practicePage is who practises, and what there is to do.
type practicePage struct {
	Students []drill.Student
	Student  *drill.Student
	Path     string // of the student's progress
	Rating   string
	Session  session
	Limits   []limitChoice
	Cards    []drillCard
	Card     drillCard
	Due, New int
	Next     string // when something is due next
	Error    string
	Name     string
}

type limitChoice struct {
	Seconds int
	Here    bool
}

func (s *Server) showPractice(w http.ResponseWriter, r *http.Request) error {
	return s.renderPractice(w, r, http.StatusOK, "", "")
}

func (s *Server) renderPractice(w http.ResponseWriter, r *http.Request, code int, problem, name string) error {
	p := practicePage{Error: problem, Name: name}
	var err error
	if p.Students, err = s.store.Students(); err != nil {
		return err
	}
	st, err := s.practising(r)
	switch {
	case err == nil:
		p.Student, p.Path, p.Rating = &st, progressPath(st.Name), ratingText(st.Rating)
		err = s.fillPractice(&p, r)
	case errors.Is(err, errNobody):
		err = nil
	}
	if err != nil {
		return err
	}
	s.render(w, code, "practice", page{Title: "Practice", Section: "Drills", Data: p})
	return nil
}

// fillPractice counts what is due of a card.
func (s *Server) fillPractice(p *practicePage, r *http.Request) error {
	var err error
	if p.Session, err = sessionOf(r); err != nil {
		return err
	}
	for _, n := range timeLimits {
		p.Limits = append(p.Limits, limitChoice{n, n == p.Session.Limit})
	}
	all, err := s.store.Drills(store.DrillFilter{})
	if err != nil {
		return err
	}
	if p.Cards, err = s.drillCards(all); err != nil {
		return err
	}
	if p.Card, err = s.chosenCard(p.Cards, p.Session.Card); err != nil {
		return err
	}
	p.Session.Card = p.Card.ID
	drills := slices.DeleteFunc(all, func(d *drill.Drill) bool { return d.Key.Fingerprint != p.Card.ID })
	memories, err := s.store.Memories(p.Student.ID)
	if err != nil {
		return err
	}
	p.Due = len(drill.Queue(p.Student.Rating, drills, memories, s.store.Now(), 0))
	var next time.Time
	for _, d := range drills {
		m, tried := memories[d.ID]
		if !tried {
			p.New++
		} else if m.Due.After(s.store.Now()) && (next.IsZero() || m.Due.Before(next)) {
			next = m.Due
		}
	}
	if !next.IsZero() {
		p.Next = whenText(next, s.store.Now())
	}
	return nil
}

// whenText is a time to come as people say it.
func whenText(at, now time.Time) string {
	switch wait := at.Sub(now); {
	case wait <= 0:
		return "now"
	case wait < 90*time.Minute:
		return "in " + wording.Plural(int(math.Ceil(wait.Minutes())), "minute")
	case wait < 48*time.Hour:
		return at.Local().Format("on Monday at 15:04")
	case wait < 300*24*time.Hour:
		return at.Local().Format("on 2 January")
	}
	return at.Local().Format("on 2 January 2006")
}

// choosePractice takes down who practises: somebody known, somebody new, or nobody any more.
func (s *Server) choosePractice(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	name := strings.TrimSpace(r.PostForm.Get("name"))
	if r.PostForm.Get("act") == "leave" {
		http.SetCookie(w, &http.Cookie{Name: practiceCookie, Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteLaxMode})
		return seeOther(w, r, "/practice")
	}
	if r.PostForm.Get("act") == "add" {
		if err := s.addStudent(name); err != nil {
			return s.renderPractice(w, r, http.StatusUnprocessableEntity, capital(err.Error())+".", name)
		}
	}
	st, err := s.store.Student(name)
	if errors.Is(err, store.ErrNoStudent) {
		return notFound("There is no student %s; it may have been deleted.", name)
	}
	if err != nil {
		return err
	}
	http.SetCookie(w, &http.Cookie{Name: practiceCookie, Value: url.QueryEscape(st.Name), Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode,
		MaxAge: int((365 * 24 * time.Hour).Seconds())})
	return seeOther(w, r, "/practice")
}

// addStudent keeps a new student.
func (s *Server) addStudent(name string) error {
	if name != "" && strings.Trim(name, ".") == "" {
		return fmt.Errorf("name %q: dots alone cannot stand in an address; add a letter", name)
	}
	_, err := s.store.AddStudent(name)
	if errors.Is(err, store.ErrNameTaken) {
		return fmt.Errorf("%s is here already; choose the name from the list", name)
	}
	return err
}

// somebody is the student of the browser; where there is none the browser is sent to choose one.
func (s *Server) somebody(w http.ResponseWriter, r *http.Request) (st drill.Student, ok bool, err error) {
	st, err = s.practising(r)
	if errors.Is(err, errNobody) {
		return st, false, seeOther(w, r, "/practice")
	}
	return st, err == nil, err
}

// nextDrill sends the browser to the first drill of the queue.
func (s *Server) nextDrill(w http.ResponseWriter, r *http.Request) error {
	st, ok, err := s.somebody(w, r)
	if !ok {
		return err
	}
	p, err := sessionOf(r)
	if err != nil {
		return err
	}
	c, err := s.cardOfDrills(p.Card)
	if err != nil {
		return err
	}
	p.Card = c.ID
	drills, err := s.store.Drills(store.DrillFilter{Fingerprint: c.ID})
	if err != nil {
		return err
	}
	memories, err := s.store.Memories(st.ID)
	if err != nil {
		return err
	}
	queue := drill.Queue(st.Rating, drills, memories, s.store.Now(), 1)
	if len(queue) == 0 {
		return seeOther(w, r, "/practice?"+p.Query())
	}
	return seeOther(w, r, fmt.Sprintf("/practice/drills/%d?%s", drills[queue[0]].ID, p.Query()))
}

// tryPage is a drill that waits for the student's answer.
type tryPage struct {
	Student string
	Session session
	Drill   *drillView
	Clock   clock
	Refusal string
}

// clock is what a form needs so that the time of an answer is known.
type clock struct {
	// Shown is when it was shown first, in milliseconds since 1970 by the server's clock; Before is how long ago that was.
	Shown, Before int64
	Limit         int // seconds, 0 for none
}

func (s *Server) clockOf(what showing, p session) clock {
	now := s.store.Now()
	at := s.showings.first(what, now)
	return clock{at.UnixMilli(), now.Sub(at).Milliseconds(), p.Limit}
}

// readClock is when what a form answers was shown first, and how long the answer took: the browser's time, which
// knows when the page was there to be seen, within what the server's clock leaves possible.
func (s *Server) readClock(f url.Values) (shown time.Time, taken time.Duration, err error) {
	now := s.store.Now()
	ms, err := strconv.ParseInt(f.Get("shown"), 10, 64)
	if err != nil {
		return shown, 0, refused("The form lacks when it was shown. Open the drill again.")
	}
	shown = time.UnixMilli(ms)
	most := max(now.Sub(shown), time.Millisecond)
	if taken = most; f.Get("taken") != "" {
		said, err := strconv.ParseInt(f.Get("taken"), 10, 64)
		if err != nil || said < 0 {
			return shown, 0, refused("The time of the answer, %q, is none.", f.Get("taken"))
		}
		// Bounded first, so that a huge number does not overflow.
		taken = min(time.Duration(min(said, most.Milliseconds()))*time.Millisecond, most)
	}
	return shown, max(taken, most-slack, time.Millisecond), nil
}

func tryKey(d *drill.Drill) string { return "drill " + itoa(int(d.ID)) }

func (s *Server) showTry(w http.ResponseWriter, r *http.Request) error {
	return s.renderTry(w, r, http.StatusOK, "")
}

func (s *Server) renderTry(w http.ResponseWriter, r *http.Request, code int, refusal string) error {
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
	if p.Drill, err = s.viewDrill(d, c); err != nil {
		return err
	}
	p.Clock = s.clockOf(showing{st.ID, tryKey(d)}, p.Session)
	s.render(w, code, "try", page{Title: p.Drill.Question, Section: "Drills", Data: p})
	return nil
}

// takeTry judges an answer and keeps it. One that comes twice is kept once.
func (s *Server) takeTry(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	d, _, err := s.loadDrill(r.PathValue("id"))
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
	return s.keepTry(w, r, &st, t, shown, p.Query(), showing{st.ID, tryKey(d)})
}

// keepTry keeps a try of what was shown at a time, unless it was answered since, and leads to its result.
func (s *Server) keepTry(w http.ResponseWriter, r *http.Request, st *drill.Student, t drill.Try, shown time.Time, query string, what showing) error {
	s.showings.answering.Lock()
	defer s.showings.answering.Unlock()
	same := func(old *drill.Try) bool { return old.Drill == t.Drill && old.Kind == t.Kind && old.About == t.About }
	last, err := s.lastTry(st.ID, same)
	if err != nil {
		return err
	}
	if last != nil && !last.At.Before(shown) {
		return seeOther(w, r, fmt.Sprintf("/practice/tries/%d?%s&again=yes", last.ID, query))
	}
	if _, err := s.store.AddTry(st.Name, t); err != nil {
		return err
	}
	s.showings.answered(what)
	if last, err = s.lastTry(st.ID, same); err != nil || last == nil {
		return fmt.Errorf("the try just kept is not there: %v", err)
	}
	return seeOther(w, r, fmt.Sprintf("/practice/tries/%d?%s&was=%.1f", last.ID, query, st.Rating.Value))
}

// lastTry is the last of a student's tries of some sort; nil where there is none.
func (s *Server) lastTry(student int64, sort func(*drill.Try) bool) (*drill.Try, error) {
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
	Drill *drillView
	Key   *keyView
	Lost  string // the answer, where the drill does not offer it any more
	// of a reading
	Reading *readView
}

func (s *Server) showTried(w http.ResponseWriter, r *http.Request) error {
	st, ok, err := s.somebody(w, r)
	if !ok {
		return err
	}
	id, bad := strconv.ParseInt(r.PathValue("try"), 10, 64)
	t, err := s.lastTry(st.ID, func(t *drill.Try) bool { return t.ID == id })
	if err == nil && (bad != nil || t == nil || t.Kind == drill.OfExercise) {
		err = notFound("%s has no such answer.", st.Name)
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
	s.render(w, http.StatusOK, "tried", page{Title: p.Verdict, Section: "Drills", Data: p})
	return nil
}

func secondsText(d time.Duration) string { return fmt.Sprintf("%.1f s", d.Seconds()) }

// fillTried fills in the key of the drill that was answered.
func (s *Server) fillTried(p *triedPage, st *drill.Student, t *drill.Try, r *http.Request) error {
	d, c, err := s.loadDrill(itoa(int(t.Drill)))
	if err != nil {
		return err
	}
	if p.Drill, err = s.viewDrill(d, c); err != nil {
		return err
	}
	yours := slices.IndexFunc(d.Choices, func(c drill.Choice) bool { return c.String() == t.Answer })
	if yours < 0 {
		p.Lost = t.Answer
	}
	if p.Key, err = viewKey(d, c, yours); err != nil {
		return err
	}
	p.Verdict = "A right answer"
	if !t.Right {
		p.Verdict = "That costs " + costSentence(t.Cost)
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

// ratingSentence says how the student's rating moved.
func ratingSentence(st *drill.Student, was string, tries int) string {
	now := fmt.Sprintf("Your rating is %s", ratingText(st.Rating))
	before, err := strconv.ParseFloat(was, 64)
	switch {
	case tries > 1:
		return now + ". Only a first try of a drill moves it."
	case err != nil || math.IsNaN(before) || math.Abs(before) > 10_000:
		return now + "."
	}
	return fmt.Sprintf("%s; it was %.0f.", now, before)
}

// readCard is the card of a session.
func (s *Server) readCard(p *session) (*card.Card, error) {
	c, err := s.cardOfDrills(p.Card)
	p.Card = c.ID
	return c.card, err
}
