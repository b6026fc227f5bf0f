package web

import (
	"context"
	"fmt"
	"html/template"
	"net/http"
	"strconv"
	"strings"
	"time"

	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/store"
	"secondpass/teach/class"
)

// deskPage is the teacher's screen. Its regions change by themselves.
type deskPage struct {
	ID       int64
	Exercise string
	Sheet    string // path of the exercise's sheet
	Link     string // the teacher's link
	Desk     desk
}

// desk is what changes on the teacher's screen.
type desk struct {
	ID     int64
	Mode   class.Mode
	Code   string
	Join   joinView
	Joined int
	// Connected is how many phones are there now.
	Connected int
	Names     string
	// State is idle, open, counting, counted, followed, alone or ended.
	State    string
	Round    int // of the last vote, 0 for none
	Heading  string
	Route    string
	Rack     template.HTML
	Answered int
	Begun    int
	Deadline int64
	Next     []nextVote
	Entered  bool
	Spread   spreadView
	Judging  bool
	Failed   string
	Past     []pastVote
	Alone    aloneDesk
	Problem  string
}

// joinView is how phones get in.
type joinView struct {
	Code    string
	Open    bool // phones on the network can join
	URL, QR string
	SVG     template.HTML
	Others  []string
	Hosts   []string // addresses at which phones could be let in
	First   bool     // nobody has joined yet
	Ended   bool
	ID      int64
}

// nextVote is a decision that can be put to the class.
type nextVote struct {
	Route, Heading, Place string
	After                 int
}

type pastVote struct {
	N, Answered    int
	Heading, Route string
	Followed       []choiceView
}

// aloneDesk is how far the students of a duplicate class are.
type aloneDesk struct {
	Done       int
	Rows       []aloneRow
	Ranking    []rankRow
	Shown      bool
	MeanSpares string
	MeanChance string
}

type aloneRow struct {
	Name    string
	Decided int
	Over    bool
}

// rankRow is one student's place in a duplicate class.
type rankRow struct {
	Rank                         int
	Name                         string
	Spares                       int
	SparesGap, Chance, ChanceGap string
}

// ranking is the students at the end, best first.
func ranking(rm *room, scores []class.Score) []rankRow {
	var rows []rankRow
	rm.mu.Lock()
	defer rm.mu.Unlock()
	for _, sc := range scores {
		st, err := rm.Student(sc.Student)
		if err != nil || !sc.Over {
			continue
		}
		rows = append(rows, rankRow{sc.Rank, st.Name, sc.Spares, view.Minus(wording.Plus(sc.SparesGap, 1)), percent(sc.Chance), view.Minus(wording.Plus(100*sc.ChanceGap, 1))})
	}
	return rows
}

func (s *Server) showClass(w http.ResponseWriter, r *http.Request) error {
	rm, err := s.classOf(r)
	if err != nil {
		return err
	}
	if key := r.FormValue("key"); key != "" {
		if !sameSecret(key, rm.Key) {
			return errNotTeacher
		}
		setCookie(w, keyCookie(rm), rm.Key, "/classes")
		return page.SeeOther(w, r, classPath(rm.ID)) // the key does not stay in the address, which the class may see
	}
	if !holdsKey(r, rm) {
		return errNotTeacher
	}
	d, _, err := s.deskOf(rm)
	if err != nil {
		return err
	}
	x, err := s.store.Load(strconv.Itoa(int(rm.Exercise)))
	if err != nil {
		return err
	}
	p := deskPage{ID: rm.ID, Exercise: x.Entry.Name, Sheet: sheetPath(rm.Exercise), Link: "http://" + r.Host + classPath(rm.ID) + "?key=" + rm.Key, Desk: *d}
	s.Render(w, http.StatusOK, "class", page.Page{Title: "Class on " + x.Entry.Name, Section: "Live class", Wide: true, Data: p})
	return nil
}

// deskOf is the teacher's screen now, and a channel that closes when it changes.
func (s *Server) deskOf(rm *room) (*desk, <-chan struct{}, error) {
	var alone aloneDesk
	rm.mu.Lock()
	changed, mode, shown := rm.desk.wait(), rm.Mode, rm.Ranking
	rm.mu.Unlock()
	if mode == class.Duplicate {
		var err error
		if alone, err = s.aloneDesk(rm, shown); err != nil {
			return nil, nil, err
		}
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	d := &desk{ID: rm.ID, Mode: rm.Mode, Code: rm.Code, Joined: len(rm.Students), Connected: rm.connected(), Failed: rm.failed, Alone: alone}
	var names []string
	for _, st := range rm.Students {
		names = append(names, st.Name)
	}
	d.Names = strings.Join(names, ", ")
	if err := s.joinView(rm, d); err != nil {
		return nil, nil, err
	}
	if err := s.voteView(rm, d); err != nil {
		return nil, nil, err
	}
	return d, changed, nil
}

// joinView fills in the way in; the room is locked.
func (s *Server) joinView(rm *room, d *desk) error {
	j := &d.Join
	j.ID, j.Code, j.Ended, j.First = rm.ID, rm.Code, !rm.Ended.IsZero(), len(rm.Students) == 0
	addresses := s.DoorAddresses()
	j.Open = len(addresses) > 0
	for _, a := range networkAddresses() {
		j.Hosts = append(j.Hosts, a.String())
	}
	if !j.Open || j.Ended {
		j.URL = "http://" + s.address + "/join"
		return nil
	}
	j.URL, j.QR = "http://"+addresses[0]+"/join", "http://"+addresses[0]+"/join/"+rm.Code
	for _, a := range addresses[1:] {
		j.Others = append(j.Others, "http://"+a+"/join")
	}
	var err error
	j.SVG, err = qrSVG(j.QR)
	return err
}

// voteView fills in where the class stands; the room is locked.
func (s *Server) voteView(rm *room, d *desk) error {
	now := s.hall.now()
	d.State = "idle"
	r := rm.Round()
	if r != nil {
		next := r.Tick(now)
		d.Round, d.Heading, d.Route, d.Rack = r.N, questionHeading(&r.Question), r.Route, view.RackStrip("The rack", r.Question.Rack)
		d.Answered, d.Begun = r.Answered()
		switch {
		case len(r.Follows) > 0:
			d.State = "followed"
		case r.Counted:
			d.State = "counted"
		case !next.IsZero() && !r.Closed.IsZero():
			d.State = "counting"
		default:
			d.State, d.Deadline = "open", milli(r.Deadline)
		}
		if r.Counted {
			j := r.Judgement
			if d.Judging = rm.judging == r.N; d.Judging && rm.soFar != nil {
				j = rm.soFar
			}
			d.Spread = viewSpread(rm.Class, r, j)
		}
	}
	for _, past := range rm.Rounds {
		if past.Counted {
			d.Past = append(d.Past, pastOf(past))
		}
	}
	switch {
	case !rm.Ended.IsZero():
		d.State = "ended"
		d.Judging = rm.judging > 0
	case rm.Mode == class.Duplicate:
		d.State = "alone"
	case d.State == "idle" || d.State == "followed" || d.State == "counted":
		return s.nextView(rm, d)
	}
	return nil
}

func pastOf(r *class.Round) pastVote {
	p := pastVote{N: r.N, Heading: questionHeading(&r.Question), Route: r.Route}
	p.Answered, _ = r.Answered()
	for _, f := range r.Follows {
		p.Followed = append(p.Followed, viewChoice(&r.Question, f.Choice))
	}
	return p
}

// nextView fills in what can be asked next, on each route of the class; the room is locked.
func (s *Server) nextView(rm *room, d *desk) error {
	x, err := s.store.Load(strconv.Itoa(int(rm.Exercise)))
	if err != nil {
		d.Problem = "The exercise of this class cannot be opened: " + err.Error() + "."
		return nil
	}
	d.Entered = x.Incoming == exercise.EnteredPasses
	for _, name := range rm.Routes {
		route, err := x.Route(name)
		if err != nil {
			continue // it was removed from the sheet
		}
		t, err := x.Replay(route)
		if err != nil {
			return err
		}
		if t.Now.Phase() == charleston.Over {
			continue
		}
		q, err := class.Ask(&t.Now, nil)
		if err != nil {
			return err
		}
		n := nextVote{Route: name, Heading: questionHeading(&q), Place: wording.Step(q.Step), After: len(rm.Rounds)}
		d.Next = append(d.Next, n)
	}
	return nil
}

// aloneDesk is how far everybody is in a duplicate class.
func (s *Server) aloneDesk(rm *room, shown bool) (aloneDesk, error) {
	d := aloneDesk{Shown: shown}
	w, err := s.walksOf(rm)
	if err != nil {
		return d, err
	}
	results, err := w.results(rm)
	if err != nil {
		return d, err
	}
	scores, spares, chance := class.Scores(results)
	d.Ranking = ranking(rm, scores)
	d.Done = len(d.Ranking)
	d.MeanSpares, d.MeanChance = fmt.Sprintf("%.1f", spares), percent(chance)
	rm.mu.Lock()
	defer rm.mu.Unlock()
	for _, res := range results {
		if st, err := rm.Student(res.Student); err == nil {
			d.Rows = append(d.Rows, aloneRow{st.Name, res.Decided, res.Over})
		}
	}
	return d, nil
}

// regions are the parts of the teacher's screen that change, each by the template that fills it.
var regions = map[string]string{"code": "desk-code", "joined": "desk-joined", "vote": "desk-vote", "past": "desk-past"}

// deskState is what the teacher's screen is sent.
type deskState struct {
	Regions  map[string]string `json:"regions"`
	Deadline int64             `json:"deadline,omitempty"`
	Now      int64             `json:"now"`
}

// liveClass sends the teacher's screen, at once and after each change.
func (s *Server) liveClass(w http.ResponseWriter, r *http.Request, rm *room) error {
	first := true
	return s.follow(r.Context(), w, func() (any, <-chan struct{}, error) {
		if !first {
			rest(r.Context(), deskRest)
		}
		first = false
		d, changed, err := s.deskOf(rm)
		if err != nil {
			return nil, nil, err
		}
		state := deskState{Regions: map[string]string{}, Deadline: d.Deadline, Now: milli(s.hall.now())}
		for name, part := range regions {
			html, err := s.Text("class", part, d)
			if err != nil {
				return nil, nil, err
			}
			state.Regions[name] = string(html)
		}
		return state, changed, nil
	})
}

func rest(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

// sheetVote is one vote of the printed sheet.
type sheetVote struct {
	N       int
	Heading string
	Route   string
	Rack    template.HTML
	Joined  int
	spreadView
}

// sheetStudent is what one student chose, vote by vote.
type sheetStudent struct {
	Name  string
	Cells []sheetChoice
}

type sheetChoice struct {
	Text, Cost string
}

// classSheet is the result of a class as it is printed.
type classSheet struct {
	ID       int64
	Exercise string
	Fields   []field
	Votes    []sheetVote
	Students []sheetStudent
	Ranking  []rankRow
	Mode     class.Mode
}

func (s *Server) showClassSheet(w http.ResponseWriter, r *http.Request, rm *room) error {
	x, err := s.store.Load(strconv.Itoa(int(rm.Exercise)))
	if err != nil {
		return err
	}
	var alone aloneDesk
	if rm.Mode == class.Duplicate {
		if alone, err = s.aloneDesk(rm, true); err != nil {
			return err
		}
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	sh := sheetOf(rm.SavedClass, x)
	sh.Ranking = alone.Ranking
	s.Render(w, http.StatusOK, "class_sheet", page.Page{Title: "Sheet of the class on " + x.Entry.Name, Section: "Live class", Wide: true, Data: sh})
	return nil
}

func sheetOf(c *store.SavedClass, x *store.Saved) classSheet {
	sh := classSheet{ID: c.ID, Exercise: x.Entry.Name, Mode: c.Mode}
	sh.Fields = append([]field{{Name: "Opened", Value: c.Opened.Format("2 January 2006, 15:04")}, {Name: "Students", Value: strconv.Itoa(len(c.Students))}}, fieldsOf(x.ID, x.Exercise)...)
	for _, r := range c.Rounds {
		if !r.Counted {
			continue
		}
		sh.Votes = append(sh.Votes, sheetVote{N: r.N, Heading: questionHeading(&r.Question), Route: r.Route, Rack: view.RackStrip("The rack", r.Question.Rack),
			Joined: len(c.Students), spreadView: viewSpread(c.Class, r, r.Judgement)})
	}
	if c.Mode == class.Duplicate {
		return sh
	}
	for _, st := range c.Students {
		row := sheetStudent{Name: st.Name}
		for _, r := range c.Rounds {
			if r.Counted {
				row.Cells = append(row.Cells, cellOf(r, st.ID))
			}
		}
		sh.Students = append(sh.Students, row)
	}
	return sh
}

func cellOf(r *class.Round, student int) sheetChoice {
	v, ok := r.Votes[student]
	if !ok || !r.Question.Complete(v.Choice) {
		return sheetChoice{Text: "–"}
	}
	c := sheetChoice{Text: wording.Action(r.Question.Action(v.Choice, charleston.East))}
	if cost, ok := r.Judgement.Of(v.Choice); ok {
		text, interval := costText(cost)
		if c.Cost = text; interval != "" {
			c.Cost += " (" + interval + ")"
		}
	}
	return c
}
