package practice

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/drill"
)

// Student is the command student.
type Student struct {
	Add      studentAddCmd      `cmd:"" help:"A new student, by name; no password is needed."`
	List     studentListCmd     `cmd:"" help:"All students of this machine."`
	Progress studentProgressCmd `cmd:"" help:"How a student is doing, with intervals."`
	Due      studentDueCmd      `cmd:"" help:"What the student is to try now."`
	Record   studentRecordCmd   `cmd:"" help:"Review a route that the student walked, and keep its costs."`
	Export   studentExportCmd   `cmd:"" help:"Everything that is kept of a student, as a file."`
	Answers  studentAnswersCmd  `cmd:"" help:"Put what a student decided in a lesson's reader's page into the student's record."`
	Import   studentImportCmd   `cmd:"" help:"A student's file from another data folder, as a new student."`
	Delete   studentDeleteCmd   `cmd:"" help:"Delete a student and everything that is kept, for good."`
}

// studentArg is the student that a command is about.
type studentArg struct {
	Student string `arg:"" help:"The student's name."`
}

type studentAddCmd struct{ studentArg }

func (c *studentAddCmd) Run(g *command.Globals) error {
	if err := exercise.CheckName(c.Student); err != nil {
		return command.WrongInput(err)
	}
	return g.WithStore(func(s store.Store) error {
		st, err := s.AddStudent(c.Student)
		if err != nil || !g.JSON {
			return err
		}
		return g.Answer(command.Made{ID: st.ID, Name: st.Name})
	})
}

type studentListCmd struct{}

func (c *studentListCmd) Run(g *command.Globals) error {
	var list []drill.Student
	err := g.WithStore(func(s store.Store) (err error) {
		list, err = s.Students()
		return err
	})
	if err != nil {
		return err
	}
	if g.JSON {
		return g.Answer(append([]drill.Student{}, list...))
	}
	if len(list) == 0 {
		g.Remark("No student yet. secondpass student add NAME adds one.")
	}
	t := command.NewTable(31)
	for _, st := range list {
		t.Row(st.Name, wording.Strength(st.Rating))
	}
	t.Print(g.Stdout)
	return nil
}

// data is everything kept of the student.
func (c *studentArg) data(g *command.Globals) (data store.StudentData, err error) {
	err = g.WithStore(func(s store.Store) error {
		data, err = s.StudentData(c.Student)
		return err
	})
	return data, err
}

type studentProgressCmd struct{ studentArg }

func (c *studentProgressCmd) Run(g *command.Globals) error {
	data, err := c.data(g)
	if err != nil {
		return err
	}
	progress := drill.NewProgress(data.Tries, data.Charlestons)
	if g.JSON {
		return g.Answer(studentProgress{data.Student, progress})
	}
	printProgress(g.Stdout, &data.Student, &progress)
	return nil
}

// studentProgress is how a student is doing.
type studentProgress struct {
	Student drill.Student `json:"student"`
	drill.Progress
}

func printProgress(w io.Writer, st *drill.Student, r *drill.Progress) {
	fmt.Fprintf(w, "%s %s; %s.\nIntervals of 95 %% in brackets.\n", st.Name, wording.Strength(st.Rating), triesText(r.All.Tries))
	if r.All.Tries > 0 {
		fmt.Fprintln(w)
		printFigures(w, "all", &r.All)
		fmt.Fprintln(w, "\nBy kind")
		for i := range r.Kinds {
			printFigures(w, r.Kinds[i].Name, &r.Kinds[i])
		}
		fmt.Fprintln(w, "\nBy step")
		for i := range r.Steps {
			printFigures(w, strings.ReplaceAll(r.Steps[i].Name, "-", " "), &r.Steps[i])
		}
		if len(r.Themes) > 0 {
			fmt.Fprintln(w, "\nBy theme of the rack; one try counts for each of its themes")
		}
		for i := range r.Themes {
			printFigures(w, r.Themes[i].Name, &r.Themes[i])
		}
		if r.Next != nil {
			fmt.Fprintf(w, "\nTo practise next\n  %s\n", command.Wrap(w, wording.Weakness(r.Next), 2))
		}
	}
	clean := &r.Clean
	if clean.Charlestons == 0 {
		fmt.Fprintln(w, "\nNo Charleston of a whole exercise yet.")
		return
	}
	fmt.Fprintf(w, "\nClean Charlestons, of %d\n", clean.Charlestons)
	for _, line := range []struct {
		what   string
		figure string
		change *drill.Change[unit.Chance]
	}{{"nearest hand", wording.Share(clean.Best), &clean.BestChange}, {"three nearest", wording.Share(clean.Plan), &clean.PlanChange}} {
		fmt.Fprintf(w, "  %-13s %s\n                %s\n", line.what, line.figure, command.Wrap(w, wording.Change(line.change, false), 16))
	}
}

func triesText(n int) string {
	if n == 1 {
		return "1 try"
	}
	return fmt.Sprintf("%d tries", n)
}

func printFigures(w io.Writer, name string, f *drill.Figures) {
	fmt.Fprintf(w, "  %-13s %s: right %s", name, triesText(f.Tries), wording.Share(f.Right))
	if f.Seconds > 0 {
		fmt.Fprintf(w, ", median %.1f s", f.Seconds)
	}
	fmt.Fprintln(w)
	if f.Cost.N == 0 && f.Cost.Value == 0 && f.Change.Used == 0 {
		fmt.Fprintf(w, "                %s\n", command.Wrap(w, "change: "+wording.Change(&f.RightChange, false), 16))
		return
	}
	cost := fmt.Sprintf("%.2f percentage points; too few tries for an interval", 100*f.Cost.Value)
	if f.Cost.N > 0 {
		cost = fmt.Sprintf("%.2f percentage points (%.2f to %.2f)", 100*f.Cost.Value, 100*f.Cost.Low, 100*f.Cost.High)
	}
	fmt.Fprintf(w, "                %s\n                %s\n", command.Wrap(w, "mean cost "+cost, 16), command.Wrap(w, "change of cost: "+wording.Change(&f.Change, true), 16))
}

type studentDueCmd struct {
	studentArg
	New int `default:"5" placeholder:"N" help:"So many drills not tried yet after those due."`
}

type dueLine struct {
	ID   int64  `json:"id"`
	Step string `json:"step"`
	Due  string `json:"due,omitempty"`
}

func (c *studentDueCmd) Run(g *command.Globals) error {
	if c.New < 0 {
		return fmt.Errorf("--new %d: 0 or more is right", c.New)
	}
	crd, err := g.LoadHands(tile.Usual)
	if err != nil {
		return err
	}
	lines := []dueLine{}
	err = g.WithStore(func(s store.Store) error {
		st, err := s.Student(c.Student)
		if err != nil {
			return err
		}
		queue, memories, err := queueOf(s, &st, crd, c.New)
		if err != nil {
			return err
		}
		for _, d := range queue {
			line := dueLine{ID: d.ID, Step: d.Position.StepKey()}
			if m, tried := memories[d.ID]; tried {
				line.Due = m.Due.UTC().Format(time.RFC3339)
			}
			lines = append(lines, line)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if g.JSON {
		return g.Answer(lines)
	}
	for _, line := range lines {
		when := "new"
		if line.Due != "" {
			when = "due since " + line.Due
		}
		fmt.Fprintf(g.Stdout, "%5d  %-13s %s\n", line.ID, strings.ReplaceAll(line.Step, "-", " "), when)
	}
	if len(lines) == 0 {
		g.Remark("Nothing is due.")
	}
	return nil
}

type studentRecordCmd struct {
	studentArg
	Exercise string         `arg:"" help:"Name or number of the exercise."`
	Route    string         `placeholder:"NAME" help:"The route; without it the last one."`
	Games    *int           `placeholder:"N" help:"Short games for each decision; the same number gives the same review."`
	Budget   *time.Duration `placeholder:"TIME" help:"Time for each decision, as in 2s, in place of a number of games. Without either it is 1000 games, as in the browser."`
}

func (c *studentRecordCmd) Run(g *command.Globals) error {
	if err := g.OfExercise(); err != nil {
		return err
	}
	budget, err := command.BudgetOf(c.Games, c.Budget, advice.Budget{Games: desk.ReviewGames})
	if err != nil {
		return err
	}
	x, r, err := g.LoadRoute(c.Exercise, c.Route)
	if err != nil {
		return err
	}
	if err := knowStudent(g, c.Student); err != nil {
		return err
	}
	progress, done := g.Progress(r.Len(), "decisions")
	rev, cut := g.Desk().Review(g.Context, x.Exercise, r, g.Judge(""), budget, func(n, _ int) {
		if progress != nil {
			progress(n)
		}
	})
	done()
	if cut != nil && g.Context.Err() != nil {
		cut = command.Failed(cut) // what was judged by then is kept
	}
	if rev.Review == nil {
		return command.DiskError(cut)
	}
	return cmp.Or(c.keep(g, x, r, rev.Review), cut)
}

// keep keeps what a review says; the same route, recorded again, takes its place.
func (c *studentRecordCmd) keep(g *command.Globals, x *store.Saved, r *exercise.Route, rev *advice.Review) error {
	return g.WithDesk(func(d *desk.Desk) error {
		kept, err := d.Record(c.Student, x, r, rev)
		if err != nil {
			return err
		}
		if g.JSON {
			return g.Answer(recorded{c.Student, x.ID, r.Name, kept})
		}
		g.Remark("%s kept for %s; secondpass student progress shows how it adds up", wording.Plural(kept, "decision"), c.Student)
		return nil
	})
}

// recorded is what was kept of a student's route.
type recorded struct {
	Student string `json:"student"`
	// Exercise is the number of the exercise, Decisions how many of the route's were kept.
	Exercise  int64  `json:"exercise"`
	Route     string `json:"route"`
	Decisions int    `json:"decisions"`
}

type studentExportCmd struct {
	studentArg
	command.OutFlag
}

func (c *studentExportCmd) Run(g *command.Globals) error {
	data, err := c.data(g)
	if err != nil {
		return err
	}
	return g.Export(c.Out, data.Write)
}

type studentDeleteCmd struct {
	studentArg
	Yes bool `help:"Do not ask."`
}

// Help says that nothing is left.
func (studentDeleteCmd) Help() string {
	return "What is deleted cannot be restored; secondpass student export keeps it as a file before. You are asked first, unless --yes says so."
}

func (c *studentDeleteCmd) Run(g *command.Globals) error {
	data, err := c.data(g)
	if err != nil {
		return err
	}
	name := data.Student.Name
	what := fmt.Sprintf("%s with %s and %s", name, triesText(len(data.Tries)), wording.Plural(len(data.Charlestons), "Charleston"))
	if sure, err := g.Sure(c.Yes, fmt.Sprintf("Delete %s for good?", what)); err != nil || !sure {
		return err
	}
	return g.WithStore(func(s store.Store) error {
		if err := s.DeleteStudent(name); err != nil {
			return err
		}
		return g.Made(command.Made{Name: name}, "deleted for good: %s", what)
	})
}
