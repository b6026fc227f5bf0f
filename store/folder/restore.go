package folder

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// Restore puts what is in a backup in place of what is in a data folder, which nobody else may use meanwhile. What was
// there is kept in a folder inside, whose path it returns; it is "" where nothing was there. A backup that is not sound changes
// nothing.
func Restore(dir, from string, now time.Time) (aside string, err error) {
	serving, err := Serve(dir)
	if err != nil {
		return "", err
	}
	defer serving.Release()
	alone, err := sql.Alone(dir)
	if err != nil {
		return "", err
	}
	defer alone()
	fresh, err := os.MkdirTemp(dir, files.Saving+"*")
	if err != nil {
		return "", fmt.Errorf("not restored: %w", store.OfDisk(err))
	}
	defer os.RemoveAll(fresh)
	if err := unpack(from, fresh); err != nil {
		return "", fmt.Errorf("not restored: %w", err)
	}
	if found := Check(fresh); len(found.Problems) > 0 {
		return "", fmt.Errorf("not restored, since the backup is damaged: %s", found.Problems[0])
	}
	old := filepath.Join(dir, "before-restore-"+now.Format("2006-01-02-150405"))
	for _, name := range append([]string{sql.FileName, sql.FileName + "-wal", sql.FileName + "-shm"}, files.Folders...) {
		switch err := move(filepath.Join(dir, name), filepath.Join(old, name)); {
		case err == nil:
			aside = old
		case !os.IsNotExist(err):
			return aside, halfRestored(old, err)
		}
		if err := move(filepath.Join(fresh, name), filepath.Join(dir, name)); err != nil && !os.IsNotExist(err) {
			return aside, halfRestored(old, err)
		}
	}
	return aside, nil
}

func halfRestored(old string, err error) error {
	return fmt.Errorf("only partly restored, do it again; what was there is in %s: %w", old, store.OfDisk(err))
}

func move(from, to string) error {
	if _, err := os.Lstat(from); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		return err
	}
	return os.Rename(from, to)
}
