package folder

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// SnapshotFolder is where snapshots stand in a data folder: one backup a day, named by the day.
const SnapshotFolder = "snapshots"

const (
	day         = "2006-01-02"
	snapshotExt = ".zip"
)

// Snapshots says how many snapshots are kept, the newest of them, and for how many days.
type Snapshots struct{ Number, Days int }

// Take makes the snapshot of a day where there is none, and removes those that are beyond number or age; the newest one
// always stays. made says whether there is a new one.
func (p Snapshots) Take(dir string, now time.Time) (made bool, err error) {
	if p.Number == 0 {
		return false, nil
	}
	path := filepath.Join(dir, SnapshotFolder, now.Format(day)+snapshotExt)
	if _, err := os.Stat(path); err != nil {
		if err := Backup(dir, path); err != nil {
			return false, err
		}
		made = true
	}
	list, err := ListSnapshots(dir)
	if err != nil {
		return made, err
	}
	oldest := now.AddDate(0, 0, -p.Days).Format(day) + snapshotExt
	for i, name := range list {
		if i > 0 && (i >= p.Number || p.Days > 0 && name < oldest) {
			if err := os.Remove(filepath.Join(dir, SnapshotFolder, name)); err != nil {
				return made, err
			}
		}
	}
	return made, nil
}

// ListSnapshots is the names of the snapshots of a data folder, the newest first.
func ListSnapshots(dir string) ([]string, error) {
	entries, err := os.ReadDir(filepath.Join(dir, SnapshotFolder))
	if os.IsNotExist(err) {
		return nil, nil
	}
	var list []string
	for _, e := range entries {
		if base, ok := strings.CutSuffix(e.Name(), snapshotExt); ok {
			if _, bad := time.Parse(day, base); bad == nil {
				list = append(list, e.Name())
			}
		}
	}
	slices.Sort(list)
	slices.Reverse(list)
	return list, err
}
