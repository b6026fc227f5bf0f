package desk

import (
	"cmp"
	"context"
	"strings"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/store"
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

// ReplyStudents says which students readers are who came to the end of the passing.
type ReplyStudents struct {
	// Names are the students, in the order in which their replies end.
	Names []string
	// Unknown are the names that readers gave and that are no student's, or more than one's.
	Unknown []string
	// All are all students.
	All []string
	// replies are those of the students, the last of each, by place.
	replies map[string]int
}

// ReplyStudents finds the students whose names readers gave; capitals, accents and blanks do not matter. Who gave another name is the student that
// linked has for it; store.ErrNoStudent where there is none.
func (d *Desk) ReplyStudents(replies []reply.Reply, t *reply.Tally, linked map[string]string) (*ReplyStudents, error) {
	all, err := d.Store.Students()
	if err != nil {
		return nil, err
	}
	s := &ReplyStudents{replies: map[string]int{}}
	named := map[string][]string{}
	for i := range all {
		key := reply.SameName(all[i].Name)
		named[key] = append(named[key], all[i].Name)
		s.All = append(s.All, all[i].Name)
	}
	byHand := map[string]string{}
	for reader, name := range linked {
		st, err := d.Store.Student(name)
		if err != nil {
			return nil, err
		}
		byHand[reply.SameName(reader)] = st.Name
	}
	for _, end := range t.Ends {
		given := replies[end.Reply].Name
		key := reply.SameName(given)
		name := cmp.Or(byHand[key], studentNamed(named[key], given))
		switch before, again := s.replies[name]; {
		case given == "":
		case name == "":
			s.Unknown = append(s.Unknown, given)
		case again:
			s.replies[name] = max(before, end.Reply)
		default:
			s.Names = append(s.Names, name)
			s.replies[name] = end.Reply
		}
	}
	return s, nil
}

// studentNamed is the student of a name among those that it can be: the one that is written so, or the only one.
func studentNamed(among []string, name string) string {
	for _, one := range among {
		if strings.EqualFold(one, name) {
			return one
		}
	}
	if len(among) == 1 {
		return among[0]
	}
	return ""
}

// RecordReplies keeps what whole passings cost in the records of students. A reply to the same exercise that was kept before is replaced.
func (d *Desk) RecordReplies(x *store.Saved, replies []reply.Reply, students *ReplyStudents, costs *reply.Costs) error {
	for _, name := range students.Names {
		i := students.replies[name]
		route := *replies[i].Route()
		route.Name = replyRoute
		if _, err := d.Record(name, x, &route, costs.Reviews[i]); err != nil {
			return err
		}
	}
	return nil
}
