package files

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"secondpass/research/experiment"
	"secondpass/store"
)

// results is the results of experiments: experiments/NAME.json, and experiments/ready/NAME.json, whose names are written
// "ready/NAME". What an earlier program kept in the folder studies stays there and is read, gone on with and deleted as
// the rest.
type results struct {
	dir string
	// earlier is where results were kept when experiments were called studies.
	earlier string
}

// Where is the file of a result, or the folder for new ones.
func (s results) Where(name string) string {
	if name == "" {
		return s.dir
	}
	return s.path(name)
}

// path is the file of a result; the name must have passed CheckResultName.
func (s results) path(name string) string { return s.file(name, store.ResultExt) }

// file is where the file of a name and ending is, or would be.
func (s results) file(name, ext string) string {
	file := filepath.FromSlash(name) + ext
	path, earlier := filepath.Join(s.dir, file), filepath.Join(s.earlier, file)
	if !isThere(path) && isThere(earlier) {
		return earlier
	}
	return path
}

func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// List is the results, the last changed first.
func (s results) List() ([]store.ResultEntry, error) {
	var all []store.ResultEntry
	seen := map[string]bool{}
	for _, folder := range []string{s.dir, s.earlier} {
		for _, prefix := range []string{"", store.ReadyFolder + "/"} {
			files, err := os.ReadDir(filepath.Join(folder, filepath.FromSlash(prefix)))
			if err != nil && !errors.Is(err, os.ErrNotExist) {
				return nil, err
			}
			for _, f := range files {
				base, ok := strings.CutSuffix(f.Name(), store.ResultExt)
				info, err := f.Info()
				if !ok || f.IsDir() || err != nil { // it may be gone meanwhile
					continue
				}
				if name := prefix + base; !seen[name] && store.CheckResultName(name) == nil {
					seen[name] = true
					all = append(all, store.ResultEntry{Name: name, Changed: info.ModTime(), Size: info.Size()})
				}
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Changed.After(all[j].Changed) })
	return all, nil
}

// Read is a result as it was last kept; the error wraps os.ErrNotExist where there is none of that name.
func (s results) Read(name string) (*experiment.Result, error) {
	if err := store.CheckResultName(name); err != nil {
		return nil, errors.Join(os.ErrNotExist, err)
	}
	data, err := os.ReadFile(s.path(name))
	if err != nil {
		return nil, err
	}
	return experiment.ReadResult(name+store.ResultExt, data)
}

// Write keeps a result in place of what was there.
func (s results) Write(name string, r *experiment.Result) error {
	if err := store.CheckResultName(name); err != nil {
		return err
	}
	return Write(s.path(name), r.Bytes())
}

// FreeName is a name for a new result that no result has, made of that of its experiment and the seed.
func (s results) FreeName(experimentName string, seed uint64) string {
	base := fmt.Sprintf("%s-seed-%d", plainName(experimentName), seed)
	name := base
	for n := 2; ; n++ {
		if !isThere(s.path(name)) {
			return name
		}
		name = fmt.Sprintf("%s-%d", base, n)
	}
}

// plainName is a name as part of a file name: letters and digits, hyphens for the rest.
func plainName(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') })
	if len(words) == 0 {
		return "experiment"
	}
	return strings.Join(words, "-")
}

// Delete puts a result away under a name that List does not show; Restore brings it back.
func (s results) Delete(name string) error {
	if err := store.CheckResultName(name); err != nil {
		return errors.Join(os.ErrNotExist, err)
	}
	return putAway(s.path(name))
}

// Restore brings back a deleted result; the error says so where another has got its name meanwhile.
func (s results) Restore(name string) error {
	if err := store.CheckResultName(name); err != nil {
		return errors.Join(os.ErrNotExist, err)
	}
	path := s.path(name)
	if isThere(path) {
		return fmt.Errorf("%q: %w", name, store.ErrNameTaken)
	}
	for _, dir := range []string{s.dir, s.earlier} {
		path := filepath.Join(dir, filepath.FromSlash(name)) + store.ResultExt
		if err := bringBack(path); !errors.Is(err, os.ErrNotExist) {
			return err
		}
	}
	return fmt.Errorf("%q: %w", name, os.ErrNotExist)
}
