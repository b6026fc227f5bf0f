package liveclass

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/hall"
	"secondpass/paper/wording"
	"secondpass/teach/class"
	"secondpass/work/queue"
)

// judgeRest is the least time between two pictures of figures that tighten.
const judgeRest = 500 * time.Millisecond

// judgeVote starts or stops playing on from the choices of a counted vote.
func (c *Classes) judgeVote(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	n, err := roundOf(r)
	if err != nil {
		return err
	}
	if r.PostForm.Get("act") == "stop" {
		c.jobs.Halt(judgeKey(rm, n))
		return c.done(w, r, rm)
	}
	if _, err := c.judge(rm, n); err != nil {
		return err
	}
	return c.done(w, r, rm)
}

// reasonOf is a reason as a class keeps it; nil for none.
func reasonOf(p wording.Phrase) *class.Reason {
	if p == nil {
		return nil
	}
	return class.ReasonOf(p.Text(), p.Shown())
}

func judgeKey(rm *hall.Room, n int) string { return fmt.Sprintf("class %d %d", rm.ID, n) }

// judge plays on from the choices of a counted vote, and keeps what that shows when it is over. It returns at once; the
// channel closes at the end.
func (c *Classes) judge(rm *hall.Room, n int) (<-chan struct{}, error) {
	vote, err := rm.Case(n)
	if err != nil {
		return nil, err
	}
	x := vote.Exercise
	judged := func(a *advice.Advice) *class.Judgement {
		j := class.Judge(a, x.Seed, vote.Asked, func(place int) *class.Reason { return reasonOf(wording.Why(a, place)) })
		return &j
	}
	key := judgeKey(rm, n)
	c.jobs.Start(key, func(int, any) queue.Work {
		return func(ctx context.Context, publish func(any)) error {
			q := desk.Question{Exercise: x.Exercise, View: vote.View, Named: vote.Actions, Budget: advice.Budget{Games: desk.AdviceGames, Kept: true}}
			a, err := c.desk.Advise(ctx, q, func(a desk.Answer) { publish(judged(a.Advice)) })
			if err == nil && ctx.Err() == nil {
				publish(judged(a.Advice))
			}
			return err
		}
	})
	rm.BeginJudging(n)
	over := make(chan struct{})
	go func() {
		defer close(over)
		c.watchJudging(rm, n, c.jobs.Find(key))
	}()
	return over, nil
}

// watchJudging shows on the teacher's screen how far a judgement is, and keeps it at the end. One that was stopped
// keeps what it has, if its whole games began: short ones alone give no verdict.
func (c *Classes) watchJudging(rm *hall.Room, n int, j *queue.Job) {
	defer j.Watch()()
	for {
		now, changed := j.Show()
		found, _ := now.Data.(*class.Judgement)
		switch {
		case now.Active():
			rm.ShowJudging(found)
			<-changed
			time.Sleep(judgeRest)
			continue
		case now.State == queue.Failed:
			rm.FailJudging(wording.Capital(now.Error) + ".")
		case found != nil && found.Whole > 0:
			rm.KeepJudging(n, found) // the room tells the teacher where that fails
		default:
			rm.FailJudging("")
		}
		return
	}
}

// judgeAll judges the votes of a class that ended which nobody asked about, one after another.
func (c *Classes) judgeAll(rm *hall.Room) {
	for _, n := range rm.Unjudged() {
		over, err := c.judge(rm, n)
		if err != nil {
			rm.FailJudging(err.Error())
			continue
		}
		select {
		case <-over:
		case <-c.hall.Ended():
			return
		}
	}
}
