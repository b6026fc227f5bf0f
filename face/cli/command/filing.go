package command

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Std is the name that stands for standard input and for standard output.
const Std = "-"

// OutFlag says where a command writes that prints otherwise.
type OutFlag struct {
	Out string `short:"o" placeholder:"FILE" help:"New file to write; without it, or with -, it is printed."`
}

// Target is where a command writes: standard output, or a new file that is there from before the work begins, so that nothing is
// worked out that cannot be written.
type Target struct {
	g    *Globals
	path string
	file *os.File // nil for standard output, and once it is written
}

// Create opens the new file of a name; "" and - are standard output. Until [Target.Write] has written it, the file goes again
// when the command ends.
func (g *Globals) Create(path string) (*Target, error) {
	t := &Target{g: g, path: path}
	if t.Printed() {
		return t, nil
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, cannotWrite(path, err)
	}
	t.file = f
	g.mu.Lock()
	defer g.mu.Unlock()
	g.unwritten = append(g.unwritten, t)
	return t, nil
}

// cannotWrite says why a new file cannot be written.
func cannotWrite(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%s is there already; name a new file", path)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s cannot be written: there is no folder %s; name a file in one that is there", path, filepath.Dir(path))
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s cannot be written: you may not write in %s; name a file elsewhere", path, filepath.Dir(path))
	}
	return fmt.Errorf("%s cannot be written: %w; name another file", path, errors.Unwrap(err))
}

// Printed says that it is standard output.
func (t *Target) Printed() bool { return t.path == "" || t.path == Std }

// Write writes all of it and says where.
func (t *Target) Write(fill func(io.Writer) error) error {
	if t.Printed() {
		return fill(Verbatim(t.g.Stdout))
	}
	if err := errors.Join(fill(t.file), t.file.Close()); err != nil {
		return Failed(fmt.Errorf("%s could not be written: %w", t.path, err))
	}
	t.g.mu.Lock()
	t.file = nil
	t.g.mu.Unlock()
	t.g.Remark("written: %s", t.path)
	return nil
}

// Export is Write of a document, which answers programs with its name where it is a file.
func (t *Target) Export(fill func(io.Writer) error) error {
	if err := t.Write(fill); err != nil || t.Printed() || !t.g.JSON {
		return err
	}
	return t.g.Answer(Made{File: t.path})
}

// Export writes a document to a new file, or to standard output, at once.
func (g *Globals) Export(path string, fill func(io.Writer) error) error {
	t, err := g.Create(path)
	if err != nil {
		return err
	}
	return t.Export(fill)
}

// WriteNew writes a new file, or standard output, at once.
func (g *Globals) WriteNew(path string, fill func(io.Writer) error) error {
	t, err := g.Create(path)
	if err != nil {
		return err
	}
	return t.Write(fill)
}

// RemoveUnwritten removes the files that were opened and came to nothing.
func (g *Globals) RemoveUnwritten() {
	g.mu.Lock()
	defer g.mu.Unlock()
	for _, t := range g.unwritten {
		if t.file != nil {
			t.file.Close()
			os.Remove(t.path)
		}
	}
	g.unwritten = nil
}

// ReadInput reads a file, or standard input for -; what says in the error what is right.
func (g *Globals) ReadInput(path, right string) ([]byte, error) {
	var data []byte
	in, err := g.Open(path)
	if err == nil {
		data, err = io.ReadAll(in)
		in.Close()
	}
	var cannot *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no file %s; %s is right", path, right)
	case errors.As(err, &cannot):
		return nil, fmt.Errorf("%s cannot be read: %w; %s is right", path, cannot.Err, right)
	}
	return data, err
}

// Open is a file to read, or standard input for -, which can be read once.
func (g *Globals) Open(path string) (io.ReadCloser, error) {
	if path != Std {
		return os.Open(path)
	}
	if g.stdinTaken {
		return nil, errors.New("standard input can be read once; only one - is right")
	}
	g.stdinTaken = true
	return io.NopCloser(g.Stdin), nil
}

// FileExists says whether something stands at a path.
func FileExists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
