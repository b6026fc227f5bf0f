package class

import (
	"cmp"
	"maps"
	"slices"
	"time"
)

const (
	// Grace is how long after the close a vote still takes in choices that were made before it and were held up on the
	// way.
	Grace = 2 * time.Second
	// AwayGrace is the least time that phones get to send again what they kept when the server was away.
	AwayGrace = 15 * time.Second
	// clockError is how far a phone that has set its clock by the server's may be ahead of it.
	clockError = time.Second
)

// Vote is one message of a student: a choice as it was after one tap.
type Vote struct {
	// Seq grows with each change of a student's choice in a round.
	Seq    int64
	Choice Choice
	// Made is when the choice was made, by the phone's clock set to the server's; Received when it arrived. A moment that
	// has not come yet tells nothing: the phone's clock was changed.
	Made, Received time.Time
}

// Kept says what became of a message.
type Kept int

const (
	// Taken: the choice is now the student's.
	Taken Kept = 1 + iota
	// Again: the same message was here before.
	Again
	// Older: a newer choice is kept already.
	Older
)

// Follow is a choice that the class went on with, and on which route.
type Follow struct {
	Choice Choice `json:"choice"`
	Route  string `json:"route"`
}

// Round is the vote on one decision.
type Round struct {
	// N counts the rounds of a class from 1.
	N int
	// Route and At say where the question stands: after At decisions of the route.
	Route    string
	At       int
	Question Question
	Opened   time.Time
	// Deadline is when the vote closes by itself; zero where it does not.
	Deadline time.Time
	// Closed is when it closed, zero while it is open. Until Count, choices made before the close are still taken in.
	Closed, Count time.Time
	// Counted says that nothing changes any more.
	Counted bool
	// Lost says that the round cannot be read from the disk: there is no question, and nobody's answer.
	Lost bool
	// Votes is the last kept choice of each student, by number.
	Votes   map[int]Vote
	Follows []Follow
	// Judgement is what playing on made of the choices; nil where nobody asked yet.
	Judgement *Judgement
}

// closing is when the vote closed and is counted, as seen at a moment: by hand or at its deadline; zero while it is open.
func (r *Round) closing(now time.Time) (closed, count time.Time) {
	if r.Closed.IsZero() && !r.Deadline.IsZero() && now.After(r.Deadline) {
		return r.Deadline, r.Deadline.Add(Grace)
	}
	return r.Closed, r.Count
}

// Tick brings the round up to a moment: it closes the vote at its deadline and counts it when the grace is over. It says
// when the round will change by itself next; zero for not at all.
func (r *Round) Tick(now time.Time) (next time.Time) {
	r.Closed, r.Count = r.closing(now)
	if !r.Closed.IsZero() && !now.Before(r.Count) {
		r.Counted = true
	}
	switch {
	case r.Counted:
		return time.Time{}
	case !r.Closed.IsZero():
		return r.Count
	case !r.Deadline.IsZero():
		return r.Deadline.Add(time.Nanosecond)
	}
	return time.Time{}
}

// due brings the round up to a moment and says whether it is counted then.
func (r *Round) due(now time.Time) bool {
	r.Tick(now)
	return r.Counted
}

// Open says whether choices made at the moment still count.
func (r *Round) Open(now time.Time) bool {
	closed, _ := r.closing(now)
	return closed.IsZero()
}

// Accept says what becomes of a student's message, and changes nothing. An older message never replaces a newer one, and
// the same message may come any number of times. What was made after the close is refused with ErrClosed, and so is what
// arrives after the grace. An incomplete choice is taken like any other: it shows how far the student was, and does not
// count.
func (r *Round) Accept(student int, v Vote) (Kept, error) {
	if last, ok := r.Votes[student]; ok && v.Seq <= last.Seq {
		if v.Seq == last.Seq {
			return Again, nil
		}
		return Older, nil
	}
	closed, count := r.closing(v.Received)
	if r.Counted || !closed.IsZero() && (!v.Received.Before(count) || v.Made.IsZero() || v.Made.After(closed) && !v.Made.After(v.Received.Add(clockError))) {
		return 0, ErrClosed
	}
	if err := r.Question.Check(v.Choice); err != nil {
		return 0, err
	}
	return Taken, nil
}

// Take makes a message that Accept took the student's choice, unless a newer one has come meanwhile. The map of votes is
// replaced by another, so that one who reads the old one sees no change.
func (r *Round) Take(student int, v Vote) {
	if last, ok := r.Votes[student]; ok && v.Seq <= last.Seq {
		return
	}
	votes := maps.Clone(r.Votes)
	if votes == nil {
		votes = map[int]Vote{}
	}
	votes[student] = v
	r.Votes = votes
}

// Keep is Accept and, where that takes the message, Take.
func (r *Round) Keep(student int, v Vote) (Kept, error) {
	kept, err := r.Accept(student, v)
	if kept == Taken {
		r.Take(student, v)
	}
	return kept, err
}

// Close closes the vote now; it is counted when the grace is over. Closing twice is no error.
func (r *Round) Close(now time.Time) {
	if r.Open(now) {
		r.Closed, r.Count = now, now.Add(Grace)
	}
}

// Resume goes on with a vote after the server was away: phones get time to send again what they kept meanwhile.
func (r *Round) Resume(now time.Time) {
	if last := now.Add(r.Deadline.Sub(r.Opened)); !r.Deadline.IsZero() && r.Deadline.After(last) {
		r.Deadline = last // the clock was set back meanwhile
	}
	switch {
	case r.Counted:
	case !r.Closed.IsZero():
		r.Count = now.Add(AwayGrace)
	case !r.Deadline.IsZero() && r.Deadline.Before(now.Add(AwayGrace)):
		r.Deadline = now.Add(AwayGrace)
	}
}

// Asked is how many of the students were asked: those who had joined before it closed, all while it is open. One who
// joins later changes nothing of a closed vote.
func (r *Round) Asked(students []Student) int {
	if r.Closed.IsZero() {
		return len(students)
	}
	n := 0
	for _, st := range students {
		if _, voted := r.Votes[st.ID]; voted || !st.Joined.After(r.Closed) {
			n++
		}
	}
	return n
}

// Answered is the number of students whose choice is complete, Begun that of those who have one at all.
func (r *Round) Answered() (answered, begun int) {
	for _, v := range r.Votes {
		if r.Question.Complete(v.Choice) {
			answered++
		}
	}
	return answered, len(r.Votes)
}

// Group is students who chose the same.
type Group struct {
	Choice   Choice
	Students []int
}

// Spread is the complete choices, grouped, the most frequent first; equally frequent ones stand in the order of
// their tiles.
func (r *Round) Spread() []Group {
	at := map[Choice]int{}
	var groups []Group
	for _, id := range r.students() {
		c := r.Votes[id].Choice
		if !r.Question.Complete(c) {
			continue
		}
		c = c.Bare()
		i, ok := at[c]
		if !ok {
			i = len(groups)
			at[c] = i
			groups = append(groups, Group{Choice: c})
		}
		groups[i].Students = append(groups[i].Students, id)
	}
	slices.SortStableFunc(groups, func(a, b Group) int {
		return cmp.Or(len(b.Students)-len(a.Students), compareChoices(a.Choice, b.Choice))
	})
	return groups
}

func compareChoices(a, b Choice) int {
	stop := map[bool]int{true: 1}
	return cmp.Or(a.Option-b.Option, a.Count-b.Count, stop[a.Stop]-stop[b.Stop], slices.Compare(a.Own.Tiles(), b.Own.Tiles()))
}

// students is who has a choice, in the order of joining.
func (r *Round) students() []int {
	ids := make([]int, 0, len(r.Votes))
	for id := range r.Votes {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// PlanCount is how many named a plan.
type PlanCount struct {
	Plan string
	N    int
}

// Plans counts the plans of complete choices, in the order in which they were asked; "" is an open plan.
func (r *Round) Plans() []PlanCount {
	counts := make([]PlanCount, len(r.Question.Plans)+1)
	for i, p := range r.Question.Plans {
		counts[i].Plan = p
	}
	for _, v := range r.Votes {
		if !r.Question.Complete(v.Choice) {
			continue
		}
		i := slices.Index(r.Question.Plans, v.Choice.Plan)
		if i < 0 {
			i = len(counts) - 1
		}
		counts[i].N++
	}
	return counts
}
