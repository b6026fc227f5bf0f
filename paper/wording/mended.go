package wording

import (
	"fmt"

	"secondpass/exercise"
)

// Mended says what became of a route in which something typed wrongly was put right, as whole sentences. again is what does again
// what was taken back, as in "redo".
func Mended(m *exercise.Mended, again string) string {
	text := fmt.Sprintf("Route %s is mended", m.Route.Name)
	if m.Left == 0 {
		text += "; all decisions after it still fit."
	} else {
		text += fmt.Sprintf(", but not all fits any more: %s. It and what came after it, %s, are taken back; %s tries again once it fits.",
			m.Why, Plural(m.Left, "decision"), again)
	}
	if m.Play {
		text += " Its play is gone, since the others' tiles were laid out for the rack as it was."
	}
	return text
}

// Choice is one of the player's decisions in words.
func Choice(c exercise.Choice) string {
	if c.InPlay() {
		return c.Action.String()
	}
	return fmt.Sprintf("%s at the %s", Decision(c.Decision), c.Decision.Step)
}

// Taken is what was taken back, or can be, in words.
func Taken(t *exercise.Taken) string {
	c := t.Change
	switch {
	case c == nil:
		return Choice(t.Choice())
	case !c.OfRemark:
		return "the plan, " + exercise.AimText(c.Aim)
	case c.Remark == "":
		return "no remark " + atMoment(c.At)
	}
	return "the remark " + atMoment(c.At)
}

// atMoment names a moment of a route.
func atMoment(at int) string {
	if at == 0 {
		return "at the deal"
	}
	return "after " + Plural(at, "decision")
}

// PlayedOn says whence the others have their tiles where nobody sat there during the passing.
const PlayedOn = "Nobody sat at the other seats during the passing: their racks and the wall are dealt at random among all that agree with what you know."
