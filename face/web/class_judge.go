package web

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"secondpass/exercise"
	"secondpass/face/web/live"
	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/teach/class"
)

const (
	// judgedMost is how many of the class's choices are judged to the end; the rarest fall out where there are more.
	judgedMost = 40
	// judgeRest is the least time between two pictures of figures that tighten.
	judgeRest = 500 * time.Millisecond
)

// judgeVote starts or stops playing on from the choices of a counted vote.
func (s *Server) judgeVote(w http.ResponseWriter, r *http.Request, rm *room) error {
	n, err := strconv.Atoi(r.PostForm.Get("round"))
	if err != nil {
		return page.Refused("The number of the vote is missing.")
	}
	if r.PostForm.Get("act") == "stop" {
		s.Jobs.Halt(judgeKey(rm, n))
		return s.done(w, r, rm)
	}
	if _, err := s.judge(rm, n); err != nil {
		return err
	}
	return s.done(w, r, rm)
}

func judgeKey(rm *room, n int) string { return fmt.Sprintf("class %d %d", rm.ID, n) }

// judge plays on from the choices of a counted vote, and keeps what that shows when it is over. It returns at once; the
// channel closes at the end.
func (s *Server) judge(rm *room, n int) (<-chan struct{}, error) {
	x, err := s.store.Load(strconv.Itoa(int(rm.Exercise)))
	if err != nil {
		return nil, err
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	if n < 1 || n > len(rm.Rounds) || !rm.Rounds[n-1].Counted {
		return nil, page.Refused("Only a vote that is counted can be judged.")
	}
	round := rm.Rounds[n-1]
	view, err := viewOf(x.Exercise, round)
	if err != nil {
		return nil, err
	}
	var asked []class.Choice
	var named []charleston.Action
	for _, g := range round.Spread() {
		if len(asked) < judgedMost {
			asked = append(asked, g.Choice)
			named = append(named, round.Question.Action(g.Choice, x.Seat))
		}
	}
	counsel, err := s.Cards.Counsel(x.Exercise)
	if err != nil {
		return nil, err
	}
	key := judgeKey(rm, n)
	s.Jobs.Start(key, func(int, any) live.Work {
		return func(ctx context.Context, publish func(any)) error {
			a, err := counsel.Advise(ctx, view, named, exercise.Budget{Games: adviceGames}, func(a exercise.Advice) { publish(judged(&a, x.Seed, asked)) })
			if err == nil && ctx.Err() == nil {
				publish(judged(&a, x.Seed, asked))
			}
			return err
		}
	})
	rm.judging, rm.soFar, rm.failed = n, nil, ""
	rm.desk.ring()
	over := make(chan struct{})
	go s.watchJudging(rm, round, s.Jobs.Find(key), over)
	return over, nil
}

func judged(a *exercise.Advice, seed uint64, asked []class.Choice) *class.Judgement {
	j := class.Judge(a, seed, asked)
	return &j
}

// viewOf is what the seat knew at a vote.
func viewOf(e *exercise.Exercise, round *class.Round) (charleston.View, error) {
	route, err := e.Route(round.Route)
	if err != nil {
		return charleston.View{}, page.Refused("The vote cannot be judged: %s.", err)
	}
	if len(route.Decisions) < round.At {
		return charleston.View{}, page.Refused("The vote cannot be judged: route %s was taken back on the sheet.", route.Name)
	}
	cut := route.Upto(round.At)
	t, err := e.Replay(&cut)
	if err != nil {
		return charleston.View{}, err
	}
	if t.Now.Rack() != round.Question.Rack {
		return charleston.View{}, page.Refused("The vote cannot be judged: route %s was changed on the sheet.", route.Name)
	}
	return t.Now.View(), nil
}

// watchJudging shows a judgement on the teacher's screen while it tightens, and keeps it at the end.
func (s *Server) watchJudging(rm *room, round *class.Round, j *live.Job, over chan<- struct{}) {
	defer close(over)
	defer j.Watch()()
	for {
		now, changed := j.Show()
		found, _ := now.Data.(*class.Judgement)
		rm.mu.Lock()
		rm.soFar = found
		if !now.Active() {
			s.keepJudgement(rm, round, now, found)
			rm.mu.Unlock()
			return
		}
		rm.desk.ring()
		rm.mu.Unlock()
		<-changed
		time.Sleep(judgeRest)
	}
}

// keepJudgement ends a judgement; the room is locked. One that was stopped keeps what it has, if its games began.
func (s *Server) keepJudgement(rm *room, round *class.Round, now live.Shown, found *class.Judgement) {
	rm.judging, rm.soFar = 0, nil
	switch {
	case now.State == live.Failed:
		rm.failed = wording.Capital(now.Error) + "."
	case found != nil && found.Games > 0:
		round.Judgement = found
		if err := s.store.SaveRound(rm.ID, round); err != nil {
			s.Log.Error("a judgement was not kept", "class", rm.ID, "error", err)
			rm.failed = "The figures could not be kept on the disk."
		}
	}
	rm.tell()
}

// judgeAll judges the votes of a class that ended which nobody asked about, one after another.
func (s *Server) judgeAll(rm *room) {
	rm.mu.Lock()
	var due []int
	for _, r := range rm.Rounds {
		if answered, _ := r.Answered(); r.Judgement == nil && r.Counted && answered > 0 {
			due = append(due, r.N)
		}
	}
	rm.mu.Unlock()
	for _, n := range due {
		over, err := s.judge(rm, n)
		if err != nil {
			rm.mu.Lock()
			rm.failed = err.Error()
			rm.desk.ring()
			rm.mu.Unlock()
			continue
		}
		select {
		case <-over:
		case <-s.hall.ended:
			return
		}
	}
}
