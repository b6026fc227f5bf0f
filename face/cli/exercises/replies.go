package exercises

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/cli/command"
	"secondpass/paper/draw"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/teach/reply"
)

type exerciseCodeCmd struct {
	command.ExerciseArg
	Route string `placeholder:"NAME" help:"The route; without it the last one."`
}

// Help says what a code is for.
func (exerciseCodeCmd) Help() string {
	return "A reply code holds the passing of one route in about 30 letters, for a mail, a remark or the telephone. Who has the same exercise reads it with secondpass replies."
}

type codeJSON struct {
	Route string `json:"route"`
	Code  string `json:"code"`
	// Decisions is how many decisions of the passing it holds.
	Decisions int `json:"decisions"`
}

func (c *exerciseCodeCmd) Run(g *command.Globals) error {
	x, r, err := g.LoadRoute(c.Exercise, c.Route)
	if err != nil {
		return err
	}
	code, err := reply.Code(x.Exercise, r)
	if err != nil {
		return err
	}
	if g.JSON {
		return g.Answer(codeJSON{r.Name, code, len(r.Decisions)})
	}
	fmt.Fprintln(g.Stdout, code)
	return nil
}

// Replies is the command replies.
type Replies struct {
	command.ExerciseArg
	File    string `arg:"" help:"Text with reply codes in it, - for standard input: remarks, mails, whatever was collected."`
	Costs   bool   `help:"Also judge what every decision cost, some seconds for each reader who walked otherwise."`
	Record  bool   `help:"Also keep the costs in the records of students whose names the readers gave and who came to the end of the passing."`
	Games   int    `default:"1000" placeholder:"N" help:"With --costs or --record, short games for each decision."`
	CSV     string `name:"csv" placeholder:"FILE" help:"Also write a line for each decision of each reply, for a spreadsheet: what was passed and came, how near the rack was after it, and with --costs what it cost."`
	PDF     string `name:"pdf" placeholder:"FILE" help:"Also write the tally as a PDF."`
	Picture string `placeholder:"FILE" help:"Also draw the tally as a slide, .svg or .png, 1920 by 1080."`
	Paper   string `default:"letter" enum:"letter,a4" help:"Paper size of the PDF."`
}

// Help says how codes are found and counted.
func (Replies) Help() string {
	return "Finds all reply codes in a text, checks them, and counts what the readers did at each step. What stands before a code on its line is taken for the reader's name; of a reader with a name the last route counts. " + wording.ReplyProof
}

func (c *Replies) Run(g *command.Globals) error {
	if ext := strings.ToLower(filepath.Ext(c.Picture)); c.Picture != "" && ext != ".svg" && ext != ".png" {
		return fmt.Errorf("--picture %s: a file that ends in .svg or .png is right", c.Picture)
	}
	x, err := g.LoadExercise(c.Exercise)
	if err != nil {
		return err
	}
	text, err := g.ReadInput(c.File, "a text with reply codes, such as remarks below a page")
	if err != nil {
		return err
	}
	replies := reply.Collect(x.Exercise, string(text))
	if len(replies) == 0 {
		return fmt.Errorf("the text holds no reply code; one begins with %s-, as secondpass exercise code prints it", reply.Sign)
	}
	tally, err := reply.Count(replies)
	if err != nil {
		return command.Failed(err)
	}
	var costs *reply.Costs
	if c.Costs || c.Record {
		progress, done := g.Progress(len(replies), "readers")
		costs, err = g.Desk().ReplyCosts(g.Context, replies, tally, c.Games, func(n, _ int) {
			if progress != nil {
				progress(n)
			}
		})
		done()
		if err != nil {
			return command.Failed(err)
		}
	}
	if c.Record {
		kept, err := g.Desk().RecordReplies(x, replies, tally, costs)
		if err != nil {
			return command.Failed(err)
		}
		for _, name := range kept {
			g.Remark("kept in the record of %s", name)
		}
	}
	if err := c.write(g, x.Exercise.Name, replies, tally, costs); err != nil {
		return err
	}
	if g.JSON {
		return g.Answer(repliesOf(replies, tally, costs))
	}
	printReplies(g.Stdout, replies, tally, costs)
	return nil
}

// write writes the files that were asked for.
func (c *Replies) write(g *command.Globals, name string, replies []reply.Reply, t *reply.Tally, costs *reply.Costs) error {
	if c.CSV != "" {
		if err := g.WriteNew(c.CSV, func(w io.Writer) error { return reply.WriteCSV(w, replies, costs, wording.NotCounted) }); err != nil {
			return err
		}
	}
	draws := func(file string, data func() ([]byte, error)) error {
		if file == "" {
			return nil
		}
		return g.WriteNew(file, func(w io.Writer) error {
			drawn, err := data()
			if err == nil {
				_, err = w.Write(drawn)
			}
			return err
		})
	}
	heading := "Replies: " + name
	err := draws(c.PDF, func() ([]byte, error) {
		paper := draw.Letter
		if c.Paper == "a4" {
			paper = draw.A4
		}
		return sheet.RepliesDocument(heading, replies, t, costs, paper).PDF(&draw.Light)
	})
	if err != nil {
		return err
	}
	return draws(c.Picture, func() ([]byte, error) {
		scene := sheet.Replies(heading, replies, t, costs, sheet.Widescreen)
		if strings.EqualFold(filepath.Ext(c.Picture), ".svg") {
			return scene.SVG(&draw.Light), nil
		}
		return scene.PNG(&draw.Light, int(scene.Width))
	})
}

type repliesJSON struct {
	Replies []replyJSON `json:"replies"`
	// Readers is how many replies count, Over how many of these came to the end of the passing.
	Readers int             `json:"readers"`
	Over    int             `json:"over"`
	Steps   []replyStepJSON `json:"steps"`
	// Away, Spare, Options and Clean are the means at the end, of the nearest hand; not there where nobody came to the end.
	Away    *stat.Interval[unit.Tiles]  `json:"away,omitempty"`
	Spare   *stat.Interval[unit.Tiles]  `json:"spare,omitempty"`
	Options *stat.Interval[unit.Count]  `json:"options,omitempty"`
	Clean   *stat.Interval[unit.Chance] `json:"clean,omitempty"`
	// Costs is there where decisions were judged.
	Costs *replyCostsJSON `json:"costs,omitempty"`
}

// replyCostsJSON is what decisions cost in chance to win. Mean is that of a whole passing; not there for fewer than two.
type replyCostsJSON struct {
	Mean    *stat.Interval[unit.ChanceDifference] `json:"mean,omitempty"`
	Readers []replyCostJSON                       `json:"readers"`
	// Dearest is the decision that cost its readers the most together.
	Dearest *replyDearestJSON `json:"dearest,omitempty"`
}

type replyCostJSON struct {
	Name string                `json:"name,omitempty"`
	Code string                `json:"code"`
	Cost unit.ChanceDifference `json:"cost"`
}

type replyDearestJSON struct {
	Step     string                `json:"step"`
	Decision string                `json:"decision"`
	Readers  int                   `json:"readers"`
	Sum      unit.ChanceDifference `json:"sum"`
}

type replyJSON struct {
	Code string `json:"code"`
	Line int    `json:"line"`
	Name string `json:"name,omitempty"`
	// Counts says whether it is in the tally; Why, where it is not, says why.
	Counts bool   `json:"counts"`
	Why    string `json:"why,omitempty"`
	// Decisions are those of the passing, in words.
	Decisions []string `json:"decisions,omitempty"`
}

type replyStepJSON struct {
	Step    string `json:"step"`
	Readers int    `json:"readers"`
	// Racks is how many different racks they held before it.
	Racks   int               `json:"racks"`
	Choices []replyChoiceJSON `json:"choices"`
	// Away, Spare and Options are the means after it, not there for fewer than two readers; Cost is the mean cost, where decisions
	// were judged.
	Away    *stat.Interval[unit.Tiles]            `json:"away,omitempty"`
	Spare   *stat.Interval[unit.Tiles]            `json:"spare,omitempty"`
	Options *stat.Interval[unit.Count]            `json:"options,omitempty"`
	Cost    *stat.Interval[unit.ChanceDifference] `json:"cost,omitempty"`
}

type replyChoiceJSON struct {
	Decision string `json:"decision"`
	Readers  int    `json:"readers"`
	// Cost is what the decision cost, where it was judged; OneRack says that all had the same rack, so that the interval is of the
	// games and not of the readers.
	Cost    *stat.Interval[unit.ChanceDifference] `json:"cost,omitempty"`
	OneRack bool                                  `json:"one_rack,omitempty"`
}

func repliesOf(replies []reply.Reply, t *reply.Tally, costs *reply.Costs) repliesJSON {
	j := repliesJSON{Readers: t.Readers, Over: t.Over, Replies: []replyJSON{}, Steps: []replyStepJSON{}}
	for i := range replies {
		r := &replies[i]
		one := replyJSON{Code: r.Code, Line: r.Line, Name: r.Name, Counts: r.Counts(), Why: wording.NotCounted(r)}
		if r.Err == nil {
			for _, d := range r.Route().Decisions {
				one.Decisions = append(one.Decisions, wording.Decision(d))
			}
		}
		j.Replies = append(j.Replies, one)
	}
	for i, s := range t.Steps {
		step := replyStepJSON{Step: replyKey(&s), Readers: s.Readers, Racks: s.Racks}
		if s.Readers > 1 {
			step.Away, step.Spare, step.Options = &s.Away, &s.Spare, &s.Options
		}
		if costs != nil && costs.Steps[i].Mean.Bounded() {
			step.Cost = &costs.Steps[i].Mean
		}
		for n, c := range s.Choices {
			choice := replyChoiceJSON{Decision: wording.Decision(c.Decision), Readers: len(c.Replies)}
			if costs != nil {
				if of := &costs.Steps[i].Choices[n]; of.Cost.Bounded() {
					choice.Cost, choice.OneRack = &of.Cost, of.OneRack
				}
			}
			step.Choices = append(step.Choices, choice)
		}
		j.Steps = append(j.Steps, step)
	}
	if t.Over > 0 {
		j.Clean = &t.Clean
	}
	if t.Over > 1 {
		j.Away, j.Spare, j.Options = &t.Away, &t.Spare, &t.Options
	}
	if costs != nil {
		j.Costs = replyCostsOf(replies, t, costs)
	}
	return j
}

// replyKey is a step as programs read it.
func replyKey(s *reply.Step) string {
	if s.Phase == charleston.Voting {
		return "vote"
	}
	return s.Step.Key()
}

func replyCostsOf(replies []reply.Reply, t *reply.Tally, costs *reply.Costs) *replyCostsJSON {
	j := &replyCostsJSON{Readers: []replyCostJSON{}}
	if costs.Mean.Bounded() {
		j.Mean = &costs.Mean
	}
	for _, r := range costs.Readers {
		j.Readers = append(j.Readers, replyCostJSON{replies[r.Reply].Name, replies[r.Reply].Code, r.Cost})
	}
	if d := costs.Dearest; d != nil {
		choice := &t.Steps[d.Step].Choices[d.Choice]
		j.Dearest = &replyDearestJSON{replyKey(&t.Steps[d.Step]), wording.Decision(choice.Decision), len(choice.Replies), d.Sum}
	}
	return j
}

func printReplies(w io.Writer, replies []reply.Reply, t *reply.Tally, costs *reply.Costs) {
	fmt.Fprintf(w, "%s.\n", wording.Replies(replies, t))
	fmt.Fprintln(w, command.Wrap(w, wording.ReplyProof, 0))
	for i := range replies {
		if r := &replies[i]; !r.Counts() {
			fmt.Fprintln(w, command.Wrap(w, fmt.Sprintf("Not counted: line %d, %s: %s.", r.Line, r.Who(r.Code), wording.NotCounted(r)), 2))
		}
	}
	for i, s := range t.Steps {
		fmt.Fprintf(w, "\n%s: %s\n", wording.ReplyStep(&s), wording.Parted(&s))
		for n, c := range s.Choices {
			says := reply.Names(replies, c.Replies)
			if costs != nil {
				says = append([]string{"cost " + wording.CostPoints(costs.Steps[i].Choices[n].Cost)}, says...)
			}
			fmt.Fprintln(w, command.Wrap(w, fmt.Sprintf("%5d  %-18s %s", len(c.Replies), wording.Decision(c.Decision), strings.Join(says, ", ")), 26))
		}
		if reached := wording.StepReached(&s); reached != "" {
			fmt.Fprintln(w, command.Wrap(w, "  "+reached, 2))
		}
	}
	if t.Over == 0 {
		return
	}
	fmt.Fprintf(w, "\nAt the end of the passing\n")
	for _, e := range t.Ends {
		fmt.Fprintln(w, command.Wrap(w, fmt.Sprintf("  %-18s %s, %d spare, %s", replies[e.Reply].Who("no name"), wording.Near(&e.Nearest), e.SpareBest.Size(), wording.Plural(e.Options, "option")), 21))
	}
	if costs != nil {
		fmt.Fprintf(w, "\nWhat it cost\n")
		for _, text := range wording.ReplyCosts(replies, t, costs) {
			fmt.Fprintln(w, command.Wrap(w, "  "+text, 2))
		}
		fmt.Fprintln(w, command.Wrap(w, "  "+wording.ReplyCostsNote, 2))
	}
	if t.Over > 1 {
		fmt.Fprintf(w, "\nMeans with 95 %% intervals, for readers such as these\n")
		fmt.Fprintf(w, "  away     %s\n  spare    %s\n  options  %s\n  clean    %s\n", wording.Mean(t.Away), wording.Mean(t.Spare), wording.Mean(t.Options), wording.Share(t.Clean))
	}
}
