package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"sort"
	"strings"
	"time"

	"secondpass/research/experiment"
)

// ResultExt is the ending of result files of experiments.
const ResultExt = ".json"

// ReadyFolder is the folder within that of the experiments where `experiment run --ready all` keeps its results.
const ReadyFolder = "ready"

// Experiments is the results of experiments as files in the data folder: experiments/NAME.json, and
// experiments/ready/NAME.json, whose names are written "ready/NAME". What an earlier program kept in the folder studies stays
// there and is read, gone on with and deleted as the rest. The command line and the pages share them.
type Experiments struct{ dir string }

// ExperimentsIn is the results of a data folder, which need not be there yet.
func ExperimentsIn(dir string) Experiments { return Experiments{dir} }

// Experiments is the results of experiments in the same data folder.
func (c Cards) Experiments() Experiments { return ExperimentsIn(c.dir) }

// Folder is where new results are kept.
func (s Experiments) Folder() string { return filepath.Join(s.dir, "experiments") }

// earlierFolder is where results were kept when experiments were called studies.
func (s Experiments) earlierFolder() string { return filepath.Join(s.dir, "studies") }

// Path is the file of a result; the name must have passed CheckExperimentName.
func (s Experiments) Path(name string) string { return s.file(name, ResultExt) }

// file is where the file of a name and ending is, or would be.
func (s Experiments) file(name, ext string) string {
	file := filepath.FromSlash(name) + ext
	path, earlier := filepath.Join(s.Folder(), file), filepath.Join(s.earlierFolder(), file)
	if !isThere(path) && isThere(earlier) {
		return earlier
	}
	return path
}

func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// CheckExperimentName says why a name cannot be that of a result file, or nil.
func CheckExperimentName(name string) error {
	bare := strings.TrimPrefix(name, ReadyFolder+"/")
	switch {
	case bare == "" || strings.TrimSpace(bare) != bare:
		return fmt.Errorf("result name %q: a name without blanks at its ends is right", name)
	case len(bare) > 120:
		return fmt.Errorf("a result name of %d bytes is too long; 120 are the most", len(bare))
	case strings.ContainsAny(bare, `/\:*?"<>|`) || strings.HasPrefix(bare, ".") || strings.ContainsFunc(bare, func(r rune) bool { return r < ' ' || r == 0x7f }):
		return fmt.Errorf(`result name %q: it is a file name, so it cannot begin with a dot nor hold any of / \ : * ? " < > |`, name)
	}
	return nil
}

// ExperimentFile is a result in the folder.
type ExperimentFile struct {
	Name    string
	Changed time.Time
	Size    int64
}

// List is the results, the last changed first.
func (s Experiments) List() ([]ExperimentFile, error) {
	var all []ExperimentFile
	seen := map[string]bool{}
	for _, folder := range []string{s.Folder(), s.earlierFolder()} {
		for _, prefix := range []string{"", ReadyFolder + "/"} {
			files, err := os.ReadDir(filepath.Join(folder, filepath.FromSlash(prefix)))
			if err != nil && !errors.Is(err, os.ErrNotExist) {
				return nil, err
			}
			for _, f := range files {
				base, ok := strings.CutSuffix(f.Name(), ResultExt)
				info, err := f.Info()
				if !ok || f.IsDir() || err != nil { // it may be gone meanwhile
					continue
				}
				if name := prefix + base; !seen[name] && CheckExperimentName(name) == nil {
					seen[name] = true
					all = append(all, ExperimentFile{name, info.ModTime(), info.Size()})
				}
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Changed.After(all[j].Changed) })
	return all, nil
}

// Read is a result as it was last kept; the error wraps os.ErrNotExist where there is none of that name.
func (s Experiments) Read(name string) (*experiment.Result, error) {
	if err := CheckExperimentName(name); err != nil {
		return nil, errors.Join(os.ErrNotExist, err)
	}
	data, err := os.ReadFile(s.Path(name))
	if err != nil {
		return nil, err
	}
	return experiment.ReadResult(name+ResultExt, data)
}

// Write keeps a result in place of what was there.
func (s Experiments) Write(name string, r *experiment.Result) error {
	if err := CheckExperimentName(name); err != nil {
		return err
	}
	return WriteWhole(s.Path(name), r.Bytes())
}

// FreeName is a name for a new result that no result has, made of that of its experiment and the seed.
func (s Experiments) FreeName(experimentName string, seed uint64) string {
	base := fmt.Sprintf("%s-seed-%d", plainName(experimentName), seed)
	name := base
	for n := 2; ; n++ {
		if !isThere(s.Path(name)) {
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

// deletedExt is put behind the name of what is put away.
const deletedExt = ".deleted"

// Delete puts a result away under a name that List does not show; Restore brings it back.
func (s Experiments) Delete(name string) error {
	if err := CheckExperimentName(name); err != nil {
		return errors.Join(os.ErrNotExist, err)
	}
	path := s.Path(name)
	return os.Rename(path, path+deletedExt)
}

// Restore brings back a deleted result; the error says so where another has got its name meanwhile.
func (s Experiments) Restore(name string) error {
	if err := CheckExperimentName(name); err != nil {
		return errors.Join(os.ErrNotExist, err)
	}
	path := s.Path(name)
	if isThere(path) {
		return fmt.Errorf("%q: %w", name, ErrNameTaken)
	}
	deleted := s.file(name, ResultExt+deletedExt)
	return os.Rename(deleted, strings.TrimSuffix(deleted, deletedExt))
}

// ReportPath is where the counts of a card report are kept, by a key of letters and digits.
func (c Cards) ReportPath(key string) string { return filepath.Join(c.dir, "reports", key+".json") }

// WriteWhole puts a whole file in place of another, making its folder where it is not there; a program that is killed
// meanwhile leaves the one or the other whole.
func WriteWhole(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), "saving-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // fails once the file has its name, which is what is wanted
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	return err
}

// Program is the name and version of this program, as results carry it.
func Program() string {
	version := "(unknown)"
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		version = info.Main.Version
	}
	return "secondpass " + version
}
