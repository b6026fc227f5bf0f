// Package exercises is the commands about one deal: deal it, say how near it is, walk it along several aims and set the
// routes side by side, and keep it. face/cli calls it, and the walk by hand, which begins and prints as it does.
package exercises

import (
	"bytes"
	"fmt"

	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/rules/tile"
	"secondpass/store"
)

// Exercise is the command exercise.
type Exercise struct {
	List    exerciseListCmd    `cmd:"" help:"All saved exercises, the one changed last first."`
	Show    exerciseShowCmd    `cmd:"" help:"One exercise with its routes side by side."`
	Rename  exerciseRenameCmd  `cmd:"" help:"Give an exercise another name."`
	Delete  exerciseDeleteCmd  `cmd:"" help:"Put an exercise away; restore brings it back."`
	Restore exerciseRestoreCmd `cmd:"" help:"Bring a deleted exercise back."`
	Export  exerciseExportCmd  `cmd:"" help:"Write an exercise to a file."`
	Import  exerciseImportCmd  `cmd:"" help:"Read an exercise from a file, checked all through."`
	Code    exerciseCodeCmd    `cmd:"" help:"The reply code of a route: its passing in about 30 letters."`
}

type exerciseListCmd struct {
	Deleted bool   `help:"Those that were deleted instead."`
	Named   string `placeholder:"TEXT" help:"Only those with this in their name."`
	OnCard  string `placeholder:"NAME" help:"Only those on a card with this in its name."`
	Has     string `placeholder:"TILES" help:"Only those dealt these tiles."`
	Aim     string `placeholder:"NAME" help:"Only those with a route that was aimed at a section or hand with this in its name, at any step."`
}

func (c *exerciseListCmd) Run(g *command.Globals) error {
	wish := store.Wish{Name: c.Named, Card: c.OnCard, Aim: c.Aim}
	has, err := tile.ParseList(c.Has)
	if err != nil {
		return fmt.Errorf("--has: %w", err)
	}
	wish.Has = tile.RackOf(has...)
	asked := wish.Name != "" || !wish.ByName()
	if asked && c.Deleted {
		return fmt.Errorf("--deleted lists all deleted exercises; search among the others, without it")
	}
	var list []store.Entry
	err = g.WithStore(func(s store.Store) (err error) {
		if asked {
			list, err = s.Search(wish)
		} else {
			list, err = s.List(c.Deleted)
		}
		return err
	})
	if err != nil {
		return err
	}
	lines := make([]command.Listed, len(list))
	for i, e := range list {
		lines[i] = command.Listed{ID: e.ID, Name: e.Name, Changed: e.Changed}
	}
	none := "No exercise yet. secondpass walk deals one."
	if asked {
		none = "No exercise fits that."
	}
	return g.PrintList(lines, "name", none)
}

type exerciseShowCmd struct{ command.ExerciseArg }

func (c *exerciseShowCmd) Run(g *command.Globals) error {
	return (&Compare{Exercise: c.Exercise}).Run(g)
}

type exerciseRenameCmd struct {
	command.ExerciseArg
	Name string `arg:"" help:"The new name."`
}

func (c *exerciseRenameCmd) Run(g *command.Globals) error {
	if err := exercise.CheckName(c.Name); err != nil {
		return err
	}
	return g.WithStore(func(s store.Store) error {
		x, err := s.Load(c.Exercise)
		if err == nil {
			err = s.Rename(c.Exercise, c.Name)
		}
		if err != nil {
			return err
		}
		return g.Made(command.Made{ID: x.ID, Name: c.Name}, "renamed: %s is %s now", x.Entry.Name, c.Name)
	})
}

type exerciseDeleteCmd struct{ command.ExerciseArg }

func (c *exerciseDeleteCmd) Run(g *command.Globals) error {
	return g.WithStore(func(s store.Store) error {
		e, err := s.Delete(c.Exercise)
		if err != nil {
			return err
		}
		return g.Made(command.Made{ID: e.ID, Name: e.Name}, "deleted: %s; secondpass exercise restore %d brings it back", e.Name, e.ID)
	})
}

type exerciseRestoreCmd struct{ command.ExerciseArg }

func (c *exerciseRestoreCmd) Run(g *command.Globals) error {
	return g.WithStore(func(s store.Store) error {
		e, err := s.Restore(c.Exercise)
		if err != nil {
			return err
		}
		return g.Made(command.Made{ID: e.ID, Name: e.Name}, "restored: %s", e.Name)
	})
}

type exerciseExportCmd struct {
	command.ExerciseArg
	command.OutFlag
}

func (c *exerciseExportCmd) Run(g *command.Globals) error {
	x, err := g.LoadExercise(c.Exercise)
	if err != nil {
		return err
	}
	return g.Export(c.Out, x.Write)
}

type exerciseImportCmd struct {
	File string `arg:"" help:"Exercise file, - for standard input."`
	Name string `placeholder:"NAME" help:"Keep it under this name."`
}

func (c *exerciseImportCmd) Run(g *command.Globals) error {
	text, err := g.ReadInput(c.File, "a file that secondpass exercise export has written")
	if err != nil {
		return err
	}
	e, err := exercise.Read(bytes.NewReader(text))
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if c.Name != "" {
		if err := exercise.CheckName(c.Name); err != nil {
			return err
		}
		e.Name = c.Name
	}
	return g.WithStore(func(s store.Store) error {
		x, err := s.Add(e)
		if err != nil {
			return err
		}
		return g.Made(command.Made{ID: x.ID, Name: x.Exercise.Name}, "imported: %s (number %d)", x.Exercise.Name, x.ID)
	})
}
