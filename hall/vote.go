package hall

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/store"
	"secondpass/teach/class"
)

// again is how long after a failed write of a close or a count it is tried once more.
const again = time.Second

// advance brings the vote up to now, keeps what that changes, and sets the timer for the next change; rm.mu is held.
func (rm *Room) advance() {
	rm.stopTimer()
	now := rm.Now()
	r := now.Round()
	if r == nil || !now.Ended.IsZero() || rm.gone {
		return
	}
	next := rm.draft()
	tried := next.Round()
	due := tried.Tick(rm.hall.now())
	if rm.writing > 0 && tried.Counted {
		tried.Counted = r.Counted // those on their way count too; the last of them comes back here
	}
	if tried.Counted != r.Counted || !tried.Closed.Equal(r.Closed) {
		err := rm.keep(next, everybody, "The close of the vote", func() error { return rm.hall.store.SaveRound(rm.ID, tried) })
		if err != nil {
			due = rm.hall.now().Add(again)
		}
	}
	if !due.IsZero() {
		rm.timer = time.AfterFunc(due.Sub(rm.hall.now()), func() {
			rm.mu.Lock()
			defer rm.mu.Unlock()
			rm.advance()
		})
	}
}

func (rm *Room) stopTimer() {
	if rm.timer != nil {
		rm.timer.Stop()
	}
}

// OpenVote puts the decision that is due on a route to the class, or an item of its lesson, whose number counted from 1 stands in
// the place of the route. after is the number of votes there were when the
// teacher asked for it; where there are more by now, that was a second tap on the button, and nothing happens.
func (rm *Room) OpenVote(after int, route string) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	rm.advance()
	if after != len(rm.Now().Rounds) {
		return nil
	}
	q, at, err := rm.question(&route)
	if err != nil {
		return err
	}
	next := rm.draft()
	round, err := next.OpenVote(route, at, q, rm.hall.now())
	if err != nil {
		return wrong("No vote", err)
	}
	next.Failed = ""
	if err := rm.keep(next, everybody, "The vote", func() error { return rm.hall.store.SaveRound(rm.ID, round) }); err != nil {
		return err
	}
	rm.advance()
	return nil
}

// question is what can be asked on a route, whose name or letter becomes its letter, after at decisions; of a lesson the question
// of item at, counted from 0.
func (rm *Room) question(route *string) (q class.Question, at int, err error) {
	if rm.Lesson != nil {
		n, err := strconv.Atoi(*route)
		if err != nil || n < 1 || n > len(rm.Lesson.Items) {
			return q, 0, &Error{Kind: Wrong, Text: fmt.Sprintf("The lesson has no item %q; 1 to %d are right.", *route, len(rm.Lesson.Items))}
		}
		*route = class.OfLesson
		q, err = rm.AskItem(n - 1)
		return q, n - 1, err
	}
	x, err := rm.exercise()
	if err != nil {
		return q, 0, err
	}
	way, err := x.RouteAt(*route)
	if err != nil {
		return q, 0, wrong("No vote", err)
	}
	t, err := x.Replay(way)
	if err != nil {
		return q, 0, wrong("No vote", err)
	}
	plans, err := rm.hall.rater.Plans(x.Card, t.Now.Rack())
	if err != nil {
		return q, 0, wrong("No vote", err)
	}
	if q, err = class.Ask(&t.Now, plans); err != nil {
		return q, 0, wrong("No vote", err)
	}
	*route = way.ID
	return q, len(way.Decisions), nil
}

// AskItem is the question of item i, from 0, of the class's lesson.
func (rm *Room) AskItem(i int) (class.Question, error) {
	item := &rm.Lesson.Items[i]
	heading, options, on := "", []string(nil), item.Card
	if item.Drill != nil {
		heading = wording.DrillQuestion(item.Drill)
		for _, c := range item.Drill.Choices {
			options = append(options, wording.Capital(wording.DrillChoice(c)))
		}
	} else {
		on = item.Exercise.Card
	}
	board, err := item.Board()
	if err != nil {
		return class.Question{}, wrong("No vote", err)
	}
	plans, err := rm.hall.rater.Plans(on, board.Rack)
	if err != nil {
		return class.Question{}, wrong("No vote", err)
	}
	q, err := class.AskItem(item, heading, options, plans)
	if err != nil {
		return q, wrong("No vote", err)
	}
	return q, nil
}

// CloseVote closes a vote; it is counted when the grace is over. Another than the last is closed already.
func (rm *Room) CloseVote(round int) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	next := rm.draft()
	r := next.Round()
	if r == nil || r.N != round || !r.Open(rm.hall.now()) {
		return nil
	}
	r.Close(rm.hall.now())
	if err := rm.keep(next, everybody, "The close of the vote", func() error { return rm.hall.store.SaveRound(rm.ID, r) }); err != nil {
		return err
	}
	rm.advance()
	return nil
}

// Vote takes in a message of a student and returns once the choice is on the disk. One that is older than what is kept,
// and one that is kept already, changes nothing.
func (rm *Room) Vote(student, round int, v class.Vote) error {
	rm.mu.Lock()
	kept, err := rm.Now().Accept(student, round, v)
	if kept == class.Taken {
		rm.writing++
	}
	rm.mu.Unlock()
	switch {
	case errors.Is(err, class.ErrClosed), errors.Is(err, class.ErrEnded), errors.Is(err, class.ErrNoVote):
		return ErrLate
	case err != nil:
		return wrong("", err)
	case kept != class.Taken:
		return nil
	}
	// The phone may go while the vote is written; what becomes of it must be known all the same.
	err = rm.hall.votes.Append(context.Background(), store.KeptVote{Class: rm.ID, Round: round, Student: student, Vote: v})
	rm.mu.Lock()
	defer rm.mu.Unlock()
	rm.writing--
	next := rm.draft()
	if _, gone := next.Student(student); gone != nil {
		err = ErrNoPlace // was taken out meanwhile
	} else {
		if err == nil {
			next.Rounds[round-1].Take(student, v)
		}
		err = rm.keep(next, teacher, "A choice", func() error { return err })
	}
	if rm.writing == 0 {
		rm.advance()
	}
	return err
}

// Follow goes on with one of the choices of the last vote, or with two as forks. came is, at an exercise with entered
// passes, what came. A vote that was followed already is left alone.
func (rm *Room) Follow(round int, choices []class.Choice, came string) error {
	if len(choices) < 1 || len(choices) > 2 {
		return &Error{Kind: Wrong, Text: fmt.Sprintf("Tick one choice to follow, or two for forks; %d are ticked.", len(choices))}
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	next := rm.draft()
	r := next.Round()
	if r == nil || r.N != round || len(r.Follows) > 0 {
		return nil
	}
	if rm.Lesson != nil {
		return &Error{Kind: Wrong, Text: "A lesson goes on with its next item; nothing is followed."}
	}
	x, err := rm.exercise()
	if err != nil {
		return err
	}
	follows, err := walkOn(x, r, choices, came)
	if err != nil {
		return err
	}
	if err := next.Follow(r.N, follows...); err != nil {
		return wrong("", err)
	}
	return rm.keep(next, everybody, "What the class goes on with", func() error { return rm.hall.store.SaveFollow(x, rm.saved(next), r) })
}

// walkOn takes the choices on the exercise: the first on the round's route, a second one on a fork of it.
func walkOn(x *store.Saved, round *class.Round, choices []class.Choice, came string) ([]class.Follow, error) {
	route, err := x.RouteAt(round.Route)
	if err != nil {
		return nil, wrong("The class cannot go on", err)
	}
	if route.Len() != round.At {
		return nil, &Error{Kind: Changed, Text: fmt.Sprintf("Route %s was changed on the sheet since the vote was opened. Vote again from where it stands now.", route.Name)}
	}
	names, letters := []string{route.Name}, []string{round.Route}
	if len(choices) == 2 {
		fork, err := x.Fork(route.Name, round.At, "")
		if err != nil {
			return nil, wrong("No fork", err)
		}
		names, letters = append(names, fork.Name), append(letters, fork.ID)
	}
	var follows []class.Follow
	for i, c := range choices {
		d := round.Question.Decision(c)
		if x.Incoming == exercise.EnteredPasses {
			if err := entered(x, &d, came); err != nil {
				return nil, err
			}
		}
		if _, err := x.Do(names[i], d); err != nil {
			return nil, wrong("The class cannot go on with that", err)
		}
		follows = append(follows, class.Follow{Choice: c.Bare(), Route: letters[i]})
	}
	return follows, nil
}

// entered fills in what came from real tiles; at the courtesy the seat across is taken to agree.
func entered(x *store.Saved, d *exercise.Decision, came string) error {
	switch d.Phase {
	case charleston.Naming:
		d.Exchanged = d.Count
	case charleston.Passing, charleston.Giving:
		p, err := exercise.ParseParcel(came, x.Set)
		if err != nil {
			return wrong("What came", err)
		}
		d.Came = p
	}
	return nil
}
