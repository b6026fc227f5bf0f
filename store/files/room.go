package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"secondpass/store"
)

// Room is where files stand: a data folder, or what takes its place. Paths are from its top, with slashes; folders are there as long as
// something stands in them. Errors wrap os.ErrNotExist where there is no such file, and are a store.Trouble where the disk fails.
type Room interface {
	Read(path string) ([]byte, error)
	// Look is what stands at a path, List what stands in a folder, in no order; nothing where there is no such folder.
	Look(path string) (File, error)
	List(folder string) ([]File, error)
	// Write puts a whole file in place of what was there, Move gives a file, or a folder with all that is in it, another path, in
	// place of a file that is there.
	Write(path string, data []byte) error
	Move(from, to string) error
	Remove(path string) error
	// Alone does work between which nobody else's comes who works alone too; it uses the room that it is given.
	Alone(work func(Room) error) error
	// All is the paths of all files that are whole, Date says when a file was changed.
	All() ([]string, error)
	Date(path string, changed time.Time) error
	// Sweep removes what was left half written in a folder.
	Sweep(folder string)
	// Where tells people where a path is.
	Where(path string) string
	// Now is the time that changes are dated by.
	Now() time.Time
}

// File is a file, or a folder, in a list.
type File struct {
	Name    string // in its folder
	Size    int64  // bytes
	Changed time.Time
	Folder  bool
}

// Folder is a folder of the disk as a room. It need not be there yet.
func Folder(dir string) Room { return folder{dir, new(sync.Mutex)} }

type folder struct {
	dir   string
	alone *sync.Mutex // nil in work that is alone
}

func (f folder) Where(path string) string { return filepath.Join(f.dir, filepath.FromSlash(path)) }

func (f folder) Now() time.Time { return time.Now() }

func (f folder) Read(path string) ([]byte, error) {
	data, err := os.ReadFile(f.Where(path))
	return data, store.OfDisk(err)
}

func (f folder) Look(path string) (File, error) {
	info, err := os.Stat(f.Where(path))
	if err != nil {
		return File{}, store.OfDisk(err)
	}
	return fileOf(info), nil
}

func fileOf(info os.FileInfo) File {
	return File{info.Name(), info.Size(), info.ModTime(), info.IsDir()}
}

func (f folder) List(in string) (list []File, err error) {
	entries, err := os.ReadDir(f.Where(in))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, store.OfDisk(err)
	}
	for _, e := range entries {
		if info, err := e.Info(); err == nil { // it may be gone meanwhile
			list = append(list, fileOf(info))
		}
	}
	return list, nil
}

func (f folder) Write(path string, data []byte) error { return Write(f.Where(path), data) }

func (f folder) Move(from, to string) error {
	return store.OfDisk(os.Rename(f.Where(from), f.Where(to)))
}

func (f folder) Remove(path string) error { return store.OfDisk(os.Remove(f.Where(path))) }

func (f folder) All() (paths []string, err error) {
	for _, sub := range Folders {
		err := filepath.WalkDir(f.Where(sub), func(path string, d fs.DirEntry, err error) error {
			if os.IsNotExist(err) || err == nil && (!d.Type().IsRegular() || strings.HasPrefix(d.Name(), Saving)) {
				return nil // what is gone meanwhile, or not whole yet
			}
			if err != nil {
				return err
			}
			name, err := filepath.Rel(f.dir, path)
			paths = append(paths, filepath.ToSlash(name))
			return err
		})
		if err != nil {
			return nil, store.OfDisk(err)
		}
	}
	return paths, nil
}

func (f folder) Date(path string, changed time.Time) error {
	return store.OfDisk(os.Chtimes(f.Where(path), changed, changed))
}

func (f folder) Sweep(in string) { Sweep(f.Where(in), time.Hour) }

func (f folder) Alone(work func(Room) error) error {
	if f.alone == nil {
		return fmt.Errorf("%s: work that is alone already", f.dir)
	}
	f.alone.Lock()
	defer f.alone.Unlock()
	return work(folder{dir: f.dir})
}

// Copy copies all files of a room into another, with their dates. What is gone meanwhile is left out.
func Copy(from, to Room) error {
	paths, err := from.All()
	if err != nil {
		return err
	}
	for _, path := range paths {
		f, err := from.Look(path)
		var data []byte
		if err == nil {
			data, err = from.Read(path)
		}
		if errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err == nil {
			err = to.Write(path, data)
		}
		if err == nil {
			err = to.Date(path, f.Changed)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
