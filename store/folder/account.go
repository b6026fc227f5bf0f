package folder

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// MoveIn puts everything of a backup into the account of a teacher, which must be empty, all or nothing. A backup that is not
// sound changes nothing.
func MoveIn(from string, account *sql.Store) error {
	work, err := os.MkdirTemp("", files.Saving+"*")
	if err != nil {
		return fmt.Errorf("not moved in: %w", store.OfDisk(err))
	}
	defer os.RemoveAll(work)
	if err := unpack(from, work); err != nil {
		return fmt.Errorf("not moved in: %w", err)
	}
	if found := Check(work); len(found.Problems) > 0 {
		return fmt.Errorf("not moved in, since the backup is damaged: %s", found.Problems[0])
	}
	s, err := sql.Open(work) // brings it up to date
	if err != nil {
		return err
	}
	defer s.Close()
	if err := account.Take(s); err != nil {
		return fmt.Errorf("not moved in: %w", err)
	}
	return nil
}

// MoveOut puts everything of the account of a teacher into one file, a backup such as that of a data folder, as which it can be
// restored. It was read back when it is there.
func MoveOut(account *sql.Store, to string) error {
	if err := moveOut(account, to); err != nil {
		return fmt.Errorf("not moved out: %w", store.OfDisk(err))
	}
	return nil
}

func moveOut(account *sql.Store, to string) error {
	work, err := os.MkdirTemp("", files.Saving+"*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	s, err := sql.Open(work)
	if err != nil {
		return err
	}
	err = s.Take(account)
	if closed := s.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return err
	}
	half := filepath.Join(work, "backup.zip")
	if err := Backup(work, half); err != nil {
		return err
	}
	found, err := CheckBackup(work, half)
	if err != nil {
		return err
	}
	if len(found.Problems) > 0 {
		return fmt.Errorf("something of it is damaged: %s", found.Problems[0])
	}
	data, err := os.Open(half)
	if err != nil {
		return err
	}
	defer data.Close()
	return files.WriteWith(to, func(w io.Writer) error {
		_, err := io.Copy(w, data)
		return err
	})
}
