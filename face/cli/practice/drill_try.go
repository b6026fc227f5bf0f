package practice

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/unit"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/drill"
)

// practice is what trying has in common.
type practice struct {
	Student string        `placeholder:"NAME" help:"Who practises; the try is kept and decides when the drill comes again."`
	Limit   time.Duration `placeholder:"TIME" help:"Instinct mode: a later answer counts as not known, as in 15s."`
	Took    time.Duration `placeholder:"TIME" help:"How long the decision took, when --answer gives it."`
}

func (p *practice) check(g *command.Globals) error {
	if g.Given("took") && !g.Given("answer") {
		return fmt.Errorf("--took %s and no --answer: who is asked is timed; add --answer, or leave it out", p.Took)
	}
	return command.First(command.Above(g, "limit", p.Limit, "15s"), command.Above(g, "took", p.Took, "9s"))
}

// asking is where a person is asked: standard output is for the machine where that gets an answer.
func asking(g *command.Globals) io.Writer {
	if g.JSON {
		return g.Stderr
	}
	return g.Stdout
}

// errQuit says that a person left without an answer.
var errQuit = errors.New("quit")

// quit is nil for who left, who is told that nothing was kept.
func quit(g *command.Globals, err error) error {
	if errors.Is(err, errQuit) {
		g.Remark("Nothing is kept.")
		return nil
	}
	return err
}

// ask shows a question, hands its answer to take, and says how long that took: the one given, or a line from standard input;
// errQuit is for who wants to leave. Who types what take refuses is told why and asked again.
func (p *practice) ask(g *command.Globals, given string, show func(io.Writer) error, take func(answer string) error) (took time.Duration, err error) {
	prompt := asking(g)
	if given != "" { // wrong input prints nothing but the error
		if err := take(given); err != nil || g.JSON {
			return p.Took, err
		}
		return p.Took, show(prompt)
	}
	if err := show(prompt); err != nil {
		return 0, err
	}
	if p.Limit > 0 {
		fmt.Fprintf(prompt, "You have %s. ", p.Limit)
	}
	start, lines := time.Now(), bufio.NewReader(g.Stdin)
	for {
		fmt.Fprint(prompt, "Your answer (or quit): ")
		line, ended := lines.ReadString('\n')
		took = time.Since(start)
		if errors.Is(ended, command.ErrInterrupted) {
			fmt.Fprintln(prompt)
			return 0, ended
		}
		trouble := errors.New("no answer was given; nothing is kept")
		switch answer := strings.TrimSpace(line); strings.ToLower(answer) {
		case "": // at the end of the input
			if ended == nil {
				trouble = errors.New("the line is empty")
			}
		case "quit", "exit":
			return 0, errQuit
		default:
			if trouble = take(answer); trouble == nil {
				fmt.Fprintln(prompt)
				return took, nil
			}
		}
		if ended != nil {
			return 0, trouble
		}
		fmt.Fprintln(prompt, command.Wrap(prompt, fmt.Sprintf("Not taken: %v. Once more, or quit.", trouble), 2))
	}
}

type drillTryCmd struct {
	Drill  int64  `arg:"" optional:"" help:"Number of the drill; without it the next of the student's queue."`
	Answer string `placeholder:"TEXT" help:"The answer, or its number; without it you are asked."`
	practice
}

// Help says how the queue works.
func (drillTryCmd) Help() string {
	return "The queue brings back what is due (FSRS), and else a new drill close to the student's rating.\n\nExamples:\n  secondpass drill try --student Ana\n  secondpass drill try 12 --student Ana --answer 2 --took 9s --limit 15s"
}

func (c *drillTryCmd) Run(g *command.Globals) error {
	if err := c.check(g); err != nil {
		return err
	}
	if c.Drill == 0 && c.Student == "" {
		return fmt.Errorf("which drill: its number is right, or --student NAME for the next one of a student")
	}
	d, crd, err := c.next(g)
	if err != nil {
		return err
	}
	choice, free := -1, drill.Choice{}
	took, err := c.ask(g, c.Answer, func(w io.Writer) error { return printQuestion(w, d, crd) }, func(text string) (err error) {
		if choice, err = d.Choose(text); err == nil {
			return nil
		}
		choice = -1
		var wrong error
		if free, wrong = d.Free(prepared.Of(crd).Game(house.Usual), text); wrong != nil {
			return fmt.Errorf("%w; nor is it another legal decision", err)
		}
		return nil
	})
	if err != nil {
		return quit(g, err)
	}
	t, judged, err := c.judge(g, d, crd, choice, free, took)
	if err != nil {
		return err
	}
	t.Themes = d.Themes(crd)
	if c.Student != "" {
		if err := g.WithStore(func(s store.Store) error { _, err := s.AddTry(c.Student, t); return err }); err != nil {
			return err
		}
	}
	if g.JSON {
		return g.Answer(tried{Drill: d.ID, Answer: t.Answer, Right: t.Right, Late: t.Late(), Cost: t.Cost.Value, Seconds: took.Seconds()})
	}
	if t.Late() {
		fmt.Fprintf(g.Stdout, "Late: %s, where %s was the limit.\n", took.Round(100*time.Millisecond), c.Limit)
	}
	if judged != nil {
		if err := printFree(g.Stdout, d, crd, free, judged); err != nil {
			return err
		}
	}
	return printKey(g.Stdout, d, crd, choice)
}

// judge is the try: of one of the choices by the key, of any other legal decision by the key's games, which are told.
func (c *drillTryCmd) judge(g *command.Globals, d *drill.Drill, crd *card.Card, choice int, free drill.Choice, took time.Duration) (drill.Try, *drill.Answer, error) {
	if choice >= 0 {
		t, err := d.Answered(choice, time.Now(), took, c.Limit)
		return t, nil, err
	}
	a, err := g.Desk().JudgeAnswer(g.Context, crd, d, free)
	if err != nil {
		return drill.Try{}, nil, command.Failed(err)
	}
	return d.AnsweredFreely(free, a, time.Now(), took, c.Limit), &a, nil
}

// printFree prints what an answer costs that the drill does not offer, and why.
func printFree(w io.Writer, d *drill.Drill, c *card.Card, free drill.Choice, a *drill.Answer) error {
	why, err := d.ReasonOf(c, free)
	if err != nil {
		return err
	}
	verdict := "costs " + wording.Cost(a.Cost)
	if a.Right {
		verdict = "right: no more than one percentage point behind the best found"
	}
	fmt.Fprintf(w, "%s     %s (yours): %s\n", command.Mark(a.Right), wording.DrillChoice(free), verdict)
	fmt.Fprintf(w, "      %s\n", command.Wrap(w, wording.DrillReason(&why).String(), 6))
	return nil
}

type tried struct {
	Drill int64 `json:"drill,omitempty"`
	// Rack and Seed are those of a reading.
	Rack   string `json:"rack,omitempty"`
	Seed   uint64 `json:"seed,omitempty"`
	Answer string `json:"answer"`
	Right  bool   `json:"right"`
	Late   bool   `json:"late"`
	// Cost is how far the answer's chance is behind the best one's.
	Cost unit.ChanceDifference `json:"cost"`
	// Seconds is how long the decision took.
	Seconds float64 `json:"seconds"`
}

// next is the drill asked for, or the first of the student's queue.
func (c *drillTryCmd) next(g *command.Globals) (*drill.Drill, *card.Card, error) {
	if c.Student != "" {
		if err := knowStudent(g, c.Student); err != nil {
			return nil, nil, err
		}
	}
	if c.Drill != 0 {
		return loadDrill(g, c.Drill)
	}
	crd, err := g.LoadHands(tile.Usual)
	if err != nil {
		return nil, nil, err
	}
	var d *drill.Drill
	err = g.WithStore(func(s store.Store) error {
		st, err := s.Student(c.Student)
		if err != nil {
			return err
		}
		queue, _, err := queueOf(s, &st, crd, 1)
		if err != nil {
			return err
		}
		if len(queue) == 0 {
			return command.WrongInput(fmt.Errorf("%s has nothing to try now: no drill for card %q is due or new; secondpass drill find searches for some", st.Name, crd.Name))
		}
		d = queue[0]
		return nil
	})
	return d, crd, err
}

// queueOf is the drills of a card that a student is to try now, those due first and so many new ones, and what the student
// knows of those tried before.
func queueOf(s store.Store, st *drill.Student, crd *card.Card, fresh int) ([]*drill.Drill, map[int64]drill.Memory, error) {
	drills, err := s.Drills(store.DrillFilter{Fingerprint: player.Fingerprint(crd)})
	if err != nil {
		return nil, nil, err
	}
	memories, err := s.Memories(st.ID)
	if err != nil {
		return nil, nil, err
	}
	var queue []*drill.Drill
	for _, i := range drill.Queue(st.Rating, drills, memories, s.Now(), fresh, func(d *drill.Drill) bool { told, err := d.Told(crd); return err == nil && told }) {
		queue = append(queue, drills[i])
	}
	return queue, memories, nil
}

// knowStudent says whether there is a student of a name.
func knowStudent(g *command.Globals, name string) error {
	return g.WithStore(func(s store.Store) error { _, err := s.Student(name); return err })
}

type drillReadCmd struct {
	Hands  bool   `help:"Ask for the hands at most one further away than the nearest, not for the sections of the nearest."`
	Answer string `placeholder:"NAMES" help:"Names with commas between them; without it you are asked."`
	practice
}

// Help says how the same rack comes again.
func (drillReadCmd) Help() string {
	return "Each time it is another rack; --seed brings one back. quit leaves, and so does Ctrl-C; nothing is kept then."
}

func (c *drillReadCmd) Run(g *command.Globals) error {
	if err := c.check(g); err != nil {
		return err
	}
	if c.Answer != "" && !g.Seeded {
		return fmt.Errorf("--answer %q and no --seed: each time it is another rack; give the seed of the one that is answered", c.Answer)
	}
	crd, err := g.LoadHands(tile.Usual)
	if err != nil {
		return err
	}
	g.FreshSeed()
	r, err := drill.NewCardReading(crd, prepared.Of(crd).Index(), g.Seed)
	if err != nil {
		return err
	}
	if c.Student != "" {
		if err := knowStudent(g, c.Student); err != nil {
			return err
		}
	}
	show := func(w io.Writer) error {
		what := "Which sections hold the hands that are nearest"
		if c.Hands {
			what = "Which hands are nearest, or one tile further away"
		}
		_, err := fmt.Fprintf(w, "%s?\n\n  rack  %s\n  seed  %d\n\n", what, r.Rack, g.Seed)
		return err
	}
	var names []string
	var marks drill.Marks
	took, err := c.ask(g, c.Answer, show, func(text string) (err error) {
		names = strings.Split(text, ",")
		marks, err = r.Mark(crd, names, c.Hands)
		return err
	})
	if err != nil {
		return quit(g, err)
	}
	t := r.Answered(&marks, names, time.Now(), took, c.Limit)
	if c.Student != "" {
		if err := g.WithStore(func(s store.Store) error { _, err := s.AddTry(c.Student, t); return err }); err != nil {
			return err
		}
	}
	if g.JSON {
		return g.Answer(tried{Rack: r.Rack.String(), Seed: g.Seed, Answer: t.Answer, Right: t.Right, Late: t.Late(), Seconds: took.Seconds()})
	}
	return printMarks(g, crd, &r, &marks, &t)
}

func printMarks(g *command.Globals, c *card.Card, r *drill.CardReading, m *drill.Marks, t *drill.Try) error {
	for _, line := range []struct {
		what  string
		names []string
	}{{"right", m.Hit}, {"missed", m.Missed}, {"wrong", m.Wrong}} {
		if len(line.names) > 0 {
			fmt.Fprintf(g.Stdout, "%-7s %s\n", line.what, command.Wrap(g.Stdout, strings.Join(line.names, ", "), 8))
		}
	}
	late := ""
	if t.Late() {
		late = ", too late"
	}
	if t.Taken > 0 {
		fmt.Fprintf(g.Stdout, "In %s%s.\n", t.Taken.Round(100*time.Millisecond), late)
	}
	near := prepared.Of(c).Index().Hands(r.Rack)
	for i := range near[:min(len(r.Hands), len(near))] {
		fmt.Fprintf(g.Stdout, "  %s\n", wording.Near(&near[i]))
	}
	return nil
}
