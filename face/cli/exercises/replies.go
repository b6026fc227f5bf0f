package exercises

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"secondpass/desk"
	"secondpass/face/cli/command"
	"secondpass/paper/draw"
	"secondpass/paper/findings"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/store"
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
	File    string            `arg:"" help:"Text with reply codes in it, - for standard input: remarks, mails, whatever was collected."`
	Costs   bool              `help:"Also judge what every decision cost, some seconds for each reader who walked otherwise."`
	Record  bool              `help:"Also keep the costs in the records of students whose names the readers gave and who came to the end of the passing. Capitals and accents do not matter."`
	Student map[string]string `mapsep:"none" placeholder:"READER=STUDENT" help:"With --record, the student that a reader is who gave another name; may be given several times."`
	Games   int               `default:"1000" placeholder:"N" help:"With --costs or --record, short games for each decision."`
	CSV     string            `name:"csv" placeholder:"FILE" help:"Also write a line for each decision of each reply, for a spreadsheet: what was passed and came, how near the rack was after it, and with --costs what it cost."`
	PDF     string            `name:"pdf" placeholder:"FILE" help:"Also write the tally as a PDF."`
	Picture string            `placeholder:"FILE" help:"Also draw the tally as a slide, .svg or .png, 1920 by 1080."`
	Paper   string            `default:"letter" enum:"letter,a4" help:"Paper size of the PDF."`
}

// Help says how codes are found and counted.
func (Replies) Help() string {
	return "Finds all reply codes in a text, checks them, and counts what the readers did at each step. What stands before a code on its line is taken for the reader's name; of a reader with a name the last route counts. " + wording.ReplyProof
}

func (c *Replies) Run(g *command.Globals) error {
	if len(c.Student) > 0 && !c.Record {
		return errors.New("--student says whose record a reader's costs go into; give --record with it")
	}
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
	costs, err := c.judged(g, x, replies, tally)
	if err != nil {
		return err
	}
	if err := c.write(g, x.Exercise.Name, replies, tally, costs); err != nil {
		return err
	}
	if g.JSON {
		return g.Answer(findings.RepliesAnswerOf(replies, tally, costs))
	}
	printReplies(g.Stdout, replies, tally, costs)
	return nil
}

// judged is what decisions cost, where that is asked for; it is kept in records where that is.
func (c *Replies) judged(g *command.Globals, x *store.Saved, replies []reply.Reply, t *reply.Tally) (costs *reply.Costs, err error) {
	if !c.Costs && !c.Record {
		return nil, nil
	}
	err = g.WithDesk(func(d *desk.Desk) error {
		var students *desk.ReplyStudents
		if c.Record { // before the games: a student who is none is told at once
			if students, err = d.ReplyStudents(replies, t, c.Student); err != nil {
				return err
			}
		}
		progress, done := g.Progress(len(replies), "readers")
		costs, err = d.ReplyCosts(g.Context, replies, t, c.Games, func(n, _ int) {
			if progress != nil {
				progress(n)
			}
		})
		done()
		if err != nil || !c.Record {
			return err
		}
		if err := d.RecordReplies(x, replies, students, costs); err != nil {
			return err
		}
		for _, name := range students.Names {
			g.Remark("kept in the record of %s", name)
		}
		for _, name := range students.Unknown {
			g.Remark("%s is no student's name; --student %q says whose it is", name, name+"=STUDENT")
		}
		return nil
	})
	return costs, err
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
