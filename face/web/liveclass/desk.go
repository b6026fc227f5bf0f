package liveclass

import (
	"cmp"
	"context"
	"fmt"
	"html/template"
	"net/http"
	"strconv"
	"time"

	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/hall"
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
	Desk     deskView
}

// deskView is what changes on the teacher's screen.
type deskView struct {
	ID     int64
	Mode   class.Mode
	Code   string
	Join   joinView
	Joined int
	// Connected is how many phones are there now.
	Connected int
	Names     []class.Student
	Unread    []string // what of the class cannot be read
	// State is idle, open, counting, counted, followed, alone or ended.
	State    string
	Round    int // of the last vote, 0 for none
	Heading  string
	Route    string
	Place    string // "route A", "item 2 of 5 items"
	Position *view.DrillView
	Lesson   bool
	Rack     template.HTML
	Answered int
	Begun    int
	Deadline int64
	Next     []nextVote
	Entered  bool
	Spread   spreadView
	Tiles    []votedTile // the rack with what each tile got, once a vote is counted
	Judging  bool
	SoFar    string // how far the judgement is; what it finds shows when it is over, so that nothing shown is taken back
	Failed   string
	Past     []pastVote
	Alone    aloneDesk
	Problem  string
	Unsaved  string // what could not be written last
}

// Followable says that the class can go on with what is ticked.
func (d deskView) Followable() bool { return d.State == "counted" && !d.Lesson }

// joinView is how phones get in.
type joinView struct {
	Code    string
	Open    bool // phones on the network can join
	Public  bool // they join by the address of the whole program
	URL, QR string
	Square  *page.QRCode // of QR
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
	// Again is the item of a lesson that was asked last.
	Again bool
}

type pastVote struct {
	N, Answered    int
	Heading, Place string
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
	// Gap is the decision from which on what was on the disk could not be used, 0 for none.
	Gap int
}

// rankRow is one student's place in a duplicate class.
type rankRow struct {
	Rank                         int
	Name                         string
	Spares                       int
	SparesGap, Chance, ChanceGap string
}

// ranking is the students at the end, best first.
func ranking(now *hall.State, scores []class.Score) []rankRow {
	var rows []rankRow
	for _, sc := range scores {
		st, err := now.Student(sc.Student)
		if err != nil || !sc.Over {
			continue
		}
		rows = append(rows, rankRow{sc.Rank, st.Name, sc.Spares, view.Minus(wording.Plus(sc.SparesGap, 1)), percent(sc.Chance), view.Minus(wording.Plus(100*sc.ChanceGap, 1))})
	}
	return rows
}

func (c *Classes) showClass(w http.ResponseWriter, r *http.Request) error {
	rm, err := c.classOf(r)
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
	d, err := c.deskOf(rm, rm.Now())
	if err != nil {
		return err
	}
	on, _ := c.exercise(rm)
	sheet := view.SheetPath(rm.Exercise)
	if rm.Lesson != nil {
		sheet = "/lessons"
	}
	p := deskPage{ID: rm.ID, Exercise: on, Sheet: sheet, Link: cmp.Or(c.public, "http://"+r.Host) + classPath(rm.ID) + "?key=" + rm.Key, Desk: *d}
	c.Render(w, http.StatusOK, "class", page.Page{Title: "Class on " + on, Section: "Live class", Wide: true, Data: p})
	return nil
}

// exercise is what a class works on, by its name; of a lesson x is nil. An exercise that was deleted or is damaged is nil: the class is there all the
// same.
func (c *Classes) exercise(rm *hall.Room) (name string, x *store.Saved) {
	if rm.Lesson != nil {
		return rm.Lesson.Title, nil
	}
	x, err := c.store.Load(strconv.FormatInt(rm.Exercise, 10))
	if err != nil {
		return "an exercise that cannot be opened", nil
	}
	return x.Entry.Name, x
}

// deskOf is the teacher's screen at a moment.
func (c *Classes) deskOf(rm *hall.Room, now *hall.State) (*deskView, error) {
	d := &deskView{ID: rm.ID, Lesson: rm.Lesson != nil, Mode: now.Mode, Code: now.Code, Joined: len(now.Students), Connected: now.Connected, Failed: now.Failed,
		Unsaved: now.Unsaved, Problem: now.Problem, Names: now.Students, Unread: now.Unread}
	if now.Mode == class.Duplicate {
		d.Alone = aloneDeskOf(now)
	}
	if err := c.joinView(rm, now, d); err != nil {
		return nil, err
	}
	return d, c.voteView(rm, now, d)
}

// joinView fills in the way in.
func (c *Classes) joinView(rm *hall.Room, now *hall.State, d *deskView) error {
	j := &d.Join
	j.ID, j.Code, j.Ended, j.First = rm.ID, now.Code, !now.Ended.IsZero(), len(now.Students) == 0
	doors := c.Doors()
	j.Open, j.Public = len(doors) > 0, c.public != ""
	for _, a := range networkAddresses() {
		j.Hosts = append(j.Hosts, a.String())
	}
	if !j.Open || j.Ended || j.Code == "" {
		j.URL = cmp.Or(c.public, "http://"+c.address()) + "/join"
		return nil
	}
	j.URL, j.QR = doors[0]+"/join", doors[0]+"/join/"+cmp.Or(now.Link, now.Code)
	for _, d := range doors[1:] {
		j.Others = append(j.Others, d+"/join")
	}
	var err error
	j.Square, err = page.QROf(j.QR)
	return err
}

// voteView fills in where the class stands.
func (c *Classes) voteView(rm *hall.Room, now *hall.State, d *deskView) error {
	d.State = "idle"
	if r := now.Round(); r != nil {
		d.Round, d.Heading, d.Route, d.Rack = r.N, questionHeading(&r.Question), r.Route, view.RackStrip("The rack", r.Question.Rack)
		d.Answered, d.Begun = r.Answered()
		d.Place, d.Position = placeOf(r), positionOf(rm, r)
		switch {
		case len(r.Follows) > 0:
			d.State = "followed"
		case r.Counted:
			d.State = "counted"
		case !r.Closed.IsZero():
			d.State = "counting"
		default:
			d.State, d.Deadline = "open", milli(r.Deadline)
		}
		if r.Counted {
			d.Judging = now.Judging == r.N
			d.Spread, d.Tiles = viewSpread(now.Class, r, r.Judgement), votedTiles(r)
			if d.Judging && now.SoFar != nil {
				d.SoFar = soFar(now.SoFar)
			}
		}
	}
	for _, past := range now.Rounds {
		if past.Counted {
			d.Past = append(d.Past, pastOf(past))
		}
	}
	switch {
	case !now.Ended.IsZero():
		d.State = "ended"
		d.Judging = now.Judging > 0
	case now.Mode == class.Duplicate:
		d.State = "alone"
	case d.State == "idle" || d.State == "followed" || d.State == "counted":
		c.nextView(rm, now, d)
	}
	return nil
}

// soFar is how far a judgement has come, in words.
func soFar(j *class.Judgement) string {
	if j.Whole == 0 {
		return wording.Plural(j.Games, "short game")
	}
	return fmt.Sprintf("%s, %s of each choice that is near", wording.Plural(j.Games, "short game"), wording.Plural(j.Whole, "whole game"))
}

func pastOf(r *class.Round) pastVote {
	p := pastVote{N: r.N, Heading: questionHeading(&r.Question), Place: placeOf(r)}
	p.Answered, _ = r.Answered()
	for _, f := range r.Follows {
		p.Followed = append(p.Followed, viewChoice(&r.Question, f.Choice))
	}
	return p
}

// nextView fills in what can be asked next, on each route of the class.
func (c *Classes) nextView(rm *hall.Room, now *hall.State, d *deskView) {
	if rm.Lesson != nil {
		d.Next = nextItems(rm, now)
		return
	}
	x, err := c.store.Load(strconv.FormatInt(rm.Exercise, 10))
	if err != nil {
		d.Problem = "The exercise of this class cannot be opened: " + err.Error() + "."
		return
	}
	d.Entered = x.Incoming == exercise.EnteredPasses
	for _, letter := range now.Routes {
		route, err := x.RouteAt(letter)
		if err != nil {
			continue // it was removed from the sheet
		}
		t, err := x.Replay(route)
		if err != nil {
			d.Problem = "The class cannot go on: " + err.Error() + "."
			continue
		}
		if t.Now.Phase() == charleston.Over {
			continue
		}
		q, err := class.Ask(&t.Now, nil)
		if err != nil {
			continue
		}
		d.Next = append(d.Next, nextVote{Route: letter, Heading: questionHeading(&q), Place: wording.Step(q.Step), After: len(now.Rounds)})
	}
}

// aloneDeskOf is how far everybody is in a duplicate class.
func aloneDeskOf(now *hall.State) aloneDesk {
	d := aloneDesk{Shown: now.Ranking}
	results := now.Results()
	scores, spares, chance := class.Scores(results)
	d.Ranking = ranking(now, scores)
	d.Done = len(d.Ranking)
	d.MeanSpares, d.MeanChance = fmt.Sprintf("%.1f", spares), percent(chance)
	for _, res := range results {
		if st, err := now.Student(res.Student); err == nil {
			d.Rows = append(d.Rows, aloneRow{st.Name, res.Decided, res.Over, now.Walk(res.Student).Gap})
		}
	}
	return d
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
func (c *Classes) liveClass(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	return c.followRegions(w, r, rm, "class", regions, func(d *deskView) any { return d })
}

// followRegions sends the regions of one of the teacher's pages, at once and after each change; data is what its templates need.
func (c *Classes) followRegions(w http.ResponseWriter, r *http.Request, rm *hall.Room, page string, regions map[string]string, data func(*deskView) any) error {
	first := true
	return c.follow(r.Context(), w, func() (any, <-chan struct{}, error) {
		if !first {
			rest(r.Context(), deskRest)
		}
		first = false
		now := rm.Now()
		d, err := c.deskOf(rm, now)
		if err != nil {
			return nil, nil, err
		}
		state := deskState{Regions: map[string]string{}, Deadline: d.Deadline, Now: milli(c.hall.Clock())}
		for name, part := range regions {
			html, err := c.Text(page, part, data(d))
			if err != nil {
				return nil, nil, err
			}
			state.Regions[name] = string(html)
		}
		return state, now.Changed(), nil
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
	Place   string
	Rack    template.HTML
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
	Fields   []view.Field
	Votes    []sheetVote
	Students []sheetStudent
	Ranking  []rankRow
	Mode     class.Mode
}

func (c *Classes) showClassSheet(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	on, x := c.exercise(rm)
	sh := sheetOf(on, rm.Now().Class)
	sh.ID, sh.Ranking = rm.ID, aloneDeskOf(rm.Now()).Ranking
	if x != nil {
		sh.Fields = append(sh.Fields, view.FieldsOf(x.ID, x.Exercise)...)
	}
	c.Render(w, http.StatusOK, "class_sheet", page.Page{Title: "Sheet of the class on " + on, Section: "Live class", Wide: true, Data: sh})
	return nil
}

// sheetOf is a class as it is printed, but for the label of its exercise and the ranking of those who walk alone.
func sheetOf(on string, c *class.Class) classSheet {
	sh := classSheet{Exercise: on, Mode: c.Mode}
	sh.Fields = []view.Field{{Name: "Opened", Value: c.Opened.Format("2 January 2006, 15:04")}, {Name: "Students", Value: strconv.Itoa(len(c.Students))}}
	for _, r := range c.Rounds {
		if !r.Counted {
			continue
		}
		sh.Votes = append(sh.Votes, sheetVote{N: r.N, Heading: questionHeading(&r.Question), Place: placeOf(r), Rack: view.RackStrip("The rack", r.Question.Rack),
			spreadView: viewSpread(c, r, r.Judgement)})
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
	c := sheetChoice{Text: viewChoice(&r.Question, v.Choice).Text}
	if cost, ok := r.Judgement.Of(v.Choice); ok {
		text, interval := costText(cost)
		if c.Cost = text; interval != "" {
			c.Cost += " (" + interval + ")"
		}
	}
	return c
}
