package reader

import (
	"errors"
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"secondpass/exercise"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
)

// do carries out a form about a route.
func (b *Book) do(what string, r *exercise.Route, f url.Values) (Answer, error) {
	if what == "advice" {
		return b.judging(r, f)
	}
	t, err := b.x.Replay(r)
	if err != nil {
		return Answer{}, err
	}
	if b.isTeachers(r) && what != "fork" && what != "remove" {
		return b.stands(r, &t, nil, "That is the teacher's route, which stays as it was walked. Fork it to go on from there.")
	}
	switch what {
	case "decide", "undo", "redo":
		return b.step(what, r, &t, f)
	case "pin":
		return b.pin(r, &t, f)
	case "remark":
		return b.remark(r, &t, f)
	case "fork":
		return b.fork(r, f)
	case "rename":
		if err := b.x.RenameRoute(r.Name, strings.TrimSpace(f.Get("name"))); err != nil {
			return Answer{}, fmt.Errorf("the route keeps its name: %w", err)
		}
	case "remove":
		if err := b.remove(r); err != nil {
			return Answer{}, fmt.Errorf("the route stays: %w", err)
		}
	default:
		return Answer{}, errNowhere
	}
	return changed(b.sheet(nil))
}

// changed says that something is to be kept.
func changed(a Answer, err error) (Answer, error) {
	a.Changed = true
	return a, err
}

// step takes a decision, takes one back or does it again, and shows what is due then. A form that was made for another moment is
// refused: a second tap on a button, for instance.
func (b *Book) step(what string, r *exercise.Route, t *exercise.Trail, f url.Values) (Answer, error) {
	if f.Get("at") != strconv.Itoa(r.Len()) {
		return b.stands(r, t, nil, "That was decided already; this is where the route stands now.")
	}
	var err error
	switch what {
	case "undo":
		_, err = b.x.Undo(r.Name)
	case "redo":
		_, err = b.x.Redo(r.Name)
	default:
		var d exercise.Decision
		if d, err = view.ReadDecision(f, t, b.x); err == nil {
			_, err = b.x.Do(r.Name, d)
		}
	}
	if err != nil {
		return b.stands(r, t, f, wording.Capital(err.Error())+".")
	}
	return changed(b.showRoute("", r, nil))
}

// pin puts a hand into the plan of a route or takes it out, or aims at a section.
func (b *Book) pin(r *exercise.Route, t *exercise.Trail, f url.Values) (Answer, error) {
	aim, err := view.ReadAim(f, b.x.Card, r.Aim())
	if err == nil {
		err = b.x.SetAim(r.Name, aim)
	}
	if err != nil {
		return b.stands(r, t, nil, wording.Capital(err.Error())+".")
	}
	if strings.HasSuffix(f.Get("back"), "/hands") {
		return changed(b.showRoute("hands", r, nil))
	}
	return changed(b.showRoute("", r, nil))
}

func (b *Book) remark(r *exercise.Route, t *exercise.Trail, f url.Values) (Answer, error) {
	at, err := strconv.Atoi(f.Get("at"))
	if err != nil {
		return Answer{}, fmt.Errorf("route %s has no step number %q", r.Name, f.Get("at"))
	}
	if err := b.x.SetRemark(r.Name, at, f.Get("remark")); err != nil {
		return b.moment(r, t, f.Get("at"), "The remark is not kept: "+err.Error()+".")
	}
	return changed(b.moment(r, t, f.Get("at"), ""))
}

func (b *Book) fork(r *exercise.Route, f url.Values) (Answer, error) {
	at, err := strconv.Atoi(f.Get("at"))
	if err != nil {
		return Answer{}, fmt.Errorf("the place of the fork is missing: %q is no number of a decision", f.Get("at"))
	}
	fork, err := b.x.Fork(r.Name, at, "")
	if err != nil {
		return Answer{}, err
	}
	return changed(b.showRoute("", fork, nil))
}

// remove takes a route away, but not the reader's only one.
func (b *Book) remove(r *exercise.Route) error {
	own := 0
	for _, other := range b.x.Routes {
		if !b.isTeachers(other) {
			own++
		}
	}
	if own == 1 && !b.isTeachers(r) {
		return errors.New("it is your only one")
	}
	return b.x.RemoveRoute(r.Name)
}

// restore brings a removed route back.
func (b *Book) restore(letter string) (Answer, error) {
	if _, err := b.x.RestoreRoute(letter); err != nil {
		return Answer{}, err
	}
	return changed(b.sheet(nil))
}
