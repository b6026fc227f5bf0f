package cli

import (
	"fmt"
	"io"
	"os"
	"time"

	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/store"
)

type exerciseCmd struct {
	List    exerciseListCmd    `cmd:"" help:"All saved exercises, the one changed last first."`
	Show    exerciseShowCmd    `cmd:"" help:"One exercise with its routes side by side."`
	Rename  exerciseRenameCmd  `cmd:"" help:"Give an exercise another name."`
	Delete  exerciseDeleteCmd  `cmd:"" help:"Put an exercise away; restore brings it back."`
	Restore exerciseRestoreCmd `cmd:"" help:"Bring a deleted exercise back."`
	Export  exerciseExportCmd  `cmd:"" help:"Write an exercise to a file."`
	Import  exerciseImportCmd  `cmd:"" help:"Read an exercise from a file, checked all through."`
}

// withStore opens the store for one piece of work.
func (g *Globals) withStore(work func(store.Store) error) error {
	s, err := g.store()
	if err != nil {
		return err
	}
	defer s.Close()
	return storeError(work(s))
}

// withDesk is withStore for what the desk does.
func (g *Globals) withDesk(work func(*desk.Desk) error) error {
	return g.withStore(func(s store.Store) error { return work(&desk.Desk{Store: s, Files: g.files()}) })
}

func (g *Globals) loadExercise(ref string) (x *store.Saved, err error) {
	err = g.withStore(func(s store.Store) error {
		x, err = s.Load(ref)
		return err
	})
	return x, err
}

type exerciseListCmd struct {
	Deleted bool `help:"Those that were deleted instead."`
}

func (c *exerciseListCmd) Run(g *Globals) error {
	var list []store.Entry
	err := g.withStore(func(s store.Store) (err error) {
		list, err = s.List(c.Deleted)
		return err
	})
	if err != nil {
		return err
	}
	lines := make([]listed, len(list))
	for i, e := range list {
		lines[i] = listed{e.ID, e.Name, e.Changed}
	}
	return g.printList(lines, "name", "No exercise yet. secondpass walk deals one.")
}

// listed is a line of a list of saved things.
type listed struct {
	id      int64
	name    string
	changed time.Time
}

// printList prints saved things; field is what JSON calls the name, none what is said where there are none.
func (g *Globals) printList(list []listed, field, none string) error {
	if g.JSON {
		entries := []map[string]any{}
		for _, e := range list {
			entries = append(entries, map[string]any{"id": e.id, field: e.name, "changed": e.changed.UTC().Format(time.RFC3339)})
		}
		return writeJSON(g.stdout, entries)
	}
	if len(list) == 0 {
		g.remark("%s", none)
	}
	for _, e := range list {
		fmt.Fprintf(g.stdout, "%4d  %s  %s\n", e.id, e.changed.Local().Format("2006-01-02 15:04"), e.name)
	}
	return nil
}

// nameArg is the exercise that a command is about.
type nameArg struct {
	Exercise string `arg:"" help:"Name or number of the exercise."`
}

type exerciseShowCmd struct{ nameArg }

func (c *exerciseShowCmd) Run(g *Globals) error {
	return (&compareCmd{Exercise: c.Exercise}).Run(g)
}

type exerciseRenameCmd struct {
	nameArg
	Name string `arg:"" help:"The new name."`
}

func (c *exerciseRenameCmd) Run(g *Globals) error {
	if err := exercise.CheckName(c.Name); err != nil {
		return err
	}
	return g.withStore(func(s store.Store) error { return s.Rename(c.Exercise, c.Name) })
}

type exerciseDeleteCmd struct{ nameArg }

func (c *exerciseDeleteCmd) Run(g *Globals) error {
	return g.withStore(func(s store.Store) error {
		e, err := s.Delete(c.Exercise)
		if err == nil {
			g.remark("deleted: %s; secondpass exercise restore %d brings it back", e.Name, e.ID)
		}
		return err
	})
}

type exerciseRestoreCmd struct{ nameArg }

func (c *exerciseRestoreCmd) Run(g *Globals) error {
	return g.withStore(func(s store.Store) error {
		e, err := s.Restore(c.Exercise)
		if err == nil {
			g.remark("restored: %s", e.Name)
		}
		return err
	})
}

type exerciseExportCmd struct {
	nameArg
	File string `arg:"" optional:"" help:"File to write; without it, or with -, the exercise is printed."`
}

func (c *exerciseExportCmd) Run(g *Globals) error {
	x, err := g.loadExercise(c.Exercise)
	if err != nil {
		return err
	}
	if c.File == "" || c.File == "-" {
		return x.Write(g.stdout)
	}
	return writeNew(g, c.File, x.Write)
}

// open is a file to read, or standard input for -.
func (g *Globals) open(file string) (io.ReadCloser, error) {
	if file == "-" {
		return io.NopCloser(g.stdin), nil
	}
	return os.Open(file)
}

type exerciseImportCmd struct {
	File string `arg:"" help:"Exercise file, - for standard input."`
	Name string `placeholder:"NAME" help:"Keep it under this name."`
}

func (c *exerciseImportCmd) Run(g *Globals) error {
	in, err := g.open(c.File)
	if err != nil {
		return err
	}
	defer in.Close()
	e, err := exercise.Read(in)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if c.Name != "" {
		if err := exercise.CheckName(c.Name); err != nil {
			return err
		}
		e.Name = c.Name
	}
	return g.withStore(func(s store.Store) error {
		x, err := s.Add(e)
		if err != nil {
			return err
		}
		g.remark("imported: %s (number %d)", x.Exercise.Name, x.ID)
		return nil
	})
}
