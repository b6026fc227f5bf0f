//go:build unix

package cli

import (
	"io"
	"testing"
)

// readTerminal reads what the other side of a pseudo-terminal writes until that is closed. Linux tells of the close, by an error,
// also where the last that was written is still on its way between the two sides (n_tty_read of drivers/tty/n_tty.c looks for both
// without a lock over both); a read after that delivers it, so that only a second error in a row is the end.
func readTerminal(terminal io.Reader, shown func(part []byte)) {
	part := make([]byte, 4096)
	for closed := 0; closed < 2; {
		n, err := terminal.Read(part)
		shown(part[:n])
		if closed++; err == nil {
			closed = 0
		}
	}
}

// lateReader tells of its end once too early.
type lateReader struct{ parts []string }

func (r *lateReader) Read(p []byte) (int, error) {
	if len(r.parts) == 0 {
		return 0, io.EOF
	}
	n := copy(p, r.parts[0])
	if r.parts = r.parts[1:]; n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func TestReadTerminal(t *testing.T) {
	shown := ""
	readTerminal(&lateReader{parts: []string{"first ", "", "last"}}, func(part []byte) { shown += string(part) })
	if shown != "first last" {
		t.Errorf("%q is read of first and last", shown)
	}
}
