package practice

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"

	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

type studentAnswersCmd struct {
	File    string `arg:"" help:"The file that the page of drills has saved, - for standard input."`
	Student string `placeholder:"NAME" help:"Whose record they go into; without it the student of the name that was typed into the page."`
}

// Help says whose answers they are.
func (studentAnswersCmd) Help() string {
	return "A name typed into a page is nobody's until a student has it: student add NAME makes one, --student NAME says whose the answers are. The same file again replaces what it put there."
}

func (c *studentAnswersCmd) Run(g *command.Globals) error {
	text, err := g.ReadInput(c.File, "a file that a page of drills has saved")
	if err != nil {
		return err
	}
	f, err := lesson.ReadReturned(bytes.NewReader(text))
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	name := cmp.Or(c.Student, f.Student)
	if name == "" {
		return fmt.Errorf("%s names nobody; --student NAME says whose the answers are", c.File)
	}
	return g.WithDesk(func(d *desk.Desk) error {
		k, err := d.KeepReturned(g.Context, f, name)
		if errors.Is(err, drill.ErrFree) {
			return command.WrongInput(fmt.Errorf("%s: %w", c.File, err))
		}
		if err != nil {
			return command.DiskError(err)
		}
		if g.JSON {
			return g.Answer(keptAnswers{name, k})
		}
		g.Remark("%s of %s kept%s", wording.Plural(k.Kept, "answer"), name, wording.UnknownAnswers(k.Unknown))
		return nil
	})
}

// keptAnswers is what became of a file of answers.
type keptAnswers struct {
	Student string `json:"student"`
	desk.KeptAnswers
}

type studentImportCmd struct {
	File string `arg:"" help:"A file that student export has written, - for standard input."`
	As   string `placeholder:"NAME" help:"Another name, where that of the file is taken here."`
}

func (c *studentImportCmd) Run(g *command.Globals) error {
	text, err := g.ReadInput(c.File, "a file that secondpass student export has written")
	if err != nil {
		return err
	}
	data, err := store.ReadStudentData(bytes.NewReader(text))
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if c.As != "" {
		if err := exercise.CheckName(c.As); err != nil {
			return err
		}
		data.Student.Name = c.As
	}
	return g.WithStore(func(s store.Store) error {
		st, err := s.AddStudentData(data)
		if errors.Is(err, store.ErrNameTaken) {
			return command.WrongInput(fmt.Errorf("%w; --as NAME takes another", err))
		}
		if err != nil {
			return err
		}
		return g.Made(command.Made{ID: st.ID, Name: st.Name}, "imported: %s with %s and %s", st.Name, triesText(len(data.Tries)), wording.Plural(len(data.Charlestons), "Charleston"))
	})
}
