package exercises

import (
	"fmt"
	"io"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/cli/command"
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
	File string `arg:"" help:"Text with reply codes in it, - for standard input: remarks, mails, whatever was collected."`
	CSV  string `name:"csv" placeholder:"FILE" help:"Also write a line for each decision of each reply, for a spreadsheet: what was passed and came, and how near the rack was after it."`
}

// Help says how codes are found and counted.
func (Replies) Help() string {
	return "Finds all reply codes in a text, checks them, and counts what the readers did at each step. What stands before a code on its line is taken for the reader's name; of a reader with a name the last route counts. A code proves that the rules allow its route, not who walked it."
}

func (c *Replies) Run(g *command.Globals) error {
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
	if c.CSV != "" {
		if err := g.WriteNew(c.CSV, func(w io.Writer) error { return reply.WriteCSV(w, replies, wording.NotCounted) }); err != nil {
			return err
		}
	}
	if g.JSON {
		return g.Answer(repliesOf(replies, tally))
	}
	printReplies(g.Stdout, replies, tally)
	return nil
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
}

type replyChoiceJSON struct {
	Decision string `json:"decision"`
	Readers  int    `json:"readers"`
}

func repliesOf(replies []reply.Reply, t *reply.Tally) repliesJSON {
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
	for _, s := range t.Steps {
		step := replyStepJSON{Step: s.Step.Key(), Readers: s.Readers, Racks: s.Racks}
		if s.Phase == charleston.Voting {
			step.Step = "vote"
		}
		for _, c := range s.Choices {
			step.Choices = append(step.Choices, replyChoiceJSON{wording.Decision(c.Decision), len(c.Replies)})
		}
		j.Steps = append(j.Steps, step)
	}
	if t.Over > 0 {
		j.Clean = &t.Clean
	}
	if t.Over > 1 {
		j.Away, j.Spare, j.Options = &t.Away, &t.Spare, &t.Options
	}
	return j
}

func printReplies(w io.Writer, replies []reply.Reply, t *reply.Tally) {
	fmt.Fprintf(w, "%s.\n", wording.Replies(replies, t))
	fmt.Fprintln(w, command.Wrap(w, "A code proves that the rules allow its route, not who walked it.", 0))
	for i := range replies {
		if r := &replies[i]; !r.Counts() {
			fmt.Fprintln(w, command.Wrap(w, fmt.Sprintf("Not counted: line %d, %s: %s.", r.Line, r.Who(r.Code), wording.NotCounted(r)), 2))
		}
	}
	for _, s := range t.Steps {
		fmt.Fprintf(w, "\n%s: %s\n", wording.ReplyStep(&s), wording.Parted(&s))
		for _, c := range s.Choices {
			fmt.Fprintln(w, command.Wrap(w, fmt.Sprintf("%5d  %-18s %s", len(c.Replies), wording.Decision(c.Decision), strings.Join(reply.Names(replies, c.Replies), ", ")), 26))
		}
	}
	if t.Over == 0 {
		return
	}
	fmt.Fprintf(w, "\nAt the end of the passing\n")
	for _, e := range t.Ends {
		fmt.Fprintln(w, command.Wrap(w, fmt.Sprintf("  %-18s %s, %d spare, %s", replies[e.Reply].Who("no name"), wording.Near(&e.Nearest), e.SpareBest.Size(), wording.Plural(e.Options, "option")), 21))
	}
	if t.Over > 1 {
		fmt.Fprintf(w, "\nMeans with 95 %% intervals, for readers such as these\n")
		fmt.Fprintf(w, "  away     %s\n  spare    %s\n  options  %s\n  clean    %s\n", wording.Mean(t.Away), wording.Mean(t.Spare), wording.Mean(t.Options), wording.Share(t.Clean))
	}
}
