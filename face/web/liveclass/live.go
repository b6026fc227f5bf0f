package liveclass

import (
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"html/template"
	"net/http"
	"strconv"
	"sync"
	"time"

	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/hall"
	"secondpass/paper/wording"
	"secondpass/teach/class"
)

const (
	// beat is how often a stream says that it lives. Phones call the connection lost after three times that.
	beat = 3 * time.Second
	// writeWithin is how long a phone may take to accept what is sent.
	writeWithin = 10 * time.Second
	// deskRest is the least time between two pictures of the teacher's screen: answers come in bursts.
	deskRest = 100 * time.Millisecond
)

// screen is what all phones of a class show: a fragment, and what the script has to know about it.
type screen struct {
	ID    string // changes with the fragment
	HTML  string
	Round int
	// Phase is wait, vote, counting, counted, alone, done or ended.
	Phase    string
	Deadline int64
	Kind     string
	Need     int
}

// phoneState is what one phone is sent. Moments are milliseconds since 1970 by this machine's clock.
type phoneState struct {
	Class    int64  `json:"class"`
	Screen   string `json:"screen"`
	HTML     string `json:"html"`
	Round    int    `json:"round"`
	Phase    string `json:"phase"`
	Kind     string `json:"kind,omitempty"`
	Need     int    `json:"need,omitempty"`
	Deadline int64  `json:"deadline,omitempty"`
	Now      int64  `json:"now"`
	// Seq and Choice are the student's last kept choice in this round; Key is that which counted.
	Seq    int64         `json:"seq"`
	Choice *class.Choice `json:"choice,omitempty"`
	Key    string        `json:"key,omitempty"`
	Result string        `json:"result,omitempty"`
}

func milli(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

// phoneState is what a student's phone shows now, and a channel that closes when that changes.
func (c *Classes) phoneState(rm *hall.Room, student int) (phoneState, <-chan struct{}, error) {
	now := rm.Now()
	p, err := c.phoneStateOf(rm, now, student)
	return p, now.PhonesChange(), err
}

func (c *Classes) phoneStateOf(rm *hall.Room, now *hall.State, student int) (phoneState, error) {
	if now.Mode == class.Duplicate {
		return c.aloneState(rm, now, student)
	}
	clock := milli(c.hall.Clock())
	if !now.Ended.IsZero() {
		html, err := c.Text("room", "room-ended", ownSheet(now, student))
		return phoneState{Class: rm.ID, Screen: idOf(html), HTML: string(html), Phase: "ended", Now: clock}, err
	}
	sc, err := c.screens.of(rm, now, c.screenOf)
	if err != nil {
		return phoneState{}, err
	}
	p := phoneState{Class: rm.ID, Screen: sc.ID, HTML: sc.HTML, Round: sc.Round, Phase: sc.Phase, Kind: sc.Kind, Need: sc.Need, Deadline: sc.Deadline, Now: clock}
	r := now.Round()
	if r == nil {
		return p, nil
	}
	if v, ok := r.Votes[student]; ok {
		p.Seq, p.Choice = v.Seq, &v.Choice
		if r.Question.Complete(v.Choice) {
			p.Key = choiceKey(v.Choice)
		}
	}
	if sc.Phase == "counted" {
		p.Result = ownResult(r, student)
	}
	return p, nil
}

// screens are what all phones of a class show, made once for each change.
type screens struct {
	mu sync.Mutex
	by map[*hall.Room]shownScreen
}

type shownScreen struct {
	shown int64
	*screen
}

// screensKept is how many classes' screens are kept.
const screensKept = 64

// of is the screen of a class at a moment.
func (s *screens) of(rm *hall.Room, now *hall.State, draw func(*hall.Room, *hall.State) (*screen, error)) (*screen, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if kept, ok := s.by[rm]; ok && kept.shown == now.Shown {
		return kept.screen, nil
	}
	sc, err := draw(rm, now)
	if err != nil {
		return nil, err
	}
	if len(s.by) >= screensKept {
		clear(s.by)
	}
	s.by[rm] = shownScreen{now.Shown, sc}
	return sc, nil
}

func idOf(html []byte) string {
	h := fnv.New64a()
	h.Write(html)
	return fmt.Sprintf("%x", h.Sum64())
}

// countedScreen is a counted round as all phones show it.
type countedScreen struct {
	Heading string
	Spread  spreadView
	// Over says that nothing is left to vote on.
	Over bool
}

// screenOf makes what all phones show.
func (c *Classes) screenOf(rm *hall.Room, now *hall.State) (*screen, error) {
	r := now.Round()
	sc := &screen{Phase: "wait"}
	part, data := "room-wait", any(nil)
	if r != nil {
		sc.Round, sc.Need = r.N, r.Question.Need
		f := formOf(&r.Question)
		sc.Kind, f.Position = f.Kind, positionOf(rm, r)
		switch {
		case r.Counted:
			sc.Phase, part = "counted", "room-counted"
			data = countedScreen{Heading: f.Heading, Spread: viewSpread(now.Class, r, r.Judgement)}
		case !r.Closed.IsZero():
			sc.Phase, part, data = "counting", "room-vote", f
		default:
			sc.Phase, part, data = "vote", "room-vote", f
			sc.Deadline = milli(r.Deadline)
		}
	}
	html, err := c.Text("room", part, data)
	sc.HTML = string(html)
	sc.ID = fmt.Sprintf("%d %s", sc.Round, idOf(html))
	return sc, err
}

// ownRow is one round as a student sees it afterwards.
type ownRow struct {
	Heading       string
	Own           choiceView
	Answered      bool
	Followed, Top []choiceView
	Even          int // how many are as good as the best
	Result        string
}

// ownSheet is all rounds as one student sees them afterwards.
func ownSheet(now *hall.State, student int) []ownRow {
	var rows []ownRow
	for _, r := range now.Rounds {
		row := ownRow{Heading: questionHeading(&r.Question), Result: ownResult(r, student)}
		if v, ok := r.Votes[student]; ok && r.Question.Complete(v.Choice) {
			row.Own, row.Answered = viewChoice(&r.Question, v.Choice), true
		}
		for _, f := range r.Follows {
			row.Followed = append(row.Followed, viewChoice(&r.Question, f.Choice))
		}
		if r.Judgement != nil {
			for _, c := range r.Judgement.Costs {
				if c.Even {
					row.Even++
				}
				if c.Best {
					row.Top = append(row.Top, viewChoice(&r.Question, c.Choice))
				}
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// aloneScreen is the end of a student's own walk beside the room's.
type aloneScreen struct {
	Spares         int
	Chance         string
	Clean          bool
	MeanSpares     string
	MeanChance     string
	Done, Joined   int
	SparesGap      string
	ChanceGap      string
	Rack           template.HTML
	Ranking        []rankRow
	Ended, Ranked  bool
	Rank           int
	NotAtTheEnd    bool
	DecisionsTaken int
}

// aloneState is what the phone of a student who walks alone shows.
func (c *Classes) aloneState(rm *hall.Room, now *hall.State, student int) (phoneState, error) {
	p := phoneState{Class: rm.ID, Phase: "wait", Now: milli(c.hall.Clock())}
	part, data := "room-problem", any(nil)
	own := now.Walk(student)
	if own != nil {
		p.Round = own.Result.Decided + 1
	}
	switch {
	case own == nil:
	case own.Result.Over || !now.Ended.IsZero():
		p.Phase, part = "done", "room-done"
		data = doneOf(own, now)
	default:
		q, err := class.Ask(&own.Trail.Now, nil)
		if err != nil {
			return p, err
		}
		f := formOf(&q)
		f.Alone, p.Phase, p.Kind, p.Need = true, "alone", f.Kind, f.Need
		if n := len(own.Trail.Snapshots); n > 0 {
			if last := &own.Trail.Snapshots[n-1].Decision; last.Came.Len() > 0 {
				f.Came = view.CameStrip("Came", last.Came)
			}
		}
		part, data = "room-alone", f
	}
	html, err := c.Text("room", part, data)
	p.HTML, p.Screen = string(html), fmt.Sprintf("%d %s", p.Round, idOf(html))
	return p, err
}

// doneOf is the end of a student's walk.
func doneOf(own *hall.Walk, now *hall.State) aloneScreen {
	results := now.Results()
	scores, spares, chance := class.Scores(results)
	d := aloneScreen{Joined: len(results), Ended: !now.Ended.IsZero(), Ranked: now.Ranking, NotAtTheEnd: !own.Result.Over, DecisionsTaken: own.Result.Decided,
		Rack: view.RackStrip("Your rack", own.Trail.Now.Rack())}
	for _, sc := range scores {
		if !sc.Over {
			continue
		}
		d.Done++
		if sc.Student == own.Result.Student {
			d.Spares, d.Chance, d.Rank = sc.Spares, percent(sc.Chance), sc.Rank
			d.SparesGap, d.ChanceGap = view.Minus(wording.Plus(sc.SparesGap, 1)), view.Minus(wording.Plus(100*sc.ChanceGap, 1))
		}
	}
	d.MeanSpares, d.MeanChance = fmt.Sprintf("%.1f", spares), percent(chance)
	if now.Ranking {
		d.Ranking = ranking(now, scores)
	}
	return d
}

func percent(x float64) string { return fmt.Sprintf("%.1f %%", 100*x) }

// liveRoom sends a student's phone what it shows, at once and after each change.
func (c *Classes) liveRoom(w http.ResponseWriter, r *http.Request) error {
	rm, st, err := c.student(r)
	if err != nil {
		return err
	}
	ctx, end := context.WithCancel(r.Context())
	defer end()
	leave, err := rm.Enter(st.ID, end)
	if err != nil {
		return err
	}
	defer leave()
	return c.follow(ctx, w, func() (any, <-chan struct{}, error) { return c.phoneState(rm, st.ID) })
}

// follow sends a state as server-sent events, at once and after each change, until ctx ends. Between them it sends
// beats, so that the other side notices when the connection is gone.
func (c *Classes) follow(ctx context.Context, w http.ResponseWriter, state func() (any, <-chan struct{}, error)) error {
	w.Header().Set("X-Accel-Buffering", "no")
	out := page.OpenEvents(w)
	ticks := time.NewTicker(beat)
	defer ticks.Stop()
	for {
		now, changed, err := state()
		if err != nil {
			c.Log.Error("a stream has ended", "error", err)
			return nil
		}
		data, err := json.Marshal(now)
		if err != nil {
			return err
		}
		if out.Within(time.Now().Add(writeWithin)); !out.Send("", data) {
			return nil
		}
		for waiting := true; waiting; {
			select {
			case <-ctx.Done():
				return nil
			case <-changed:
				waiting = false
			case <-ticks.C:
				if out.Within(time.Now().Add(writeWithin)); !out.Send("beat", []byte(strconv.Itoa(int(milli(c.hall.Clock()))))) {
					return nil
				}
			}
		}
	}
}
