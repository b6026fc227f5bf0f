package command

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/tile"
)

// MaxLine bounds a line of standard input, in bytes.
const MaxLine = 1 << 20

// Refusal answers a line of the input that is refused.
type Refusal struct {
	Error string `json:"error"`
}

// AnswerLines answers each line of standard input with one line of JSON; answer is told the
// line's number, counted from 1. A line that is refused is answered with its error.
func AnswerLines(g *Globals, answer func(line uint64, text []byte) (any, error)) error {
	in, err := g.Open(Std)
	if err != nil {
		return err
	}
	lines := bufio.NewReaderSize(in, MaxLine)
	for n := uint64(1); ; n++ {
		text, err := readLine(lines)
		if err == io.EOF {
			return nil
		}
		if errors.Is(err, ErrInterrupted) {
			return err
		}
		var reply any
		if err == nil {
			reply, err = answer(n, text)
		}
		if err != nil {
			reply = Refusal{Error: err.Error()}
		}
		if err := g.Answer(reply); err != nil {
			return err
		}
	}
}

// readLine reads a line without its end. One that is too long is an error and is skipped; io.EOF
// says that no line is left.
func readLine(r *bufio.Reader) ([]byte, error) {
	line, err := r.ReadSlice('\n')
	if err == bufio.ErrBufferFull {
		for err == bufio.ErrBufferFull {
			_, err = r.ReadSlice('\n')
		}
		return nil, fmt.Errorf("the line is longer than %d bytes", MaxLine)
	}
	if errors.Is(err, ErrInterrupted) { // half a line is no question
		return nil, err
	}
	if len(line) == 0 && err != nil {
		return nil, io.EOF
	}
	return bytes.TrimSuffix(bytes.TrimSuffix(line, []byte("\n")), []byte("\r")), nil
}

// DecodeLine reads one JSON object and nothing else.
func DecodeLine(text []byte, v any) error {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		return fmt.Errorf("no such object: %w", exercise.JSONError(text, err))
	}
	if dec.More() {
		return fmt.Errorf("more than one object in the line")
	}
	return nil
}

// ParseRack reads a player's rack: 13 or 14 tiles.
func ParseRack(text string, set tile.Set) (tile.Rack, error) {
	rack, err := tile.Parse(text, set)
	if err != nil {
		return rack, fmt.Errorf("rack %q: %w", text, err)
	}
	if n := rack.Size(); n != 13 && n != 14 {
		return rack, fmt.Errorf("rack %q has %s; a player's rack has 13 or 14", text, wording.Plural(n, "tile"))
	}
	return rack, nil
}
