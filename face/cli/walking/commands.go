package walking

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/face/cli/exercises"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
)

// due says what to type instead when the route does not wait for one of the phases.
func (w *walk) due(phases ...charleston.Phase) error {
	_, t, err := w.trail()
	if err != nil || slices.Contains(phases, t.Now.Phase()) {
		return err
	}
	switch t.Now.Phase() {
	case charleston.Voting:
		return fmt.Errorf("go or stop is due")
	case charleston.Naming:
		return fmt.Errorf("a number is due: offer 0 to offer 3")
	case charleston.Over:
		if t.Game != nil {
			return w.playIsOn(t.Game)
		}
		return fmt.Errorf("the passing is over; back takes the last decision back, fork begins another route, play goes on against three players")
	}
	return fmt.Errorf("at the %s tiles are due", t.Now.Step())
}

// playIsOn says what to type in the play instead of a command of the passing.
func (w *walk) playIsOn(g *exercise.Game) error {
	v := g.View()
	if g.Over() {
		return fmt.Errorf("the game is over; back takes the last decision back, fork begins another route, record shows all tiles")
	}
	if d, waits := v.Claimable(); waits {
		return fmt.Errorf("%s's discard of %s waits for an answer: claim, mahjong or decline", d.Seat.Name(), d.Tile)
	}
	return fmt.Errorf("the passing is over and it is your turn: discard, exchange or declare")
}

// tiles passes what was typed.
func (w *walk) tiles(text string) error {
	if strings.Trim(text, "123456789bcdBCDneswNESWrgRG0fFjJ \t") != "" {
		return fmt.Errorf("%q is neither a command nor tiles; help lists the commands", text)
	}
	if err := w.due(charleston.Passing, charleston.Giving); err != nil {
		return err
	}
	own, err := exercise.ParseParcel(text, w.x.Set)
	if err != nil {
		return err
	}
	return w.pass(exercise.Decision{Own: own})
}

// blind reads "N TILES".
func (w *walk) blind(rest string) error {
	if err := w.due(charleston.Passing); err != nil {
		return err
	}
	number, tiles, _ := strings.Cut(rest, " ")
	n, err := strconv.Atoi(number)
	if err != nil {
		return fmt.Errorf("blind %q: blind, a number and your own tiles are right, as in blind 1 17c", rest)
	}
	own, err := exercise.ParseParcel(tiles, w.x.Set)
	if err != nil {
		return err
	}
	return w.pass(exercise.Decision{Own: own, Count: n})
}

// pass carries out a pass; at an exercise with entered tiles it asks what came until that can be.
func (w *walk) pass(d exercise.Decision) error {
	if w.x.Incoming != exercise.EnteredPasses {
		return w.do(d)
	}
	_, t, err := w.trail()
	if err != nil {
		return err
	}
	if err := t.Now.Check(d.Own, d.Count); err != nil { // before anybody is asked what came
		return err
	}
	for {
		line, ok := w.ask(fmt.Sprintf("What came? (%s, or cancel) ", wording.Plural(d.Own.Len(), "tile")))
		if !ok || strings.EqualFold(strings.TrimSpace(line), "cancel") {
			return fmt.Errorf("cancelled; nothing was passed")
		}
		var err error
		if d.Came, err = exercise.ParseParcel(line, w.x.Set); err == nil {
			err = w.do(d)
		}
		if err == nil {
			return nil
		}
		if f := (command.Failure{}); errors.As(err, &f) {
			return err
		}
		w.print("%s\n", command.Wrap(w.g.Stdout, "That cannot be: "+err.Error(), 2))
	}
}

func (w *walk) vote(stop bool) error {
	if err := w.due(charleston.Voting); err != nil {
		return err
	}
	d := exercise.Decision{Stop: stop}
	if w.x.Incoming == exercise.EnteredPasses && !stop {
		line, ok := w.ask("Did another seat stop? (y or n) ")
		answer := strings.ToLower(strings.TrimSpace(line))
		if !ok || !strings.HasPrefix(answer, "y") && !strings.HasPrefix(answer, "n") {
			return fmt.Errorf("%q: y or n is right; go asks again", line)
		}
		d.OthersStop = strings.HasPrefix(answer, "y")
	}
	return w.do(d)
}

func (w *walk) offer(rest string) error {
	if err := w.due(charleston.Naming); err != nil {
		return err
	}
	n, err := strconv.Atoi(rest)
	if err != nil {
		return fmt.Errorf("offer %q: a number from 0 to 3 is right", rest)
	}
	d := exercise.Decision{Count: n}
	if w.x.Incoming == exercise.EnteredPasses && n > 0 {
		line, ok := w.ask("How many did the seat across offer? (0 to 3) ")
		if !ok {
			return fmt.Errorf("cancelled; nothing was offered")
		}
		if d.Exchanged, err = strconv.Atoi(strings.TrimSpace(line)); err != nil {
			return fmt.Errorf("%q: a number from 0 to 3 is right", line)
		}
	}
	return w.do(d)
}

// fork reads "[NAME] [at STEP]" or "[NAME] [at NUMBER]" and changes to the new route.
func (w *walk) fork(rest string) error {
	r, _, err := w.trail()
	if err != nil {
		return err
	}
	keep := r.Len()
	name, at, _ := strings.Cut(" "+rest+" ", " at ")
	name = strings.TrimSpace(name)
	if at = strings.TrimSpace(at); at != "" {
		if keep, err = keptAt(r, at); err != nil {
			return err
		}
	}
	fork, err := w.x.Fork(w.route, keep, name)
	if err != nil {
		return err
	}
	w.route = fork.Name
	if err := w.save(); err != nil {
		return err
	}
	w.print("route %s begins after %s of route %s\n", fork.Name, wording.Plural(keep, "decision"), r.Name)
	w.show()
	return nil
}

// keptAt is the number of decisions that a fork keeps, as said: a number, or the step before which it begins.
func keptAt(r *exercise.Route, at string) (int, error) {
	if n, err := strconv.Atoi(at); err == nil {
		return n, nil
	}
	step, err := charleston.ParseStep(at)
	if err != nil {
		return 0, err
	}
	for i, d := range r.Decisions {
		if d.Step == step {
			return i, nil
		}
	}
	return 0, fmt.Errorf("route %s has not come to the %s", r.Name, step)
}

func (w *walk) change(name string) error {
	r, err := w.x.Exercise.Route(name)
	if err != nil {
		return err
	}
	w.route = r.Name
	w.show()
	return nil
}

func (w *walk) routes() {
	for _, r := range w.x.Routes {
		text := fmt.Sprintf("%s: %s, aim %s", r.Name, wording.Plural(r.Len(), "decision"), exercise.AimText(r.Aim()))
		if from := w.x.Origin(r); from != nil {
			text += fmt.Sprintf(", forked from %s after %d", from.Name, r.At)
		}
		w.print("  %s\n", text)
	}
}

func (w *walk) aim(rest string) error {
	var aim []string
	if !strings.EqualFold(rest, "free") {
		for name := range strings.SplitSeq(rest, "+") {
			aim = append(aim, strings.TrimSpace(name))
		}
	}
	if err := w.x.SetAim(w.route, aim); err != nil {
		return err
	}
	if err := w.save(); err != nil {
		return err
	}
	w.show()
	return nil
}

func (w *walk) plan() error {
	r, t, err := w.trail()
	if err != nil {
		return err
	}
	if t.Game != nil {
		return w.planPlay(r, t.Game)
	}
	j, err := exercise.NewAccountant(w.x.Exercise.Card, r.Aim())
	if err != nil {
		return err
	}
	a := j.Account(t.Now.Rack())
	exercises.PrintReadings(w.g.Stdout, a.Plan)
	w.print("      spare with the whole plan: %s\n", wording.Tiles(a.SparePlan))
	return nil
}

func (w *walk) sortBy(order string) error {
	switch order {
	case "suit", "rank", "plan":
		w.sort = order
		w.show()
		return nil
	}
	return fmt.Errorf("sort %q: suit, rank or plan is right", order)
}

func (w *walk) steps() error {
	var columns []exercise.Column
	for _, r := range w.x.Routes {
		c, err := w.x.Column(r)
		if err != nil {
			return err
		}
		columns = append(columns, c)
	}
	exercises.PrintColumns(w.g.Stdout, w.x.Exercise, columns)
	return nil
}

// rename gives the route at hand another name.
func (w *walk) rename(name string) error {
	if err := w.x.RenameRoute(w.route, name); err != nil {
		return err
	}
	w.route = name
	if err := w.save(); err != nil {
		return err
	}
	w.show()
	return nil
}

// remove deletes another route.
func (w *walk) remove(name string) error {
	r, err := w.x.Exercise.Route(name)
	if err != nil {
		return err
	}
	if r.Name == w.route {
		return fmt.Errorf("route %s is the one you are on; change to another first", r.Name)
	}
	if err := w.x.RemoveRoute(name); err != nil {
		return err
	}
	if err := w.save(); err != nil {
		return err
	}
	w.print("removed: route %s; restore brings it back\n", r.Name)
	return nil
}

// restore brings a removed route back; without a name the one removed last.
func (w *walk) restore(name string) error {
	r, err := w.x.RestoreRoute(name)
	if err != nil {
		return err
	}
	if err := w.save(); err != nil {
		return err
	}
	w.print("back: route %s\n", r.Name)
	return nil
}
