package practice

import (
	"errors"
	"fmt"
	"html/template"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/teach/drill"
)

// routePractice is a student at work: who it is, what is due, one drill after the other.
func (s *Area) routePractice(mux page.Routes) {
	mux.HandleFunc("GET /practice", s.Handle(s.showPractice))
	mux.HandleFunc("POST /practice", s.Handle(s.choosePractice))
	mux.HandleFunc("GET /practice/next", s.Handle(s.nextDrill))
	mux.HandleFunc("GET /practice/drills/{id}", s.Handle(s.showTry))
	mux.HandleFunc("POST /practice/drills/{id}", s.Handle(s.takeTry))
	mux.HandleFunc("GET /practice/tries/{try}", s.Handle(s.showTried))
}

// practiceCookie keeps who practises in this browser: not the name, which anybody could write, but the student's token.
const practiceCookie = "practice"

// timeLimits are the times, in seconds, that a student may give a decision; 0 is as long as it takes.
var timeLimits = []int{0, 20, 10, 5}

// errNobody: this browser does not know who practises.
var errNobody = errors.New("nobody practises in this browser yet")

// Practising is the student of the browser's cookie, or of the link that a phone has followed.
func (s *Area) Practising(r *http.Request) (drill.Student, error) {
	token := r.PathValue("token") // of a phone's address
	if token == "" {
		c, err := r.Cookie(practiceCookie)
		if err != nil {
			return drill.Student{}, errNobody
		}
		token = c.Value
	}
	st, err := s.store.StudentByToken(token)
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
	// Theme and Kind narrow the drills down; "" for all.
	Theme drill.Theme
	Kind  drill.Kind
	// Base is where the pages of practice begin: those of the workbook, or those of one student's phone.
	Base string
}

// filter is which drills of a card are practised.
func (p *session) filter(c *card.Card) (drill.Filter, error) {
	return filterOf(c, url.Values{"theme": {string(p.Theme)}, "kind": {string(p.Kind)}})
}

// narrowed is the drills that are practised of a card's.
func (p *session) narrowed(c *card.Card, drills []*drill.Drill) ([]*drill.Drill, error) {
	f, err := p.filter(c)
	return slices.DeleteFunc(drills, func(d *drill.Drill) bool { return err == nil && !f.Holds(c, d) }), err
}

func sessionOf(r *http.Request) (session, error) {
	p := session{Card: r.FormValue("card"), Theme: drill.Theme(r.FormValue("theme")), Kind: drill.Kind(r.FormValue("kind")), Base: baseOf(r)}
	text := r.FormValue("limit")
	if text == "" {
		return p, nil
	}
	var err error
	if p.Limit, err = strconv.Atoi(text); err != nil || !slices.Contains(timeLimits, p.Limit) {
		return p, page.Refused("A limit of %q seconds: 5, 10, 20, or 0 for none is right.", text)
	}
	return p, nil
}

// query is the session as part of an address, Query the same for templates, which would escape it once more.
func (p session) query() string {
	v := url.Values{"card": {p.Card}, "limit": {strconv.Itoa(p.Limit)}}
	if p.Theme != "" {
		v.Set("theme", string(p.Theme))
	}
	if p.Kind != "" {
		v.Set("kind", string(p.Kind))
	}
	return v.Encode()
}

func (p session) Query() template.URL { return template.URL(p.query()) }

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
	Themes   []drill.Theme
	Due, New int
	Next     string // when something is due next
	Error    string
	Name     string
}

type limitChoice struct {
	Seconds int
	Here    bool
}

func (s *Area) showPractice(w http.ResponseWriter, r *http.Request) error {
	return s.renderPractice(w, r, http.StatusOK, "", "")
}

func (s *Area) renderPractice(w http.ResponseWriter, r *http.Request, code int, problem, name string) error {
	p := practicePage{Error: problem, Name: name}
	var err error
	if p.Students, err = s.store.Students(); err != nil {
		return err
	}
	st, err := s.Practising(r)
	switch {
	case err == nil:
		p.Student, p.Path, p.Rating = &st, view.ProgressPath(st.Name), wording.Strength(st.Rating)
		err = s.fillPractice(&p, r)
	case errors.Is(err, errNobody):
		err = nil
	}
	if err != nil {
		return err
	}
	s.Render(w, code, "practice", page.Page{Title: "Practice", Section: "Drills", Data: p})
	return nil
}

// fillPractice counts what is due of a card.
func (s *Area) fillPractice(p *practicePage, r *http.Request) error {
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
	p.Themes = drill.ThemesOf(p.Card.card)
	drills, err := p.Session.narrowed(p.Card.card, slices.DeleteFunc(all, func(d *drill.Drill) bool { return d.Key.Fingerprint != p.Card.ID }))
	if err != nil {
		return err
	}
	memories, err := s.store.Memories(p.Student.ID)
	if err != nil {
		return err
	}
	p.Due = len(drill.Queue(p.Student.Rating, drills, memories, s.store.Now(), 0, p.Card.told))
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
func (s *Area) choosePractice(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	name := strings.TrimSpace(r.PostForm.Get("name"))
	if r.PostForm.Get("act") == "leave" {
		http.SetCookie(w, &http.Cookie{Name: practiceCookie, Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteLaxMode})
		return page.SeeOther(w, r, "/practice")
	}
	if r.PostForm.Get("act") == "add" {
		err := s.addStudent(name)
		if trouble := (*store.Trouble)(nil); errors.As(err, &trouble) {
			return err
		}
		if err != nil {
			return s.renderPractice(w, r, http.StatusUnprocessableEntity, wording.Capital(err.Error())+".", name)
		}
	}
	st, err := s.store.Student(name)
	if errors.Is(err, store.ErrNoStudent) {
		return page.NotFound("There is no student %s; it may have been deleted.", name)
	}
	if err != nil {
		return err
	}
	token, err := s.store.StudentToken(st.Name)
	if err != nil {
		return err
	}
	http.SetCookie(w, &http.Cookie{Name: practiceCookie, Value: token, Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode,
		MaxAge: int((365 * 24 * time.Hour).Seconds())})
	return page.SeeOther(w, r, "/practice")
}

// addStudent keeps a new student.
func (s *Area) addStudent(name string) error {
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
func (s *Area) somebody(w http.ResponseWriter, r *http.Request) (st drill.Student, ok bool, err error) {
	st, err = s.Practising(r)
	if errors.Is(err, errNobody) && r.PathValue("token") != "" {
		return st, false, page.NotFound("This link is nobody's. Ask your teacher for a new one.")
	}
	if errors.Is(err, errNobody) {
		return st, false, page.SeeOther(w, r, "/practice")
	}
	return st, err == nil, err
}

// nextDrill sends the browser to the first drill of the queue.
func (s *Area) nextDrill(w http.ResponseWriter, r *http.Request) error {
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
	if err == nil {
		drills, err = p.narrowed(c.card, drills)
	}
	if err != nil {
		return err
	}
	memories, err := s.store.Memories(st.ID)
	if err != nil {
		return err
	}
	queue := drill.Queue(st.Rating, drills, memories, s.store.Now(), 1, c.told)
	if len(queue) == 0 {
		return page.SeeOther(w, r, p.Base+"?"+p.query())
	}
	return page.SeeOther(w, r, fmt.Sprintf("%s/drills/%d?%s", p.Base, drills[queue[0]].ID, p.query()))
}

// readCard is the card of a session.
func (s *Area) readCard(p *session) (*card.Card, error) {
	c, err := s.cardOfDrills(p.Card)
	p.Card = c.ID
	return c.card, err
}
