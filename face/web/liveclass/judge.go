package liveclass

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"slices"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/hall"
	"secondpass/paper/wording"
	"secondpass/teach/class"
	"secondpass/teach/drill"
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
// channel closes at the end. A vote that was judged to the end is not judged again: what was shown stands.
func (c *Classes) judge(rm *hall.Room, n int) (<-chan struct{}, error) {
	vote, err := rm.Case(n)
	if err != nil {
		return nil, err
	}
	if rm.Now().Rounds[n-1].Judgement.Over() {
		over := make(chan struct{})
		close(over)
		return over, nil
	}
	if vote.Drill != nil {
		return c.judgeDrill(rm, n, vote)
	}
	x := vote.Exercise
	judged := func(a *advice.Advice) *class.Judgement {
		j := class.Judge(a, x.Seed, vote.Asked, func(place int) *class.Reason { return reasonOf(wording.Why(a, place)) })
		return &j
	}
	key := judgeKey(rm, n)
	err = c.jobs.Start(key, func(int, any) queue.Work {
		return func(ctx context.Context, publish func(any)) error {
			q := desk.Question{Exercise: x, View: vote.View, Named: vote.Actions, Budget: advice.Budget{Games: desk.AdviceGames, Kept: true}}
			a, err := c.desk.Advise(ctx, q, func(a desk.Answer) { publish(judged(a.Advice)) })
			if err == nil && ctx.Err() == nil {
				publish(judged(a.Advice))
			}
			return err
		}
	})
	if err != nil {
		return nil, err
	}
	return c.watched(rm, n, key), nil
}

// watched shows how far the job of a judgement is and keeps what it finds; the channel closes at its end.
func (c *Classes) watched(rm *hall.Room, n int, key string) <-chan struct{} {
	rm.BeginJudging(n)
	over := make(chan struct{})
	go func() {
		defer close(over)
		c.watchJudging(rm, n, c.jobs.Find(key))
	}()
	return over
}

// judgeDrill says what the key of a drill makes of the choices; those that the drill does not offer are played on from, on the
// games of the key.
func (c *Classes) judgeDrill(rm *hall.Room, n int, vote *hall.Case) (<-chan struct{}, error) {
	key := judgeKey(rm, n)
	q := rm.Now().Rounds[n-1].Question
	err := c.jobs.Start(key, func(int, any) queue.Work {
		return func(ctx context.Context, publish func(any)) error {
			j, err := c.keyed(ctx, &q, vote)
			if err == nil && ctx.Err() == nil {
				publish(j)
			}
			return err
		}
	})
	if err != nil {
		return nil, err
	}
	return c.watched(rm, n, key), nil
}

func (c *Classes) keyed(ctx context.Context, q *class.Question, vote *hall.Case) (*class.Judgement, error) {
	d := vote.Drill
	reasons, err := d.Reasons(vote.Card)
	if err != nil {
		return nil, err
	}
	j := &class.Judgement{Games: d.Key.Games, Whole: d.Key.Games, Seed: d.Key.Seed}
	offered := map[class.Choice]bool{}
	for i := range d.Choices {
		own := q.ChoiceOfDrill(d, i)
		offered[own] = true
		j.Costs = append(j.Costs, class.KeyedCost(own, i == d.Key.Best(), d.Key.Answers[i], reasonOf(wording.DrillReason(&reasons[i]))))
	}
	var free []class.Choice
	var choices []drill.Choice
	for _, own := range vote.Asked {
		if !offered[own] {
			free, choices = append(free, own), append(choices, q.DrillChoice(d, own))
		}
	}
	answers, err := c.desk.JudgeAnswers(ctx, vote.Card, d, choices)
	if err != nil {
		return nil, err
	}
	for i, a := range answers {
		reason, err := d.ReasonOf(vote.Card, choices[i])
		if err != nil {
			return nil, err
		}
		j.Costs = append(j.Costs, class.KeyedCost(free[i], false, a, reasonOf(wording.DrillReason(&reason))))
	}
	slices.SortStableFunc(j.Costs, func(a, b class.Cost) int { return cmp.Compare(a.Behind.Value, b.Behind.Value) })
	return j, nil
}

// watchJudging shows on the teacher's screen how far a judgement is, and keeps it at the end. One that was stopped
// keeps what it has shown by then, if its whole games began: short ones alone give no verdict.
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
