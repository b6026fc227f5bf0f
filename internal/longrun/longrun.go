// Package longrun keeps what long checks have found so far, so that one which is broken off is taken up where it was.
package longrun

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// line is one piece in a file: of says what it was made with.
type line struct {
	Of     string          `json:"of"`
	Piece  int             `json:"piece"`
	Result json.RawMessage `json:"result"`
}

// Each hands over the results of pieces 0 to n-1 in their order. do makes one, which depends on its number and on what `of` says alone.
// Where path names a file, results that were made before of the same are taken from there, and each that is made is added at once, one
// line of JSON each; without one nothing is kept. It ends at the first error of do or take.
func Each[T any](path, of string, n int, do func(piece int) (T, error), take func(piece int, result T) error) error {
	made, err := read(path, of)
	if err != nil {
		return err
	}
	for piece := range n {
		var result T
		if data, there := made[piece]; there {
			err = json.Unmarshal(data, &result)
		} else if result, err = do(piece); err == nil {
			err = add(path, of, piece, result)
		}
		if err == nil {
			err = take(piece, result)
		}
		if err != nil {
			return fmt.Errorf("piece %d: %w", piece, err)
		}
	}
	return nil
}

// read is the results that a file has. A last line that was cut off is none.
func read(path, of string) (map[int]json.RawMessage, error) {
	made := map[int]json.RawMessage{}
	if path == "" {
		return made, nil
	}
	data, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	for text := range bytes.Lines(data) {
		var l line
		if json.Unmarshal(text, &l) == nil && l.Of == of {
			made[l.Piece] = l.Result
		}
	}
	return made, nil
}

// add adds a result to a file.
func add(path, of string, piece int, result any) error {
	if path == "" {
		return nil
	}
	data, err := json.Marshal(result)
	if err != nil {
		return err
	}
	text, err := json.Marshal(line{of, piece, data})
	if err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR|os.O_APPEND, 0o644)
	if err != nil {
		return err
	}
	// A line that was cut off must not swallow this one.
	if _, err = f.WriteString("\n" + string(text) + "\n"); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
