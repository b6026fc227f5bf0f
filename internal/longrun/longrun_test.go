package longrun

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// A run that is broken off goes on where it was, also after a line that was cut off; what was made with something else is not taken.
func TestEachGoesOn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "run")
	broken := errors.New("broken off")
	var made, taken []int
	run := func(of string, n, breaks int) error {
		made, taken = nil, nil
		return Each(path, of, n, func(piece int) (int, error) {
			if piece == breaks {
				return 0, broken
			}
			made = append(made, piece)
			return piece * piece, nil
		}, func(_, result int) error {
			taken = append(taken, result)
			return nil
		})
	}
	if err := run("a", 5, 3); !errors.Is(err, broken) || !slices.Equal(made, []int{0, 1, 2}) {
		t.Fatalf("made %v: %v", made, err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data[:len(data)-4], 0o644); err != nil {
		t.Fatal(err)
	}
	if err := run("a", 5, -1); err != nil || !slices.Equal(made, []int{2, 3, 4}) || !slices.Equal(taken, []int{0, 1, 4, 9, 16}) {
		t.Errorf("made %v, handed over %v: %v", made, taken, err)
	}
	if err := run("b", 2, -1); err != nil || !slices.Equal(made, []int{0, 1}) {
		t.Errorf("of something else, made %v: %v", made, err)
	}
	if err := run("a", 6, -1); err != nil || !slices.Equal(made, []int{5}) || len(taken) != 6 {
		t.Errorf("one more, made %v, handed over %v: %v", made, taken, err)
	}
	path = ""
	if err := run("a", 2, -1); err != nil || len(made) != 2 {
		t.Errorf("without a file, made %v: %v", made, err)
	}
}
