package desk

import (
	"context"
	"strings"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/teach/reply"
)

// ReplyCosts judges what the decisions of replies cost, by so many short games each at least, see [reply.Judge]. What readers decided alike is judged
// once, and games that are kept count.
func (d *Desk) ReplyCosts(ctx context.Context, replies []reply.Reply, t *reply.Tally, games int, told func(done, of int)) (*reply.Costs, error) {
	return reply.Judge(ctx, replies, t, func(ctx context.Context, e *exercise.Exercise, r *exercise.Route) (*advice.Review, error) {
		rev, err := d.Review(ctx, e, r, Judge{}, advice.Budget{Games: games, Kept: true}, nil)
		return rev.Review, err
	}, told)
}

// replyRoute is what a reader's route is called in a student's record: the exercise's own routes have letters.
const replyRoute = "reply"

// student is the student whose name a reader gave, "" where that is nobody's.
func student(students []drill.Student, r *reply.Reply) string {
	for i := range students {
		if strings.EqualFold(students[i].Name, r.Name) {
			return students[i].Name
		}
	}
	return ""
}

// StudentsAmong are the students whose names readers gave who came to the end of the passing.
func (d *Desk) StudentsAmong(replies []reply.Reply, t *reply.Tally) (names []string, err error) {
	students, err := d.Store.Students()
	for _, end := range t.Ends {
		if name := student(students, &replies[end.Reply]); name != "" {
			names = append(names, name)
		}
	}
	return names, err
}

// RecordReplies keeps what whole passings cost in the records of these students, and says whose. A reply to the same exercise that was kept before is
// replaced.
func (d *Desk) RecordReplies(x *store.Saved, replies []reply.Reply, t *reply.Tally, costs *reply.Costs) (kept []string, err error) {
	students, err := d.Store.Students()
	if err != nil {
		return nil, err
	}
	for _, end := range t.Ends {
		r := &replies[end.Reply]
		name := student(students, r)
		if name == "" {
			continue
		}
		route := *r.Route()
		route.Name = replyRoute
		if _, err := d.Record(name, x, &route, costs.Reviews[end.Reply]); err != nil {
			return kept, err
		}
		kept = append(kept, name)
	}
	return kept, nil
}
