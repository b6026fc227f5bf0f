package files_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"secondpass/store/files"
)

// What is put on a shelf is there for the next program; what the disk has changed is not, nor is it an error; one that cannot be
// written to keeps nothing.
func TestShelf(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "cache")
	shelf := files.Shelf(dir)
	if data := shelf.Take("level-1"); data != nil {
		t.Errorf("%q on an empty shelf", data)
	}
	shelf.Put("level-1", []byte(`{"first":1}`))
	shelf.Put("level-2", []byte("line\nline"))
	for key, want := range map[string]string{"level-1": `{"first":1}`, "level-2": "line\nline", "level-3": ""} {
		if got := string(files.Shelf(dir).Take(key)); got != want {
			t.Errorf("%s: %q, %q is right", key, got, want)
		}
	}
	all, err := filepath.Glob(filepath.Join(dir, "level-1.*"))
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	text, err := os.ReadFile(all[0])
	if err != nil {
		t.Fatal(err)
	}
	for _, damage := range []string{string(text[:len(text)-1]), "", string(text[:len(text)-2]) + "2}"} {
		if err := os.WriteFile(all[0], []byte(damage), 0o600); err != nil {
			t.Fatal(err)
		}
		if data := shelf.Take("level-1"); data != nil {
			t.Errorf("%q of %q", data, damage)
		}
	}
	blocked := files.Shelf(filepath.Join(all[0], "folder"))
	blocked.Put("level-1", []byte("x"))
	if data := blocked.Take("level-1"); data != nil {
		t.Errorf("%q where nothing can be kept", data)
	}
}

// Of too many files the oldest go.
func TestShelfMakesRoom(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for i := range 300 {
		path := filepath.Join(dir, fmt.Sprintf("level-%d.other.json", i))
		at := time.Now().Add(time.Duration(i-1000) * time.Minute)
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
	}
	shelf := files.Shelf(dir)
	shelf.Put("level-new", []byte("new"))
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 256 || string(shelf.Take("level-new")) != "new" {
		t.Errorf("%d files, %v", len(left), err)
	}
	for i := range 300 {
		_, err := os.Stat(filepath.Join(dir, fmt.Sprintf("level-%d.other.json", i)))
		if there := err == nil; there != (i >= 45) {
			t.Errorf("file %d is there: %v", i, there)
		}
	}
}
