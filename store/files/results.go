package files

import (
	"errors"
	"fmt"
	"os"
	"sort"
	"strings"

	"secondpass/research/experiment"
	"secondpass/store"
)

// results is the results of experiments: experiments/NAME.json, and experiments/ready/NAME.json, whose names are written
// "ready/NAME". What an earlier program kept in the folder studies stays there and is read, gone on with and deleted as
// the rest.
type results struct{ room Room }

// resultsFolder is where results stand, earlierFolder where they stood when experiments were called studies.
const resultsFolder, earlierFolder = "experiments/", "studies/"

// Where is the file of a result, or the folder for new ones.
func (s results) Where(name string) string {
	if name == "" {
		return s.room.Where("experiments")
	}
	return s.room.Where(s.path(name))
}

// path is the file of a result, or where it would be; the name must have passed CheckResultName.
func (s results) path(name string) string {
	path, earlier := resultsFolder+name+store.ResultExt, earlierFolder+name+store.ResultExt
	if !isThere(s.room, path) && isThere(s.room, earlier) {
		return earlier
	}
	return path
}

// List is the results, the last changed first.
func (s results) List() ([]store.ResultEntry, error) {
	var all []store.ResultEntry
	seen := map[string]bool{}
	for _, folder := range []string{resultsFolder, earlierFolder} {
		for _, prefix := range []string{"", store.ReadyFolder + "/"} {
			files, err := s.room.List(strings.TrimSuffix(folder+prefix, "/"))
			if err != nil {
				return nil, err
			}
			for _, f := range files {
				base, ok := strings.CutSuffix(f.Name, store.ResultExt)
				if !ok || f.Folder {
					continue
				}
				if name := prefix + base; !seen[name] && store.CheckResultName(name) == nil {
					seen[name] = true
					all = append(all, store.ResultEntry{Name: name, Changed: f.Changed, Size: f.Size})
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
	data, err := s.room.Read(s.path(name))
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
	return s.room.Write(s.path(name), r.Bytes())
}

// FreeName is a name for a new result that no result has, made of that of its experiment and the seed.
func (s results) FreeName(experimentName string, seed uint64) string {
	base := fmt.Sprintf("%s-seed-%d", plainName(experimentName), seed)
	name := base
	for n := 2; ; n++ {
		if !isThere(s.room, s.path(name)) {
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
	return s.room.Alone(func(r Room) error { return putAway(r, results{r}.path(name)) })
}

// Restore brings back a deleted result; the error says so where another has got its name meanwhile.
func (s results) Restore(name string) error {
	if err := store.CheckResultName(name); err != nil {
		return errors.Join(os.ErrNotExist, err)
	}
	return s.room.Alone(func(r Room) error {
		if isThere(r, results{r}.path(name)) {
			return fmt.Errorf("%q: %w", name, store.ErrNameTaken)
		}
		for _, folder := range []string{resultsFolder, earlierFolder} {
			if err := bringBack(r, folder+name+store.ResultExt); !errors.Is(err, os.ErrNotExist) {
				return err
			}
		}
		return fmt.Errorf("%q: %w", name, os.ErrNotExist)
	})
}
