// Package files keeps cards, drafts, tunings, results of experiments and counts of card reports as files in the user's data
// folder, where other programs may read and write them too. Nobody above knows their paths.
package files

import (
	"os"
	"path/filepath"

	"secondpass/store"
)

// In is what stands in a data folder, which need not be there yet. told, which may be nil, is given a sentence when a
// damaged file was set aside.
func In(dir string, told func(sentence string)) store.Files {
	if told == nil {
		told = func(string) {}
	}
	return store.Files{
		Cards:   cards{filepath.Join(dir, "cards")},
		Tunings: tunings{filepath.Join(dir, "tuned"), told},
		Results: results{filepath.Join(dir, "experiments"), filepath.Join(dir, "studies")},
		Reports: reports{filepath.Join(dir, "reports")},
	}
}

// deletedExt is put behind the name of what is put away, damagedExt behind that of what cannot be read.
const (
	deletedExt = ".deleted"
	damagedExt = ".damaged"
)

// Write puts a whole file in place of another, making its folder where it is not there; a program that is killed
// meanwhile leaves the one or the other whole.
func Write(path string, data []byte) error {
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
