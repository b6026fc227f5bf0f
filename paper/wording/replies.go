package wording

import (
	"errors"
	"fmt"

	"secondpass/rules/charleston"
	"secondpass/teach/reply"
)

// Replies says who was counted.
func Replies(replies []reply.Reply, t *reply.Tally) string {
	return fmt.Sprintf("%s in %s, %d at the end of the passing", Plural(t.Readers, "reader"), Plural(len(replies), "code"), t.Over)
}

// ReplyStep is the name of a decision that readers made.
func ReplyStep(s *reply.Step) string {
	if s.Phase == charleston.Voting {
		return "Stop or go on"
	}
	if s.Phase == charleston.Naming {
		return "Courtesy, the number offered"
	}
	return Capital(s.Step.String())
}

// Parted says how many came to a decision, and whether they held different racks.
func Parted(s *reply.Step) string {
	text := Plural(s.Readers, "reader")
	switch {
	case s.Readers == 1:
		return text
	case s.Racks == 1:
		return text + ", all with the same rack"
	}
	return fmt.Sprintf("%s, with %d different racks", text, s.Racks)
}

// NotCounted says why a reply is not in the tally, "" where it is.
func NotCounted(r *reply.Reply) string {
	switch {
	case r.Later:
		return "the same reader sent another one later, which counts"
	case r.Err == nil:
		return ""
	case errors.Is(r.Err, reply.ErrDamaged), errors.Is(r.Err, reply.ErrOther), errors.Is(r.Err, reply.ErrVersion):
		return r.Err.Error()
	}
	return "the rules refuse its route: " + r.Err.Error()
}
