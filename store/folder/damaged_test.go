package folder_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"secondpass/store"
	"secondpass/store/folder"
	"secondpass/store/sql"
)

// damages are forty ways in which a data file is not what it was: cut short, with bytes flipped, with pages lost or
// written elsewhere, and with a beginning that is not its own.
func damages() map[string]func(data []byte) []byte {
	const page = 4096
	all := map[string]func([]byte) []byte{
		"empty":       func([]byte) []byte { return []byte{} },
		"text":        func([]byte) []byte { return []byte(strings.Repeat("no database ", 2000)) },
		"zeros":       func(d []byte) []byte { clear(d); return d },
		"no name":     func(d []byte) []byte { copy(d, "xxxxxxxxxxxxxxxx"); return d },
		"no header":   func(d []byte) []byte { clear(d[:100]); return d },
		"page size":   func(d []byte) []byte { d[16], d[17] = 0x20, 0; return d },
		"no schema":   func(d []byte) []byte { clear(d[100:page]); return d },
		"later form":  func(d []byte) []byte { d[18], d[19] = 9, 9; return d },
		"first twice": func(d []byte) []byte { copy(d[5*page:6*page], d[:page]); return d },
		"doubled":     func(d []byte) []byte { return append(d, d...) },
	}
	for i := range 10 {
		all[fmt.Sprintf("cut %d", i)] = func(d []byte) []byte { return d[:len(d)*(i+1)/11-i] }
		all[fmt.Sprintf("page %d lost", i)] = func(d []byte) []byte {
			at := len(d) / page * (i + 1) / 11 * page
			clear(d[at : at+page])
			return d
		}
		all[fmt.Sprintf("flipped %d", i)] = func(d []byte) []byte {
			r := rand.New(rand.NewPCG(uint64(i), 7))
			for range 1 + i*10 {
				d[r.IntN(len(d))] ^= byte(1 << r.IntN(8))
			}
			return d
		}
	}
	return all
}

// Whatever was done to the file, opening it either works or says in one sentence that it is damaged; what is read is
// what was kept, or is said to be damaged; and what is saved into a new folder is sound.
func TestDamagedFiles(t *testing.T) {
	dir, documents := full(t, 40)
	whole, err := os.ReadFile(filepath.Join(dir, sql.FileName))
	if err != nil {
		t.Fatal(err)
	}
	if len(damages()) != 40 {
		t.Fatalf("%d ways", len(damages()))
	}
	opened, rescued := 0, 0
	for name, damage := range damages() {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.WriteFile(filepath.Join(dir, sql.FileName), damage(append([]byte{}, whole...)), 0o600); err != nil {
				t.Fatal(err)
			}
			saved := filepath.Join(t.TempDir(), "saved")
			_, err := folder.Rescue(dir, saved)
			if err != nil {
				t.Fatal(err)
			}
			if compared(t, dir, documents) {
				opened++
			}
			s := open(t, saved)
			defer s.Close()
			list, err := s.List(false)
			if err != nil || s.Sound() != nil {
				t.Errorf("saved: %v, %v", err, s.Sound())
			}
			for _, e := range list {
				switch x, err := s.Load(fmt.Sprint(e.ID)); {
				case err == nil && document(t, x.Exercise) != documents[x.Entry.Name]:
					t.Errorf("saved: %q is another", e.Name)
				case err == nil:
					rescued++
				case !errors.Is(err, store.ErrDamaged):
					t.Error(err)
				}
			}
		})
	}
	t.Logf("%d of 40 opened, %d of %d exercises saved", opened, rescued, 40*len(documents))
	if rescued < 40*len(documents)/3 {
		t.Errorf("only %d of %d exercises were saved", rescued, 40*len(documents))
	}
}

// compared opens a folder and compares what can be read with what was kept; it says whether it opened.
func compared(t *testing.T, dir string, documents map[string]string) bool {
	plain := func(err error) {
		t.Helper()
		if !errors.Is(err, store.ErrDamaged) || strings.ContainsAny(err.Error(), "\n(") || strings.Contains(err.Error(), "SQL") {
			t.Errorf("not a sentence: %v", err)
		}
	}
	s, err := sql.Open(dir)
	if err != nil {
		plain(err)
		return false
	}
	defer s.Close()
	if err := s.Sound(); err != nil {
		plain(err)
	}
	list, err := s.List(false)
	if err != nil {
		plain(err)
	}
	for _, e := range list {
		x, err := s.Load(fmt.Sprint(e.ID))
		if err != nil {
			if !errors.Is(err, store.ErrNotFound) {
				plain(err)
			}
			continue
		}
		if document(t, x.Exercise) != documents[x.Entry.Name] {
			t.Errorf("%q is shown as right, and is another", e.Name)
		}
	}
	return true
}
