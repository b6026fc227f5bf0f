// Package walking is the command that walks an exercise by hand, through the passing and the play: lines typed at a prompt,
// answered one by one. face/cli alone calls it.
package walking

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"strings"

	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/face/cli/exercises"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
	"secondpass/store"
)

// Walk is the command walk.
type Walk struct {
	Exercise string `arg:"" optional:"" help:"A saved exercise to go on with; without it a new one begins."`
	Name     string `placeholder:"NAME" help:"Name of the new exercise."`
	Incoming string `default:"mock" enum:"mock,entered,table" help:"Where incoming tiles come from: mock (drawn in advance), entered (you type what really came) or table (three simulated players, and after the passing you play on against them)."`
	exercises.IncomingFlags
	exercises.DealFlags
}

// Help says what can be typed during a walk.
func (Walk) Help() string { return "During the walk:\n" + wholeHelp }

// wholeHelp is all that can be typed.
const wholeHelp = walkHelp + mendHelp + judgeHelp + playHelp

const walkHelp = `  17c W             pass these tiles: three, at the courtesy those due
  blind 1 17c       hand on 1 incoming tile unseen and pass these two
  offer 2           name a number at the courtesy, 0 to 3
  go, stop          after the first left: go on, or stop the Charleston
  back              take back what was done last: a decision, aim or remark
  redo              do again what was taken back last
  fork [NAME]       begin another route here; fork NAME at first-left:
                    at that step; fork NAME at 12: after 12 decisions
  route NAME        change to another route; routes lists them
  rename NAME       give this route another name
  remove NAME       delete a route that is not this one
  restore NAME      bring a removed route back; restore alone the last one
  aim NAME          steer for a section or hand, several with +, or free
  plan              the nearest hands of the aim: keep, needed, spare
  sort suit         show the rack by suit, by rank or by plan
  steps             all routes side by side
  help, quit        every step is saved as it is made
`

func (c *Walk) Run(g *command.Globals) error {
	s, err := g.Store()
	if err != nil {
		return err
	}
	defer s.Close()
	x, head, err := c.open(g, s)
	if err != nil {
		return err
	}
	w := &walk{g: g, store: s, x: x, route: x.Routes[len(x.Routes)-1].Name, sort: "suit", lines: bufio.NewScanner(g.Stdin)}
	w.lines.Buffer(nil, command.MaxLine)
	w.typing = command.IsTerminal(g.Stdin)
	w.print("%s\n", head)
	return w.run()
}

// open loads the exercise asked for or begins a new one.
func (c *Walk) open(g *command.Globals, s store.Store) (*store.Saved, string, error) {
	if c.Exercise != "" {
		if err := g.OfExercise("players", "name", "incoming", "seed"); err != nil {
			return nil, "", err
		}
		x, err := s.Load(c.Exercise)
		if err != nil {
			return nil, "", command.StoreError(err)
		}
		head := fmt.Sprintf("Exercise %q\nRack %s, card %s", x.Exercise.Name, x.Deal, x.Exercise.Card.Name)
		if rules := wording.HouseRules(x.House); rules != "" {
			head += "\n" + command.Wrap(g.Stdout, rules, 2)
		}
		return x, head, nil
	}
	if c.Name != "" {
		if err := exercise.CheckName(c.Name); err != nil {
			return nil, "", err
		}
	}
	g.FreshSeed()
	d, err := c.Deal(g)
	if err != nil {
		return nil, "", err
	}
	name := c.Name
	if name == "" {
		wanted := fmt.Sprintf("Deal %d", g.Seed)
		if d.Typed != nil {
			wanted = "Rack " + d.Rack.String()
		}
		if name, err = s.FreeName(wanted); err != nil {
			return nil, "", command.Failed(err)
		}
	}
	e, err := c.Make(name, d, exercise.Incoming(c.Incoming))
	if err != nil {
		return nil, "", err
	}
	x, err := s.Add(e)
	if err != nil {
		return nil, "", command.StoreError(err)
	}
	return x, fmt.Sprintf("Exercise %q\n%s", name, d.Text(g, e.Incoming != exercise.EnteredPasses)), nil
}

// walk is one person's walk through an exercise.
type walk struct {
	g     *command.Globals
	store store.Store
	x     *store.Saved
	route string
	sort  string
	lines *bufio.Scanner
	// typing says that a person types, whose terminal shows what she types.
	typing bool
}

func (w *walk) print(format string, args ...any) { fmt.Fprintf(w.g.Stdout, format, args...) }

// errQuit ends the walk.
var errQuit = errors.New("quit")

// run reads commands until the person stops or the input ends. A wrong command is answered and
// changes nothing.
func (w *walk) run() error {
	w.show()
	for {
		line, ok := w.ask("> ")
		if !ok {
			break
		}
		err := w.command(strings.TrimSpace(line))
		if errors.Is(err, errQuit) {
			break
		}
		if errors.Is(err, context.Canceled) { // Ctrl-C; the prompt that comes now is left too
			err = command.ErrStopped
		}
		if f := (command.Failure{}); errors.As(err, &f) {
			return err
		}
		if err != nil {
			w.print("%s\n", command.Wrap(w.g.Stdout, "Not done: "+err.Error(), 2))
		}
	}
	w.print("Saved. Go on with: secondpass walk %q\n", w.x.Exercise.Name)
	return w.lines.Err()
}

// ask prints a prompt and reads a line; ok is false at the end of the input.
func (w *walk) ask(prompt string) (line string, ok bool) {
	w.print("%s", prompt)
	if !w.lines.Scan() {
		w.print("\n")
		return "", false
	}
	line = strings.TrimRight(w.lines.Text(), "\r")
	if !w.typing { // so that the output of a script reads like a walk
		w.print("%s\n", line)
	}
	return line, true
}

// trail is the route as it stands.
func (w *walk) trail() (*exercise.Route, exercise.Trail, error) {
	r, err := w.x.Exercise.Route(w.route)
	if err != nil {
		return nil, exercise.Trail{}, err
	}
	t, err := w.x.Replay(r)
	return r, t, err
}

func (w *walk) command(line string) error {
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	if known, err := w.playCommand(strings.ToLower(word), rest); known {
		return err
	}
	switch strings.ToLower(word) {
	case "":
		return w.enter()
	case "quit", "exit":
		return errQuit
	case "help", "?":
		w.print("%s", command.Hanging(w.g.Stdout, wholeHelp))
		return nil
	case "back":
		return w.back()
	case "redo":
		return w.redo()
	case "remark":
		return w.remark(rest)
	case "mend":
		return w.mend(rest)
	case "restore":
		return w.restore(rest)
	case "fork":
		return w.fork(rest)
	case "route":
		return w.change(rest)
	case "routes":
		w.routes()
		return nil
	case "rename":
		return w.rename(rest)
	case "remove":
		return w.remove(rest)
	case "aim":
		return w.aim(rest)
	case "plan":
		return w.plan()
	case "sort":
		return w.sortBy(rest)
	case "steps":
		return w.steps()
	case "advise":
		return w.advise(rest)
	case "review":
		return w.review()
	case "go", "stop":
		return w.vote(strings.EqualFold(word, "stop"))
	case "blind":
		return w.blind(rest)
	case "offer":
		return w.offer(rest)
	}
	return w.tiles(line)
}

// do carries out a decision, saves it and says what came.
func (w *walk) do(d exercise.Decision) error {
	done, err := w.x.Do(w.route, d)
	if err != nil {
		return err
	}
	if err := w.save(); err != nil {
		return err
	}
	switch done.Phase {
	case charleston.Passing, charleston.Giving:
		w.print("passed %s, came %s\n", wording.Decision(done), wording.OrNone(done.Came.String()))
	default:
		w.print("%s\n", wording.Decision(done))
	}
	r, t, err := w.trail()
	if err != nil {
		return err
	}
	if t.Game != nil { // the play has begun
		w.showPassing(r, &t)
		w.print("\n")
		if err := w.tell(t.Game, 0); err != nil {
			return err
		}
	}
	w.show()
	return nil
}

// enter is an empty line: it lets a discard go, and else shows where the route stands.
func (w *walk) enter() error {
	_, t, err := w.trail()
	if err != nil {
		return err
	}
	if t.Game != nil {
		if _, waits := t.Game.View().Claimable(); waits {
			return w.act(table.Action{Kind: table.Decline})
		}
	}
	w.show()
	return nil
}

func (w *walk) save() error {
	if err := w.store.Save(w.x); err != nil {
		return command.Failed(err)
	}
	return nil
}

// show prints where the route stands and what is due.
func (w *walk) show() {
	r, t, err := w.trail()
	switch {
	case err != nil:
		w.print("%v\n", err)
	case t.Game != nil:
		w.showPlay(r, t.Game)
	default:
		w.showPassing(r, &t)
	}
}

func (w *walk) showPassing(r *exercise.Route, t *exercise.Trail) {
	j, err := exercise.NewAccountant(w.x.Exercise.Card, r.Aim())
	if err != nil {
		w.print("%v\n", err)
		return
	}
	a := j.Account(t.Now.Rack())
	w.print("\nRoute %s, %s\n", r.Name, dueText(&t.Now))
	w.print("  rack     %s\n", w.rackText(&a))
	if a.Aimed {
		w.print("  nearest  %s\n", wording.Near(&a.Nearest))
		w.print("  plan     %s (aim %s)\n", command.Wrap(w.g.Stdout, nearList(a.Plan), 11), exercise.AimText(r.Aim()))
	} else {
		w.print("  nearest  %s\n", command.Wrap(w.g.Stdout, nearList(a.Plan), 11))
	}
	w.print("  spare    %s; with the plan %s; %s\n", wording.Tiles(a.SpareBest), wording.Tiles(a.SparePlan), wording.Plural(a.Options, "option"))
	if t.Now.Phase() == charleston.Over {
		yes := map[bool]string{true: "yes", false: "no"}
		w.print("The passing is over. Clean (%d spare or fewer): for the nearest hand %s,\nfor the plan %s.\n",
			exercise.CleanSpares, yes[a.CleanBest()], yes[a.CleanPlan()])
	}
}

// nearList is hands with how far they are.
func nearList(hands []fit.Reading) string {
	var names []string
	for i := range hands {
		names = append(names, wording.Near(&hands[i]))
	}
	return strings.Join(names, ", ")
}

// dueText says the step and what it asks for.
func dueText(s *charleston.Solo) string {
	step := wording.Step(s.Step())
	switch s.Phase() {
	case charleston.Passing:
		text := fmt.Sprintf("%s: three tiles to the %s", step, s.Step().Direction())
		if s.Step().Direction() == charleston.Across {
			text = fmt.Sprintf("%s: three tiles across", step)
		}
		if v := s.View(); v.Rules.Blind && s.Step().BlindAllowed() {
			text += ", up to three of them blind"
		}
		return text
	case charleston.Voting:
		return "after the first left: go on or stop?"
	case charleston.Naming:
		return fmt.Sprintf("%s: offer 0 to 3 tiles", step)
	case charleston.Giving:
		return fmt.Sprintf("%s: %s across", step, wording.Plural(s.Exchange(), "tile"))
	}
	return "at the end"
}

// rackText is the rack in the order asked for.
func (w *walk) rackText(a *exercise.Account) string {
	switch w.sort {
	case "rank":
		return a.Rack.Text(tile.RankOrder)
	case "plan":
		return fmt.Sprintf("%s | spare %s", a.Rack.Minus(a.SparePlan), wording.OrNone(a.SparePlan.String()))
	}
	return a.Rack.String()
}
