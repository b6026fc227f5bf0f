package command

import (
	"errors"
	"fmt"
	"io"
	"os"
)

// WriteNew writes a file that must not be there yet.
func WriteNew(g *Globals, path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return fmt.Errorf("%s is there already; name a new file", path)
	}
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	if err := errors.Join(write(f), f.Close()); err != nil {
		return Failed(fmt.Errorf("%s could not be written: %w", path, err))
	}
	g.Remark("written: %s", path)
	return nil
}

// Open is a file to read, or standard input for -.
func (g *Globals) Open(file string) (io.ReadCloser, error) {
	if file == "-" {
		return io.NopCloser(g.Stdin), nil
	}
	return os.Open(file)
}

// FileExists says whether something stands at a path.
func FileExists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
