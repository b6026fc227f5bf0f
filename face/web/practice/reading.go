package practice

import (
	"fmt"
	"html/template"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
)

// routeReadings is racks to read: which sections, or hands, are they near?
func (s *Area) routeReadings(mux page.Routes) {
	mux.HandleFunc("GET /practice/reading", s.Handle(s.showReading))
	mux.HandleFunc("POST /practice/reading", s.Handle(s.takeReading))
}

// readingPage is a rack that waits to be read.
type readingPage struct {
	Session  session
	Seed     uint64
	Hands    bool
	Question string
	Rack     template.HTML
	Groups   []nameGroup
	Clock    clock
	Refusal  string
}

// nameGroup is names to choose from: all sections, or the hands of one.
type nameGroup struct {
	Name    string
	Choices []nameChoice
}

type nameChoice struct {
	Name   string
	Key    string // the digit that presses it, "" for none
	Chosen bool
}

func readingQuery(p session, seed uint64, hands bool) string {
	q := p.query() + fmt.Sprintf("&seed=%d", seed)
	if hands {
		q += "&ask=hands"
	}
	return q
}

// readingOf is the rack of a request's seed.
func (s *Area) readingOf(r *http.Request, p *session) (c *card.Card, reading drill.CardReading, seed uint64, err error) {
	if c, err = s.readCard(p); err != nil {
		return nil, reading, 0, err
	}
	if seed, err = strconv.ParseUint(r.FormValue("seed"), 10, 64); err != nil {
		return nil, reading, 0, page.Refused("Seed %q: a whole number from 0 on is right.", r.FormValue("seed"))
	}
	reading, err = drill.NewCardReading(c, prepared.Of(c).Index(), seed)
	if err != nil {
		err = page.Refused("%s.", wording.Capital(err.Error()))
	}
	return c, reading, seed, err
}

func (s *Area) showReading(w http.ResponseWriter, r *http.Request) error {
	return s.renderReading(w, r, http.StatusOK, "")
}

func (s *Area) renderReading(w http.ResponseWriter, r *http.Request, code int, refusal string) error {
	st, ok, err := s.somebody(w, r)
	if !ok {
		return err
	}
	q := readingPage{Hands: r.FormValue("ask") == "hands", Refusal: refusal}
	if q.Session, err = sessionOf(r); err != nil {
		return err
	}
	if r.FormValue("seed") == "" {
		return page.SeeOther(w, r, "/practice/reading?"+readingQuery(q.Session, uint64(rand.Uint32()), q.Hands))
	}
	c, reading, seed, err := s.readingOf(r, &q.Session)
	if err != nil {
		return err
	}
	q.Seed, q.Rack = seed, view.RackStrip("The rack", reading.Rack)
	q.names(c, r.Form["name"])
	q.Clock = s.clockOf(showing{st.ID, readingKey(&reading, q.Hands)}, q.Session)
	s.Render(w, code, "reading", page.Page{Title: q.Question, Section: "Drills", Data: q})
	return nil
}

func readingKey(r *drill.CardReading, hands bool) string {
	return fmt.Sprintf("reading %s %v", r.Rack, hands)
}

// names fills in what can be chosen.
func (q *readingPage) names(c *card.Card, chosen []string) {
	is := map[string]bool{}
	for _, name := range chosen {
		is[name] = true
	}
	q.Question = "Which sections hold the hands nearest to this rack?"
	if !q.Hands {
		g := nameGroup{Name: "Sections"}
		for i, name := range c.Sections {
			g.Choices = append(g.Choices, nameChoice{name, keyOf(i), is[name]})
		}
		q.Groups = append(q.Groups, g)
		return
	}
	q.Question = "Which hands are nearest to this rack, or one tile further away?"
	q.Groups = make([]nameGroup, len(c.Sections))
	for i := range c.Hands {
		h := &c.Hands[i]
		g := &q.Groups[h.Section]
		g.Name = c.Sections[h.Section]
		g.Choices = append(g.Choices, nameChoice{Name: h.Name, Chosen: is[h.Name]})
	}
}

// keyOf is the digit of the i-th choice, 0 for the tenth; "" where the digits have come to their end.
func keyOf(i int) string {
	if i < 10 {
		return strconv.Itoa((i + 1) % 10)
	}
	return ""
}

// takeReading marks what was named and keeps it.
func (s *Area) takeReading(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
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
	c, reading, seed, err := s.readingOf(r, &p)
	if err != nil {
		return err
	}
	hands, names := r.FormValue("ask") == "hands", r.PostForm["name"]
	if len(names) == 0 {
		return s.renderReading(w, r, http.StatusUnprocessableEntity, "Choose at least one, then answer.")
	}
	marks, err := reading.Mark(c, names, hands)
	if err != nil {
		return page.Refused("%s.", wording.Capital(err.Error()))
	}
	shown, taken, err := s.readClock(r.PostForm)
	if err != nil {
		return err
	}
	t := reading.Answered(&marks, names, s.store.Now(), taken, p.limit())
	return s.keepTry(w, r, &st, t, shown, readingQuery(p, seed, hands), showing{st.ID, readingKey(&reading, hands)})
}

// readView is what is right of a reading, and what was named.
type readView struct {
	Hands bool
	Rack  template.HTML
	Marks []markLine
	Near  []view.NearHand
	Ask   string // for the next reading
}

// markLine is names that were hit, missed, or are wrong.
type markLine struct{ What, Names string }

// fillRead fills in the marks of a reading that was answered.
func (s *Area) fillRead(p *triedPage, t *drill.Try, r *http.Request) error {
	c, err := s.readCard(&p.Session)
	if err != nil {
		return err
	}
	rack, err := tile.Parse(t.About, c.Set)
	if err != nil {
		return err
	}
	x := prepared.Of(c).Index()
	reading := drill.Read(fit.NewRater(x), len(c.Hands), rack)
	v := &readView{Hands: r.FormValue("ask") == "hands", Rack: view.RackStrip("The rack", rack)}
	names := strings.Split(t.Answer, ", ")
	marks, err := reading.Mark(c, names, v.Hands)
	if err != nil {
		return page.NotFound("That reading was of another card: %s.", err)
	}
	if v.Hands {
		v.Ask = "hands"
	}
	for _, m := range []struct {
		what  string
		names []string
	}{{"Named and right", marks.Hit}, {"Right and not named", marks.Missed}, {"Named and not right", marks.Wrong}} {
		if len(m.names) > 0 {
			v.Marks = append(v.Marks, markLine{m.what, strings.Join(m.names, ", ")})
		}
	}
	near := x.Hands(rack)
	for i := range near[:len(reading.Hands)] {
		v.Near = append(v.Near, view.NearOf(&near[i], nil, false, i+1))
	}
	p.Reading, p.Verdict = v, "All of it right"
	if !marks.Right() {
		p.Verdict = marksText(&marks)
	}
	return nil
}

// marksText counts what was named in a few words.
func marksText(m *drill.Marks) string {
	text := fmt.Sprintf("%d right", len(m.Hit))
	if len(m.Hit) == 0 {
		text = "None right"
	}
	if n := len(m.Missed); n > 0 {
		text += fmt.Sprintf(", %d missed", n)
	}
	if n := len(m.Wrong); n > 0 {
		text += fmt.Sprintf(", %d not right", n)
	}
	return text
}

// Next is the address of the next reading of the same sort.
func (v *readView) Next(p session) string {
	q := url.Values{}
	if v.Hands {
		q.Set("ask", "hands")
	}
	return "/practice/reading?" + strings.TrimSuffix(p.query()+"&"+q.Encode(), "&")
}
