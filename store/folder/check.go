package folder

import (
	"fmt"
	"os"

	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// Report is what reading a whole data folder found.
type Report struct {
	// Counts says how many of each sort are sound, in words, in the order of the sorts.
	Counts []string
	// Problems are sentences, one for each thing that is damaged.
	Problems []string
}

// Check reads everything in a data folder back, and says what is damaged. It changes nothing.
func Check(dir string) Report {
	var r Report
	for _, part := range []func(string) ([]string, []string){sql.Check, files.Check} {
		counts, problems := part(dir)
		r.Counts = append(r.Counts, counts...)
		r.Problems = append(r.Problems, problems...)
	}
	return r
}

// CheckBackup reads a backup of the data folder dir back as Check does. The error says why it is none.
func CheckBackup(dir, from string) (Report, error) {
	room, err := os.MkdirTemp(dir, files.Saving+"*")
	if err != nil {
		return Report{}, fmt.Errorf("the backup cannot be read: %w", store.OfDisk(err))
	}
	defer os.RemoveAll(room)
	if err := unpack(from, room); err != nil {
		return Report{}, err
	}
	return Check(room), nil
}

// Rescue puts all that can still be read of a data folder into a new one, and says how much that is.
func Rescue(dir, to string) ([]string, error) {
	counts, err := sql.Rescue(dir, to)
	if err != nil {
		return nil, fmt.Errorf("not saved: %w", err)
	}
	n, err := files.CopyAll(dir, to)
	if err != nil {
		return nil, fmt.Errorf("not saved: %w", err)
	}
	return append(counts, fmt.Sprintf("%d files", n)), nil
}
