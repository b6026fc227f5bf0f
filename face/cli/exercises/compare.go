package exercises

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/exercise/comparison"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/store"
	"secondpass/work"
)

// Compare is the command compare.
type Compare struct {
	Exercise string   `arg:"" optional:"" help:"A saved exercise whose routes to compare; without it a deal is walked once for each aim and once free."`
	Aim      []string `sep:"none" placeholder:"NAME" help:"Section or hand to steer for; give it once for each route. Several joined by + make one plan."`
	Repeats  int      `placeholder:"N" help:"Repeat over N fresh draws of incoming tiles, the same ones for every aim."`
	Games    int      `placeholder:"N" help:"Play N whole games on from the end of every route: chance to win and net points."`
	Save     string   `placeholder:"NAME" help:"Keep the exercise under this name."`
	Incoming string   `default:"mock" enum:"mock,table" help:"Where incoming tiles come from: mock (drawn in advance) or table (three simulated players)."`
	IncomingFlags
	DealFlags
}

// Help adds examples to the help page.
func (Compare) Help() string {
	return `Examples:
  secondpass compare --seed 11 --aim Runs --aim Evens
  secondpass compare --seed 11 --aim Runs --aim Evens --repeats 10000
  secondpass compare "Monday lesson"`
}

func (c *Compare) Run(g *command.Globals) error {
	if err := c.check(g); err != nil {
		return err
	}
	e, routes, head, err := c.routes(g)
	if err != nil {
		return err
	}
	columns := make([]exercise.Column, len(routes))
	for i, r := range routes {
		if columns[i], err = e.Column(r); err != nil {
			return err
		}
	}
	var repeated *exercise.Repeated
	if c.Repeats > 0 {
		if repeated, err = c.repeat(g, e, routes); err != nil {
			return err
		}
	}
	var looks []advice.Outlook
	var gaps []advice.OutlookGap
	var on desk.Basis
	if c.Games > 0 {
		if looks, gaps, on, err = c.outlook(g, e, routes); err != nil {
			return err
		}
	}
	saved, err := c.save(g, e)
	if err != nil {
		return err
	}
	if g.JSON {
		answer := compareJSON(e, columns, repeated)
		answer.Saved = saved
		answer.Outlook, answer.OutlookGaps = outlooksJSON(looks, gaps)
		return g.Answer(answer)
	}
	fmt.Fprint(g.Stdout, head)
	PrintColumns(g.Stdout, e, columns)
	if repeated != nil {
		printRepeated(g.Stdout, repeated)
	}
	if len(looks) > 0 {
		printOutlook(g.Stdout, looks, gaps, on.Seed)
	}
	return nil
}

// check refuses numbers and names that cannot be, and what does not go together.
func (c *Compare) check(g *command.Globals) error {
	if err := command.First(command.Above(g, "repeats", c.Repeats, "10000"), command.Above(g, "games", c.Games, "1000")); err != nil {
		return err
	}
	if c.Exercise != "" {
		return g.OfExercise("aim", "players", "save", "incoming")
	}
	if c.Save == "" {
		return nil
	}
	if err := exercise.CheckName(c.Save); err != nil {
		return fmt.Errorf("--save: %w", err)
	}
	return g.WithStore(func(s store.Store) error {
		free, err := s.FreeName(c.Save)
		if err == nil && free != c.Save {
			err = command.WrongInput(fmt.Errorf("--save %q: an exercise has this name; %q is free", c.Save, free))
		}
		return err
	})
}

// routes gives the routes to compare and the lines that stand above them.
func (c *Compare) routes(g *command.Globals) (*exercise.Exercise, []*exercise.Route, string, error) {
	if c.Exercise != "" {
		x, err := g.LoadExercise(c.Exercise)
		if err != nil {
			return nil, nil, "", err
		}
		head := fmt.Sprintf("Exercise %s\nRack %s, card %s, %s passes\n", x.Exercise.Name, x.Deal, x.Exercise.Card.Name, x.Incoming)
		if x.Incoming == exercise.TablePasses {
			head += fmt.Sprintf("Seat %s, the others: %s\n", x.Seat.Name(), x.Players)
		}
		if rules := wording.HouseRules(x.House); rules != "" {
			head += command.Wrap(g.Stdout, rules, 2) + "\n"
		}
		return x.Exercise, x.Routes, head, nil
	}
	d, err := c.Deal(g)
	if err != nil {
		return nil, nil, "", err
	}
	name := c.Save
	if name == "" {
		name = "Comparison"
	}
	e, err := c.Make(name, d, exercise.Incoming(c.Incoming))
	if err != nil {
		return nil, nil, "", err
	}
	routes, err := e.WalkAll(c.aims())
	return e, routes, d.Text(g, true) + "\n", err
}

// aims is one aim for each --aim, and the whole card.
func (c *Compare) aims() [][]string {
	var aims [][]string
	for _, text := range c.Aim {
		var aim []string
		for name := range strings.SplitSeq(text, "+") {
			aim = append(aim, strings.TrimSpace(name))
		}
		aims = append(aims, aim)
	}
	return append(aims, nil)
}

func (c *Compare) save(g *command.Globals, e *exercise.Exercise) (*command.Made, error) {
	if c.Save == "" || c.Exercise != "" {
		return nil, nil
	}
	s, err := g.Store()
	if err != nil {
		return nil, err
	}
	defer s.Close()
	x, err := s.Add(e)
	if err != nil {
		return nil, command.StoreError(err)
	}
	g.Remark("saved as %q", e.Name)
	return &command.Made{ID: x.ID, Name: e.Name}, nil
}

// repeat walks the routes again; nil where it was stopped before the first games.
func (c *Compare) repeat(g *command.Globals, e *exercise.Exercise, routes []*exercise.Route) (*exercise.Repeated, error) {
	aims := make([][]string, len(routes))
	for i, r := range routes {
		aims[i] = r.Aim()
	}
	repeats, err := work.RepeatsOf(e, aims, c.Repeats)
	if err != nil {
		return nil, command.Failed(err)
	}
	progress, done := g.Progress(c.Repeats, "games")
	repeated, err := work.Run[*exercise.Repeated](g.Context, work.New(repeats), command.Told(progress))
	done()
	if err != nil && !errors.Is(err, context.Canceled) {
		return nil, err
	}
	if err != nil || repeated.Games == 0 {
		g.Remark(stoppedEarly)
		return nil, nil
	}
	if repeated.Games < c.Repeats {
		g.Remark("stopped: %d of %d games were played and count", repeated.Games, c.Repeats)
	}
	return repeated, nil
}

// The comparison has a column of labels and as many of routes as have room.
const (
	labelWidth = 12
	routeWidth = 22
)

// perBlock is how many routes or aims stand side by side, each in so many columns at least.
func perBlock(w io.Writer, width int) int { return max(1, (command.Columns(w)-labelWidth)/width) }

// PrintColumns sets the routes side by side, as many at a time as have room.
func PrintColumns(w io.Writer, e *exercise.Exercise, columns []exercise.Column) {
	for block := range slices.Chunk(columns, perBlock(w, routeWidth)) {
		fmt.Fprintln(w)
		printBlock(w, e, block)
	}
	printParts(w, columns)
}

func printBlock(w io.Writer, e *exercise.Exercise, columns []exercise.Column) {
	widths := []int{labelWidth}
	for range columns {
		widths = append(widths, (command.Columns(w)-labelWidth)/len(columns))
	}
	row := func(label string, cell func(c *exercise.Column) string) {
		cells := []string{label}
		empty := true
		for i := range columns {
			text := cell(&columns[i])
			empty = empty && text == ""
			cells = append(cells, text)
		}
		if !empty {
			fmt.Fprintln(w, command.SideBySide(widths, cells))
		}
	}
	row("route", func(c *exercise.Column) string { return c.Route.Name })
	row("aim", func(c *exercise.Column) string { return exercise.AimText(c.Route.Aim()) })
	fmt.Fprintf(w, "%s\nthe deal\n", strings.Repeat("-", command.Columns(w)-1))
	accountRows(row, func(c *exercise.Column) *exercise.Account { return &c.Accounts[0] })
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		stepRows(w, row, columns, step)
	}
	fmt.Fprintf(w, "%s\nat the end, or as far as the route goes\n", strings.Repeat("-", command.Columns(w)-1))
	endRows(row)
	row("  game", gameText(e))
}

// gameText is how the game of a route ended.
func gameText(e *exercise.Exercise) func(c *exercise.Column) string {
	return func(c *exercise.Column) string {
		switch g := c.Trail.Game; {
		case g == nil:
			return ""
		case g.Over():
			return wording.End(e, g)
		}
		return "not played out"
	}
}

// accountRows are the rows of how the rack stands at a step; account gives nil where a route has not come there.
func accountRows(row func(string, func(*exercise.Column) string), account func(*exercise.Column) *exercise.Account) {
	row("  rack", func(c *exercise.Column) string {
		if a := account(c); a != nil {
			return a.Rack.String()
		}
		return ""
	})
	for i := range comparison.Measures {
		m := &comparison.Measures[i]
		row("  "+strings.ToLower(m.Label), func(c *exercise.Column) string {
			a := account(c)
			if a == nil || !m.AtEach || m.OfAim && !a.Aimed {
				return ""
			}
			v := m.Value(a, c.Over())
			return wording.Measured(m, &v)[0] // the nearest of several
		})
	}
}

// stepRows are the rows of one step: what was decided and came, and how the rack stands after it.
func stepRows(w io.Writer, row func(string, func(*exercise.Column) string), columns []exercise.Column, step charleston.Step) {
	// last is the place of each route's last decision at the step, -1 where it never came there.
	last := make(map[*exercise.Route]int)
	any := false
	for i := range columns {
		c := &columns[i]
		last[c.Route] = -1
		for n, s := range c.Trail.Snapshots {
			if s.Decision.Step == step {
				last[c.Route], any = n, true
			}
		}
	}
	if !any {
		return
	}
	fmt.Fprintf(w, "%s\n", wording.Step(step))
	row("  passed", func(c *exercise.Column) string { return decisionsText(c, step) })
	row("  came", func(c *exercise.Column) string {
		if s := passAt(c, step); s != nil && s.Decision.Own.Len() > 0 {
			return s.Decision.Came.String()
		}
		return ""
	})
	accountRows(row, func(c *exercise.Column) *exercise.Account {
		if n := last[c.Route]; n >= 0 {
			return &c.Accounts[n+1]
		}
		return nil
	})
}

// passAt is the snapshot in which tiles changed hands at a step.
func passAt(c *exercise.Column, step charleston.Step) *exercise.Snapshot {
	for i := range c.Trail.Snapshots {
		s := &c.Trail.Snapshots[i]
		if s.Decision.Step == step && (s.Decision.Phase == charleston.Passing || s.Decision.Phase == charleston.Giving) {
			return s
		}
	}
	return nil
}

// decisionsText is all that was decided at a step, in a few words.
func decisionsText(c *exercise.Column, step charleston.Step) string {
	var parts []string
	for _, s := range c.Trail.Snapshots {
		if s.Decision.Step == step {
			parts = append(parts, wording.Decision(s.Decision))
		}
	}
	if len(parts) == 0 {
		return "-"
	}
	return strings.Join(parts, "; ")
}

// endRows are the rows of how the routes stand at their ends.
func endRows(row func(string, func(*exercise.Column) string)) {
	for i := range comparison.Measures {
		m := &comparison.Measures[i]
		row("  "+strings.ToLower(m.Label), func(c *exercise.Column) string {
			v := m.Value(c.End(), c.Over())
			lines := wording.Measured(m, &v)
			if m.Groups && !m.Many {
				lines = append(lines, wording.Groups(v.Hands[0].Groups()))
			}
			return strings.Join(lines, "\n")
		})
	}
}

// printParts says where every two routes part.
func printParts(w io.Writer, columns []exercise.Column) {
	fmt.Fprintln(w)
	for i := range columns {
		for j := i + 1; j < len(columns); j++ {
			a, b := &columns[i], &columns[j]
			n := exercise.PartsAt(a.Route, b.Route)
			text := fmt.Sprintf("%s and %s never part.", a.Route.Name, b.Route.Name)
			if _, place := partPlace(a, b, n); place != "" {
				text = fmt.Sprintf("%s and %s part at %s: %s %s, %s %s.", a.Route.Name, b.Route.Name, place,
					a.Route.Name, choiceText(a, n), b.Route.Name, choiceText(b, n))
			}
			fmt.Fprintln(w, command.Wrap(w, text, 2))
		}
	}
}

// partPlace is where decision number n, in which two routes differ, was due: in machine-readable output and in words;
// "" where neither route has it.
func partPlace(a, b *exercise.Column, n int) (key, place string) {
	for _, c := range []*exercise.Column{a, b} {
		if n >= c.Route.Len() {
			continue
		}
		if choice := c.Route.Choice(n); !choice.InPlay() {
			return choice.Decision.Step.Key(), wording.Step(choice.Decision.Step)
		}
		key, place = "play", fmt.Sprintf("decision %d, in the play", n+1)
	}
	return key, place
}

func choiceText(c *exercise.Column, n int) string {
	if n >= c.Route.Len() {
		return "has not gone on"
	}
	choice := c.Route.Choice(n)
	if choice.InPlay() {
		_, did, _ := strings.Cut(choice.Action.String(), " ")
		return did
	}
	d := choice.Decision
	text := wording.Decision(d)
	if d.Phase == charleston.Passing || d.Phase == charleston.Giving {
		text = "passes " + text
	}
	return text
}
