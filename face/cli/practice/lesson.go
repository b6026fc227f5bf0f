package practice

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/face/reader"
	"secondpass/face/reader/onefile"
	"secondpass/paper/draw"
	"secondpass/paper/handout"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/lesson"
)

// Lesson is the command lesson.
type Lesson struct {
	List    lessonListCmd    `cmd:"" help:"All lessons, the one changed last first."`
	New     lessonNewCmd     `cmd:"" help:"Begin a lesson."`
	Add     lessonAddCmd     `cmd:"" help:"Put a drill or a step of an exercise at the end of a lesson."`
	Show    lessonShowCmd    `cmd:"" help:"What a lesson holds."`
	Remove  lessonRemoveCmd  `cmd:"" help:"Take an item out of a lesson."`
	Delete  lessonDeleteCmd  `cmd:"" help:"Put a lesson away; restore brings it back."`
	Restore lessonRestoreCmd `cmd:"" help:"Bring a deleted lesson back, by its number."`
	Handout lessonPaperCmd   `cmd:"" help:"The handout that students write on, as PDF."`
	Answers lessonAnswersCmd `cmd:"" help:"The teacher's answer sheet, as PDF."`
	Page    lessonPageCmd    `cmd:"" name:"reader-page" help:"A lesson as one HTML file that anybody does in a browser, without a network."`
	Export  lessonExportCmd  `cmd:"" help:"Write a lesson to a file."`
	Import  lessonImportCmd  `cmd:"" help:"Read a lesson from a file, checked all through."`
}

// lessonArg is the lesson that a command is about.
type lessonArg struct {
	Lesson string `arg:"" help:"Title or number of the lesson."`
}

// open runs work on the lesson; where that changes it, work saves it.
func (a *lessonArg) open(g *command.Globals, work func(store.Store, *store.SavedLesson) error) error {
	return g.WithStore(func(s store.Store) error {
		x, err := command.FindLesson(s, a.Lesson)
		if err != nil {
			return err
		}
		return work(s, x)
	})
}

// asInput marks an error of what was asked for; failures of the work stay what they are.
func asInput(err error) error {
	if f := (command.Failure{}); err == nil || errors.As(err, &f) {
		return err
	}
	return command.WrongInput(err)
}

type lessonListCmd struct{}

func (c *lessonListCmd) Run(g *command.Globals) error {
	var list []store.LessonEntry
	err := g.WithStore(func(s store.Store) (err error) {
		list, err = s.Lessons()
		return err
	})
	if err != nil {
		return err
	}
	lines := make([]command.Listed, len(list))
	for i, e := range list {
		lines[i] = command.Listed{ID: e.ID, Name: e.Title, Changed: e.Changed}
	}
	return g.PrintList(lines, "title", "No lesson yet. secondpass lesson new begins one.")
}

type lessonNewCmd struct {
	Title string `arg:"" help:"Title of the lesson."`
	Note  string `help:"A word to the students, printed under the title."`
	Ready string `enum:",opening,plans,discards,stopping,blind,courtesy" default:"" placeholder:"NAME" help:"A copy of a lesson that comes with the program: opening, plans, discards, stopping, blind or courtesy."`
}

func (c *lessonNewCmd) Run(g *command.Globals) error {
	l := &lesson.Lesson{}
	if c.Ready != "" {
		var err error
		if l, err = lesson.ReadReady(c.Ready); err != nil {
			return err
		}
	}
	if l.Title = c.Title; c.Note != "" {
		l.Note = c.Note
	}
	if err := l.Check(); err != nil {
		return err
	}
	return g.WithStore(func(s store.Store) error {
		x, err := s.AddLesson(l)
		if err != nil {
			return err
		}
		return g.Made(command.Made{ID: x.ID, Name: l.Title}, "begun: %s (number %d)", l.Title, x.ID)
	})
}

type lessonAddCmd struct {
	lessonArg
	Drill    int64  `placeholder:"N" help:"Number of the drill, as in drill list." group:"What to put in"`
	Exercise string `placeholder:"NAME" help:"Name or number of the exercise." group:"What to put in"`
	Route    string `default:"A" placeholder:"NAME" help:"Its route." group:"What to put in"`
	At       int    `placeholder:"N" help:"Ask after so many decisions of the route; 0 asks at the deal." group:"What to put in"`
	Note     string `help:"Your note on it, printed on the handout."`
}

func (c *lessonAddCmd) Run(g *command.Globals) error {
	if (c.Drill == 0) == (c.Exercise == "") {
		return fmt.Errorf("--drill N or --exercise NAME: one of the two is right")
	}
	if c.Drill != 0 {
		if err := g.HasOwn("--drill", "route", "at"); err != nil {
			return err
		}
	}
	return c.open(g, func(s store.Store, x *store.SavedLesson) error {
		var err error
		if c.Drill != 0 {
			err = c.addDrill(s, x)
		} else {
			err = c.addExercise(s, x)
		}
		if err != nil {
			return err
		}
		if err := s.SaveLesson(x); err != nil {
			return err
		}
		if g.JSON {
			return g.Answer(lessonItems{x.ID, x.Lesson.Title, len(x.Items)})
		}
		g.Remark("%s: %s", x.Lesson.Title, wording.Plural(len(x.Items), "item"))
		return nil
	})
}

func (c *lessonAddCmd) addDrill(s store.Store, x *store.SavedLesson) error {
	d, err := s.Drill(c.Drill)
	if err != nil {
		return err
	}
	crd, err := s.DrillCard(d.Key.Fingerprint)
	if err != nil {
		return err
	}
	return asInput(x.AddDrill(d, crd, c.Note))
}

func (c *lessonAddCmd) addExercise(s store.Store, x *store.SavedLesson) error {
	e, err := s.Load(c.Exercise)
	if err != nil {
		return err
	}
	return asInput(x.AddExercise(e.Exercise, c.Route, c.At, c.Note))
}

// lessonItems is a lesson and how many items it has now.
type lessonItems struct {
	ID    int64  `json:"id"`
	Title string `json:"title"`
	Items int    `json:"items"`
}

type lessonShowCmd struct{ lessonArg }

func (c *lessonShowCmd) Run(g *command.Globals) error {
	return c.open(g, func(_ store.Store, x *store.SavedLesson) error {
		if g.JSON {
			return x.Lesson.Write(g.Stdout)
		}
		fmt.Fprintf(g.Stdout, "%s\n", x.Lesson.Title)
		if x.Lesson.Note != "" {
			fmt.Fprintf(g.Stdout, "%s\n", command.Wrap(g.Stdout, x.Lesson.Note, 0))
		}
		for i := range x.Items {
			if err := printItem(g.Stdout, i+1, &x.Items[i]); err != nil {
				return err
			}
		}
		return nil
	})
}

func printItem(w io.Writer, n int, i *lesson.Item) error {
	board, err := i.Board()
	if err != nil {
		return err
	}
	what := ""
	if i.Drill != nil {
		what = fmt.Sprintf("drill: %s", wording.DrillQuestion(i.Drill))
	} else {
		what = fmt.Sprintf("exercise %s, route %s, after %s", i.Exercise.Name, i.Route, wording.Plural(i.At, "decision"))
	}
	fmt.Fprintf(w, "%3d  %s\n     %s\n", n, command.Wrap(w, what, 5), board.Rack)
	if i.Note != "" {
		fmt.Fprintf(w, "     %s\n", command.Wrap(w, i.Note, 5))
	}
	return nil
}

type lessonRemoveCmd struct {
	lessonArg
	Item int `arg:"" help:"Number of the item, as lesson show counts."`
}

func (c *lessonRemoveCmd) Run(g *command.Globals) error {
	return c.open(g, func(s store.Store, x *store.SavedLesson) error {
		if err := x.Remove(c.Item - 1); err != nil {
			return command.WrongInput(err)
		}
		if err := s.SaveLesson(x); err != nil || !g.JSON {
			return err
		}
		return g.Answer(lessonItems{x.ID, x.Lesson.Title, len(x.Items)})
	})
}

type lessonDeleteCmd struct{ lessonArg }

func (c *lessonDeleteCmd) Run(g *command.Globals) error {
	return c.open(g, func(s store.Store, x *store.SavedLesson) error {
		if err := s.DeleteLesson(x.ID); err != nil {
			return err
		}
		return g.Made(command.Made{ID: x.ID, Name: x.Lesson.Title}, "deleted: %s; secondpass lesson restore %d brings it back", x.Lesson.Title, x.ID)
	})
}

type lessonRestoreCmd struct {
	Number int64 `arg:"" help:"Number of the lesson."`
}

func (c *lessonRestoreCmd) Run(g *command.Globals) error {
	return g.WithStore(func(s store.Store) error {
		if err := s.RestoreLesson(c.Number); err != nil {
			return err
		}
		x, err := s.Lesson(c.Number)
		if err != nil {
			return err
		}
		return g.Made(command.Made{ID: x.ID, Name: x.Lesson.Title}, "restored: %s", x.Lesson.Title)
	})
}

// paperFlags say what is printed on and where it goes.
type paperFlags struct {
	Paper string `default:"letter" enum:"letter,a4" help:"Paper size."`
	Black bool   `help:"In black, for a printer without colour."`
	Out   string `short:"o" required:"" placeholder:"FILE" help:"New PDF file to write, - for standard output."`
}

func (f *paperFlags) write(g *command.Globals, l *lesson.Lesson, build func(*lesson.Lesson, draw.PaperSize) (*draw.Document, error)) error {
	d, err := build(l, map[string]draw.PaperSize{"letter": draw.Letter, "a4": draw.A4}[f.Paper])
	if err != nil {
		return command.Failed(err)
	}
	theme := &draw.Light
	if f.Black {
		theme = &draw.Print
	}
	data, err := d.PDF(theme)
	if err != nil {
		return command.Failed(err)
	}
	return asInput(g.Export(f.Out, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}))
}

type lessonPaperCmd struct {
	lessonArg
	paperFlags
}

func (c *lessonPaperCmd) Run(g *command.Globals) error {
	return c.open(g, func(_ store.Store, x *store.SavedLesson) error { return c.write(g, x.Lesson, handout.Questions) })
}

type lessonAnswersCmd struct {
	lessonArg
	paperFlags
	Games int `default:"1000" placeholder:"N" help:"Short games for each decision of an exercise's routes; 0 leaves them unjudged."`
}

func (c *lessonAnswersCmd) Run(g *command.Globals) error {
	if c.Games < 0 || c.Games > 1_000_000 {
		return fmt.Errorf("--games %d: 0 to 1000000 is right", c.Games)
	}
	var l *lesson.Lesson
	if err := c.open(g, func(_ store.Store, x *store.SavedLesson) error { l = x.Lesson; return nil }); err != nil {
		return err
	}
	reviews, err := c.judge(g, l)
	if err != nil {
		return err
	}
	return c.write(g, l, func(l *lesson.Lesson, paper draw.PaperSize) (*draw.Document, error) {
		return handout.Answers(l, reviews, paper)
	})
}

// judge reviews the routes of the exercises.
func (c *lessonAnswersCmd) judge(g *command.Globals, l *lesson.Lesson) (handout.Reviews, error) {
	if c.Games == 0 {
		return nil, nil
	}
	all := map[*lesson.Item]map[string]*advice.Review{}
	for i := range l.Items {
		item := &l.Items[i]
		if item.Exercise == nil {
			continue
		}
		reviews, err := g.Desk().AnswerRoutes(g.Context, item.Exercise, c.Games, func(route string) { g.Remark("item %d: judging route %s", i+1, route) })
		if err != nil {
			return nil, command.Failed(err)
		}
		all[item] = reviews
	}
	return func(i *lesson.Item, r *exercise.Route) *advice.Review { return all[i][r.Name] }, nil
}

type lessonPageCmd struct {
	lessonArg
	Routes string `default:"after" placeholder:"WHEN" help:"When readers see your own routes of the exercises: after they have come to the end of the passing, always, or never, which leaves them out of the page."`
	Drills bool   `help:"Only the drills."`
	Out    string `short:"o" required:"" placeholder:"FILE" help:"New HTML file to write, - for standard output."`
}

// Help says what the page is.
func (lessonPageCmd) Help() string {
	return "Writes the lesson as one HTML file that your students do in a browser, on a telephone too, without a network: they decide first, then the cost and the reason are told. Any three tiles are an answer where a drill asks for a pass: the engine is in the page and judges them. Exercises are walked on from the moment that the lesson asks about. From a clone the Go tool builds the engine when a page is first asked for, which takes a minute or two."
}

func (c *lessonPageCmd) Run(g *command.Globals) error {
	show := reader.Showing(strings.ToLower(c.Routes))
	if !show.Known() {
		return fmt.Errorf("--routes %q; after, always or never is right", c.Routes)
	}
	var l *lesson.Lesson
	if err := c.open(g, func(_ store.Store, x *store.SavedLesson) error { l = x.Lesson; return nil }); err != nil {
		return err
	}
	if c.Drills {
		if l = l.OnlyDrills(); len(l.Items) == 0 {
			return command.WrongInput(fmt.Errorf("the lesson %q has no drills; lesson add --drill puts some in", l.Title))
		}
	}
	to, err := g.Create(c.Out)
	if err != nil {
		return err
	}
	page, err := onefile.Of(g.Context, g.Desk(), onefile.Subject{Lesson: l}, show, func(said string) { g.Remark("%s", said) })
	switch {
	case onefile.Refused(err), errors.Is(err, onefile.ErrNoEngine):
		return command.WrongInput(err)
	case err != nil:
		return command.Failed(err)
	}
	return to.Export(func(w io.Writer) error {
		_, err := w.Write(page)
		return err
	})
}

type lessonExportCmd struct {
	lessonArg
	command.OutFlag
}

func (c *lessonExportCmd) Run(g *command.Globals) error {
	return c.open(g, func(_ store.Store, x *store.SavedLesson) error {
		return asInput(g.Export(c.Out, x.Lesson.Write))
	})
}

type lessonImportCmd struct {
	File string `arg:"" help:"Lesson file, - for standard input."`
}

func (c *lessonImportCmd) Run(g *command.Globals) error {
	text, err := g.ReadInput(c.File, "a file that secondpass lesson export has written")
	if err != nil {
		return err
	}
	l, err := lesson.Read(bytes.NewReader(text))
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	return g.WithStore(func(s store.Store) error {
		x, err := s.AddLesson(l)
		if err != nil {
			return err
		}
		return g.Made(command.Made{ID: x.ID, Name: l.Title}, "imported: %s (number %d)", l.Title, x.ID)
	})
}
