package web

import (
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"html/template"
	"net/http"
	"strconv"
	"time"

	"secondpass/face/web/page"
	"secondpass/face/web/view"
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
func (s *Server) phoneState(rm *room, student int) (phoneState, <-chan struct{}, error) {
	if rm.Mode == class.Duplicate {
		return s.aloneState(rm, student)
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	now := s.hall.now()
	changed := rm.phones.wait()
	if !rm.Ended.IsZero() {
		html, err := s.Text("room", "room-ended", rm.ownSheet(student))
		return phoneState{Class: rm.ID, Screen: idOf(html), HTML: string(html), Phase: "ended", Now: milli(now)}, changed, err
	}
	if rm.screen == nil {
		sc, err := s.screenOf(rm, now)
		if err != nil {
			return phoneState{}, nil, err
		}
		rm.screen = sc
	}
	sc := rm.screen
	p := phoneState{Class: rm.ID, Screen: sc.ID, HTML: sc.HTML, Round: sc.Round, Phase: sc.Phase, Kind: sc.Kind, Need: sc.Need, Deadline: sc.Deadline, Now: milli(now)}
	r := rm.Round()
	if r == nil {
		return p, changed, nil
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
	return p, changed, nil
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

// screenOf makes what all phones show; the room is locked.
func (s *Server) screenOf(rm *room, now time.Time) (*screen, error) {
	r := rm.Round()
	sc := &screen{Phase: "wait"}
	part, data := "room-wait", any(nil)
	if r != nil {
		r.Tick(now)
		sc.Round, sc.Need = r.N, r.Question.Need
		f := formOf(&r.Question)
		sc.Kind = f.Kind
		switch {
		case r.Counted:
			sc.Phase, part = "counted", "room-counted"
			data = countedScreen{Heading: f.Heading, Spread: viewSpread(rm.Class, r, r.Judgement)}
		case !r.Closed.IsZero():
			sc.Phase, part, data = "counting", "room-vote", f
		default:
			sc.Phase, part, data = "vote", "room-vote", f
			sc.Deadline = milli(r.Deadline)
		}
	}
	html, err := s.Text("room", part, data)
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

// ownSheet is all rounds as one student sees them afterwards; the room is locked.
func (rm *room) ownSheet(student int) []ownRow {
	var rows []ownRow
	for _, r := range rm.Rounds {
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
func (s *Server) aloneState(rm *room, student int) (phoneState, <-chan struct{}, error) {
	w, err := s.walksOf(rm)
	if err != nil {
		return phoneState{}, nil, err
	}
	rm.mu.Lock()
	changed := rm.phones.wait() // before anything is read, so that nothing is missed
	ended, ranked := !rm.Ended.IsZero(), rm.Ranking
	rm.mu.Unlock()
	results, err := w.results(rm)
	if err != nil {
		return phoneState{}, nil, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	own := w.by[student]
	p := phoneState{Class: rm.ID, Round: own.result.Decided + 1, Phase: "alone", Now: milli(s.hall.now())}
	part, data := "room-alone", any(nil)
	if own.result.Over || ended {
		p.Phase, part = "done", "room-done"
		data = doneOf(own, results, rm, ended, ranked)
	} else {
		q, err := class.Ask(&own.trail.Now, nil)
		if err != nil {
			return phoneState{}, nil, err
		}
		f := formOf(&q)
		f.Alone, p.Kind, p.Need = true, f.Kind, f.Need
		if n := len(own.trail.Snapshots); n > 0 {
			if last := &own.trail.Snapshots[n-1].Decision; last.Came.Len() > 0 {
				f.Came = view.CameStrip("Came", last.Came)
			}
		}
		data = f
	}
	html, err := s.Text("room", part, data)
	p.HTML, p.Screen = string(html), fmt.Sprintf("%d %s", p.Round, idOf(html))
	return p, changed, err
}

// doneOf is the end of a student's walk.
func doneOf(own *walker, results []class.Result, rm *room, ended, ranked bool) aloneScreen {
	scores, spares, chance := class.Scores(results)
	d := aloneScreen{Joined: len(results), Ended: ended, Ranked: ranked, NotAtTheEnd: !own.result.Over, DecisionsTaken: own.result.Decided,
		Rack: view.RackStrip("Your rack", own.trail.Now.Rack())}
	for _, sc := range scores {
		if !sc.Over {
			continue
		}
		d.Done++
		if sc.Student == own.result.Student {
			d.Spares, d.Chance, d.Rank = sc.Spares, percent(sc.Chance), sc.Rank
			d.SparesGap, d.ChanceGap = view.Minus(wording.Plus(sc.SparesGap, 1)), view.Minus(wording.Plus(100*sc.ChanceGap, 1))
		}
	}
	d.MeanSpares, d.MeanChance = fmt.Sprintf("%.1f", spares), percent(chance)
	if ranked {
		d.Ranking = ranking(rm, scores)
	}
	return d
}

func percent(x float64) string { return fmt.Sprintf("%.1f %%", 100*x) }

// liveRoom sends a student's phone what it shows, at once and after each change.
func (s *Server) liveRoom(w http.ResponseWriter, r *http.Request) error {
	rm, st, err := s.student(r)
	if err != nil {
		return err
	}
	ctx, end := context.WithCancel(r.Context())
	defer end()
	leave, err := rm.enter(st.ID, end)
	if err != nil {
		return err
	}
	defer leave()
	return s.follow(ctx, w, func() (any, <-chan struct{}, error) { return s.phoneState(rm, st.ID) })
}

// follow sends a state as server-sent events, at once and after each change, until ctx ends. Between them it sends
// beats, so that the other side notices when the connection is gone.
func (s *Server) follow(ctx context.Context, w http.ResponseWriter, state func() (any, <-chan struct{}, error)) error {
	w.Header().Set("X-Accel-Buffering", "no")
	out := page.OpenEvents(w)
	ticks := time.NewTicker(beat)
	defer ticks.Stop()
	for {
		now, changed, err := state()
		if err != nil {
			s.Log.Error("a stream has ended", "error", err)
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
				if out.Within(time.Now().Add(writeWithin)); !out.Send("beat", []byte(strconv.Itoa(int(milli(s.hall.now()))))) {
					return nil
				}
			}
		}
	}
}
