package sql

import (
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"time"

	"secondpass/store"
	"secondpass/store/files"
)

// Files are the teacher's cards, tunings, results and reports: where the database is a file, in files beside it, which other programs may
// write too; on a server in the database, so that all programs that serve show the same. told is given a sentence when a damaged one
// was set aside; it may be nil.
func (s *Store) Files(told func(sentence string)) store.Files {
	return files.On(s.Room(), told)
}

// Room is where the teacher's files stand.
func (s *Store) Room() files.Room { return s.roomOf(nil) }

// roomOf is Room for work of a transaction; what is done in a folder of the disk is done whatever becomes of that.
func (s *Store) roomOf(tx *transaction) files.Room {
	if s.path != "" {
		return files.Folder(filepath.Dir(s.path))
	}
	return room{s, tx}
}

type room struct {
	s    *Store
	work *transaction // of work that is alone; nil outside
}

func (r room) Where(path string) string { return path }

func (r room) Now() time.Time { return r.s.Now() }

// Sweep has nothing to do: a file is written whole or not at all.
func (r room) Sweep(string) {}

func (r room) Alone(work func(files.Room) error) error {
	if r.work != nil {
		return errors.New("work that is alone already")
	}
	return r.s.within(func(tx *transaction) error { return work(room{r.s, tx}) })
}

func (r room) reading(work func(tx *transaction) error) error {
	if r.work != nil {
		return work(r.work)
	}
	return r.s.reading(work)
}

func (r room) within(work func(tx *transaction) error) error {
	if r.work != nil {
		return work(r.work)
	}
	return r.s.within(work)
}

// split is the folder and the name of a path.
func split(at string) (folder, name string) {
	folder, name = path.Split(at)
	return path.Clean("/" + folder)[1:], name
}

func missing(at string) error { return fmt.Errorf("%s: %w", at, fs.ErrNotExist) }

func (r room) Read(at string) (data []byte, err error) {
	folder, name := split(at)
	err = r.reading(func(tx *transaction) error {
		var kept string
		err := tx.QueryRow(`SELECT data, sum FROM files WHERE teacher = $1 AND folder = $2 AND name = $3`, folder, name).Scan(&data, &kept)
		switch {
		case errors.Is(err, sql.ErrNoRows):
			return missing(at)
		case err == nil && kept != sum("", string(data)):
			return damaged(at, errSum)
		}
		return err
	})
	return data, err
}

func scanFile(from row) (f files.File, err error) {
	var changed int64
	err = from.Scan(&f.Name, &f.Size, &changed)
	f.Changed = moment(changed)
	return f, err
}

func (r room) Look(at string) (f files.File, err error) {
	folder, name := split(at)
	err = r.reading(func(tx *transaction) (err error) {
		f, err = scanFile(tx.QueryRow(`SELECT name, length(data), changed FROM files WHERE teacher = $1 AND folder = $2 AND name = $3`, folder, name))
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		var within int
		if err := tx.QueryRow(`SELECT COUNT(*) FROM files WHERE teacher = $1 AND (folder = $2 OR left(folder, length($2) + 1) = $2 || '/')`, at).Scan(&within); err != nil {
			return err
		}
		if within == 0 {
			return missing(at)
		}
		f = files.File{Name: name, Folder: true}
		return nil
	})
	return f, err
}

func (r room) List(folder string) (list []files.File, err error) {
	err = r.reading(func(tx *transaction) (err error) {
		list, err = all(tx, scanFile, `SELECT name, length(data), changed FROM files WHERE teacher = $1 AND folder = $2`, folder)
		return err
	})
	return list, err
}

func (r room) Write(at string, data []byte) error {
	folder, name := split(at)
	now := micro(r.Now())
	return r.within(func(tx *transaction) error { return writeFile(tx, folder, name, data, now) })
}

func writeFile(tx *transaction, folder, name string, data []byte, changed int64) error {
	tx.grows = true
	_, err := tx.Exec(`INSERT INTO files (teacher, folder, name, data, sum, changed) VALUES ($1, $2, $3, $4, $5, $6)
		ON CONFLICT (teacher, folder, name) DO UPDATE SET data = excluded.data, sum = excluded.sum, changed = excluded.changed`,
		folder, name, append([]byte{}, data...), sum("", string(data)), changed)
	return err
}

func (r room) Move(from, to string) error {
	folder, name := split(from)
	toFolder, toName := split(to)
	return r.within(func(tx *transaction) error {
		if from == to {
			return nil
		}
		if _, err := tx.Exec(`DELETE FROM files WHERE teacher = $1 AND folder = $2 AND name = $3
			AND EXISTS (SELECT 1 FROM files f WHERE f.teacher = $1 AND f.folder = $4 AND f.name = $5)`, toFolder, toName, folder, name); err != nil {
			return err
		}
		res, err := tx.Exec(`UPDATE files SET folder = $4, name = $5 WHERE teacher = $1 AND folder = $2 AND name = $3`, folder, name, toFolder, toName)
		if err := oneRow(res, err, fs.ErrNotExist); !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		res, err = tx.Exec(`UPDATE files SET folder = $3 || substr(folder, length($2) + 1) WHERE teacher = $1 AND (folder = $2 OR left(folder, length($2) + 1) = $2 || '/')`, from, to)
		return oneRow(res, err, missing(from))
	})
}

func (r room) All() (paths []string, err error) {
	err = r.reading(func(tx *transaction) (err error) {
		paths, err = all(tx, func(from row) (string, error) {
			var folder, name string
			err := from.Scan(&folder, &name)
			return path.Join(folder, name), err
		}, `SELECT folder, name FROM files WHERE teacher = $1 ORDER BY folder, name`)
		return err
	})
	return paths, err
}

func (r room) Date(at string, changed time.Time) error {
	folder, name := split(at)
	return r.within(func(tx *transaction) error {
		res, err := tx.Exec(`UPDATE files SET changed = $4 WHERE teacher = $1 AND folder = $2 AND name = $3`, folder, name, micro(changed))
		return oneRow(res, err, missing(at))
	})
}

func (r room) Remove(at string) error {
	folder, name := split(at)
	return r.within(func(tx *transaction) error {
		res, err := tx.Exec(`DELETE FROM files WHERE teacher = $1 AND folder = $2 AND name = $3`, folder, name)
		return oneRow(res, err, missing(at))
	})
}
