package exercise

import (
	"fmt"
	"slices"
	"strings"
)

// Note is what is pinned, written and asked at one moment of a route: before one of the player's decisions, or after the
// last.
type Note struct {
	// Aim is the plan pinned then: names of sections or hands; empty for the whole card.
	Aim []string
	// Remark is the teacher's.
	Remark string
	// Advice is what playing on said, where it was asked; nil else.
	Advice *Advised
}

func (n Note) clone() Note {
	n.Aim = slices.Clone(n.Aim)
	return n
}

// maxRemark bounds a remark, in characters.
const maxRemark = 2000

// AimAt is the plan that was pinned after the player's first n decisions. A later change of plan leaves it as it is.
func (r *Route) AimAt(n int) []string {
	if len(r.Notes) == 0 {
		return nil
	}
	return r.Notes[min(n, len(r.Notes)-1)].Aim
}

// Aim is the plan pinned where the route stands.
func (r *Route) Aim() []string { return r.AimAt(r.Len()) }

// Note is what was noted after the player's first n decisions.
func (r *Route) Note(n int) Note {
	if n < len(r.Notes) {
		return r.Notes[n].clone()
	}
	return Note{Aim: slices.Clone(r.AimAt(n))}
}

// noteAt is the note of a moment, to be written on. Moments before it that have none get theirs.
func (r *Route) noteAt(n int) *Note {
	for len(r.Notes) <= n {
		r.Notes = append(r.Notes, r.Note(len(r.Notes)))
	}
	return &r.Notes[n]
}

// setNote sets the note of a moment; one that says nothing new is not kept.
func (r *Route) setNote(n int, note Note) {
	if n < len(r.Notes) || note.Remark != "" || note.Advice != nil || !slices.Equal(note.Aim, r.AimAt(n)) {
		*r.noteAt(n) = note.clone()
	}
}

// SetAim sets what a route steers for from where it stands; no names at all free it. Steps before keep the plan they had.
// Unknown names are an error. [Exercise.Undo] takes it back.
func (e *Exercise) SetAim(route string, aim []string) error {
	r, err := e.Route(route)
	if err != nil {
		return err
	}
	if _, err := Hands(e.Card, aim); err != nil {
		return err
	}
	n := r.Len()
	r.change(Change{Of: n, At: n, Aim: aim})
	return nil
}

// SetRemark sets the remark at the moment of a route after the player's first n decisions, 0 to [Route.Len]; "" takes it away.
// [Exercise.Undo] takes it back.
func (e *Exercise) SetRemark(route string, n int, text string) error {
	r, err := e.moment(route, n)
	if err != nil {
		return err
	}
	text = strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n"))
	if err := checkRemark(text); err != nil {
		return err
	}
	r.change(Change{Of: r.Len(), At: n, OfRemark: true, Remark: text})
	return nil
}

// checkRemark says why a remark cannot stand, or nil.
func checkRemark(text string) error {
	if n := len([]rune(text)); n > maxRemark {
		return fmt.Errorf("a remark of %d characters; %d are the most", n, maxRemark)
	}
	if strings.ContainsFunc(text, func(c rune) bool { return c < ' ' && c != '\n' && c != '\t' || c == 0x7f }) {
		return fmt.Errorf("a remark with a control character in it")
	}
	return nil
}

// KeepAdvice notes what playing on said at the moment of a route after the player's first n decisions.
func (e *Exercise) KeepAdvice(route string, n int, a *Advised) error {
	r, err := e.moment(route, n)
	if err == nil {
		r.noteAt(n).Advice = a
	}
	return err
}

// moment is a route that has taken n decisions at least.
func (e *Exercise) moment(route string, n int) (*Route, error) {
	r, err := e.Route(route)
	if err == nil && (n < 0 || n > r.Len()) {
		err = fmt.Errorf("route %s has %d decisions; its moments are 0 to %d", r.Name, r.Len(), r.Len())
	}
	return r, err
}
