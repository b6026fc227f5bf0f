// Package command is what all commands share: the flags that every one takes, the house rules as flags, the opening of the
// data folder, cards and exercises, and how text, JSON, progress and errors go to the terminal. It knows no command; those
// of the packages beside it call it, and face/cli, which reads the line.
package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"strconv"
	"sync"

	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// The exit statuses.
const (
	ExitDone   = 0
	ExitFailed = 1 // the work failed
	ExitInput  = 2 // the input or the arguments are wrong
	// ExitInterrupted: Ctrl-C was pressed; what was done so far is kept and told.
	ExitInterrupted = 130
)

// Globals are the flags that every command takes.
type Globals struct {
	Data  string `placeholder:"DIR" help:"Folder of saved exercises and cards."`
	Seed  uint64 `default:"1" help:"Seed of everything drawn at random. Without it deal, walk and drill read draw another each time and say it, and what is judged of a saved exercise goes by the exercise's own."`
	Card  string `default:"Lantern" placeholder:"FILE|NAME" help:"Card to use: a file, a card in the data folder, or Lantern, the practice card."`
	JSON  bool   `name:"json" help:"Machine-readable output."`
	Quiet bool   `help:"No progress and no remarks."`
	// Workers is asked for by WorkersURL.
	Workers string `placeholder:"URL" help:"Send long work to the workers of this PostgreSQL database; the command work says how they join."`

	// Flags are the names of the flags that were given; Seeded says that --seed is one of them, CardGiven that --card is.
	Flags     []string        `kong:"-"`
	Seeded    bool            `kong:"-"`
	CardGiven bool            `kong:"-"`
	Context   context.Context `kong:"-"` // ends on an interrupt
	// Serving says that Ctrl-C is how the command is meant to end.
	Serving bool      `kong:"-"`
	Stdin   io.Reader `kong:"-"`
	Stdout  io.Writer `kong:"-"`
	Stderr  io.Writer `kong:"-"`

	mu         sync.Mutex
	unwritten  []*Target
	stdinTaken bool
	config     config
	basis      basis
}

// Given says whether a flag was given.
func (g *Globals) Given(flag string) bool { return slices.Contains(g.Flags, flag) }

// mostSeed is the greatest seed that is drawn: one that can be typed again.
const mostSeed = 999_999

// FreshSeed draws a seed, where none was given, for what is to be another each time.
func (g *Globals) FreshSeed() {
	if !g.Seeded {
		g.Seed = 1 + rand.Uint64N(mostSeed)
	}
}

// Failure marks an error of the work, as against one of the input.
type Failure struct{ error }

// Failed marks an error as one of the work.
func Failed(err error) error { return Failure{err} }

// Unwrap is the error without the mark.
func (f Failure) Unwrap() error { return f.error }

// inputError is an error of the input that comes up inside work with the store.
type inputError struct{ error }

// WrongInput marks an error as one of the input.
func WrongInput(err error) error { return inputError{err} }

// StoreError marks what went wrong inside the store; unknown and taken names are the user's.
func StoreError(err error) error {
	input := inputError{}
	if err == nil || errors.As(err, &input) {
		return err
	}
	for _, users := range []error{store.ErrNotFound, store.ErrSeveral, store.ErrNameTaken, store.ErrNoDrill, store.ErrNoStudent, store.ErrNoLesson} {
		if errors.Is(err, users) {
			return err
		}
	}
	return Failed(err)
}

// Store opens the database of exercises.
func (g *Globals) Store() (store.Store, error) {
	s, err := g.database()
	if err != nil {
		return nil, err
	}
	return s, nil
}

func (g *Globals) database() (*sql.Store, error) {
	s, err := sql.Open(g.DataDir())
	if err != nil {
		return nil, Failed(Helped(err))
	}
	return s, nil
}

// Helped says what to do about a data file that cannot be used.
func Helped(err error) error {
	if errors.Is(err, store.ErrDamaged) {
		return fmt.Errorf("%w; secondpass check-data says what can be saved of it, secondpass restore FILE brings a backup or a snapshot back", err)
	}
	return err
}

// WithDatabase is WithStore for what needs to know where things are kept.
func (g *Globals) WithDatabase(work func(*sql.Store) error) error {
	s, err := g.database()
	if err != nil {
		return err
	}
	defer s.Close()
	return StoreError(work(s))
}

// WithStore opens the store for one piece of work.
func (g *Globals) WithStore(work func(store.Store) error) error {
	s, err := g.Store()
	if err != nil {
		return err
	}
	defer s.Close()
	return StoreError(work(s))
}

// WithDesk is WithStore for what the desk does.
func (g *Globals) WithDesk(work func(*desk.Desk) error) error {
	return g.WithStore(func(s store.Store) error { return work(&desk.Desk{Store: s, Files: g.Files()}) })
}

// Desk is the desk where only files are asked for.
func (g *Globals) Desk() *desk.Desk { return &desk.Desk{Files: g.Files()} }

// LoadExercise is a saved exercise, by its name or number.
func (g *Globals) LoadExercise(ref string) (x *store.Saved, err error) {
	err = g.WithStore(func(s store.Store) error {
		x, err = s.Load(ref)
		return err
	})
	return x, err
}

// FindLesson is a saved lesson, by its title or number.
func FindLesson(s store.Store, ref string) (*store.SavedLesson, error) {
	id, err := s.FindLesson(ref)
	if err != nil {
		id, err = strconv.ParseInt(ref, 10, 64)
	}
	var x *store.SavedLesson
	if err == nil {
		x, err = s.Lesson(id)
	}
	if err != nil {
		return nil, fmt.Errorf("%q: %w; secondpass lesson list shows them", ref, store.ErrNoLesson)
	}
	return x, nil
}

// LoadRoute is a route of a saved exercise by its name, or the last one.
func (g *Globals) LoadRoute(ref, name string) (*store.Saved, *exercise.Route, error) {
	x, err := g.LoadExercise(ref)
	if err != nil {
		return nil, nil, err
	}
	if name == "" {
		return x, x.Routes[len(x.Routes)-1], nil
	}
	r, err := x.Exercise.Route(name)
	return x, r, err
}

// Files is what stands in files of the data folder.
func (g *Globals) Files() store.Files {
	f := files.In(g.DataDir(), func(sentence string) { g.Remark("secondpass: warning: %s", sentence) })
	f.Tunings = noting{f.Tunings, g}
	f.Shelf = files.Shelf(CacheDir())
	return f
}

// Remark prints a line on standard error unless --quiet.
func (g *Globals) Remark(format string, args ...any) {
	if !g.Quiet {
		fmt.Fprintf(g.Stderr, format+"\n", args...)
	}
}

// ExerciseArg is the exercise that a command is about.
type ExerciseArg struct {
	Exercise string `arg:"" help:"Name or number of the exercise."`
}
