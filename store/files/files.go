// Package files keeps cards, drafts, tunings, results of experiments and counts of card reports as files in a [Room]: the user's
// data folder, where other programs may read and write them too, or what takes its place. Nobody above knows their paths.
package files

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"secondpass/store"
)

// In is what stands in a data folder, which need not be there yet. told, which may be nil, is given a sentence when a
// damaged file was set aside.
func In(dir string, told func(sentence string)) store.Files { return On(Folder(dir), told) }

// On is In for what takes the place of a data folder.
func On(r Room, told func(sentence string)) store.Files {
	if told == nil {
		told = func(string) {}
	}
	return store.Files{
		Cards:   cards{r},
		Tunings: tunings{r, told},
		Results: results{r},
		Reports: reports{r},
		Jobs:    jobs{r},
		Games:   shelf{r, "games", gamesHeld},
	}
}

// deletedExt is put behind the name of what is put away, damagedExt behind that of what cannot be read.
const (
	deletedExt = ".deleted"
	damagedExt = ".damaged"
)

// Saving is how the names of files and folders begin that are being written.
const Saving = "saving-"

// Folders are the folders of a data folder in which files stand.
var Folders = []string{"cards", "tuned", "experiments", "studies", "reports", "unfinished", "games"}

// Write puts a whole file in place of another, making its folder where it is not there; a program that is killed
// meanwhile leaves the one or the other whole. It is its owner's alone.
func Write(path string, data []byte) error {
	return WriteWith(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// WriteWith is Write with what fill writes.
func WriteWith(path string, fill func(io.Writer) error) error { return write(path, 0o600, fill) }

// Export is Write for a file outside the data folder, which others may read.
func Export(path string, data []byte) error {
	return write(path, 0o644, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

func write(path string, mode fs.FileMode, fill func(io.Writer) error) error {
	if err := put(path, mode, fill); err != nil {
		return fmt.Errorf("not saved: %w", store.OfDisk(err))
	}
	return nil
}

func put(path string, mode fs.FileMode, fill func(io.Writer) error) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), Saving+"*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // fails once the file has its name, which is what is wanted
	err = fill(f)
	if err == nil {
		err = f.Chmod(mode)
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

// Sweep removes what programs that were killed left half written, where it is older than a while: younger ones may still
// be written.
func Sweep(dir string, older time.Duration) {
	_ = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasPrefix(d.Name(), Saving) || path == dir {
			return nil // what cannot be read now is swept another time
		}
		if info, err := d.Info(); err == nil && time.Since(info.ModTime()) > older {
			os.RemoveAll(path)
		}
		if d.IsDir() {
			return filepath.SkipDir
		}
		return nil
	})
}
