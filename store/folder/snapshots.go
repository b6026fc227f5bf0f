package folder

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"secondpass/store"
)

// SnapshotFolder is where snapshots stand in a data folder: one backup a day, named by the day.
const SnapshotFolder = "snapshots"

const (
	day         = "2006-01-02"
	snapshotExt = ".zip"
	// byHand is put behind the day where a snapshot was asked for, beside the one that was made by itself.
	byHand = " by hand"
)

// Snapshots says for how many days snapshots are kept: the newest of them, by number, and how old they may get.
type Snapshots struct{ Number, Days int }

// Snapshot is one in the list.
type Snapshot struct {
	Name string // of its file
	Made time.Time
	Size int64 // bytes
	day  string
}

// Take makes the snapshot of a day where there is none, and removes those that are beyond number or age; those of the newest day
// always stay. made says whether there is a new one.
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
	oldest, days := now.AddDate(0, 0, -p.Days).Format(day), 0
	for i, s := range list {
		if i > 0 && s.day != list[i-1].day {
			days++
		}
		if days > 0 && (days >= p.Number || p.Days > 0 && s.day < oldest) {
			if err := os.Remove(filepath.Join(dir, SnapshotFolder, s.Name)); err != nil {
				return made, err
			}
		}
	}
	return made, nil
}

// TakeByHand makes one more snapshot of a day, in place of an earlier one by hand.
func TakeByHand(dir string, now time.Time) error {
	return Backup(dir, filepath.Join(dir, SnapshotFolder, now.Format(day)+byHand+snapshotExt))
}

// SnapshotPath is the file of a snapshot in the list; the error wraps os.ErrNotExist where there is none of the name.
func SnapshotPath(dir, name string) (string, error) {
	list, err := ListSnapshots(dir)
	if err != nil {
		return "", err
	}
	if !slices.ContainsFunc(list, func(s Snapshot) bool { return s.Name == name }) {
		return "", fmt.Errorf("snapshot %q: %w", name, os.ErrNotExist)
	}
	return filepath.Join(dir, SnapshotFolder, name), nil
}

// ListSnapshots is the snapshots of a data folder, the newest first.
func ListSnapshots(dir string) ([]Snapshot, error) {
	entries, err := os.ReadDir(filepath.Join(dir, SnapshotFolder))
	if os.IsNotExist(err) {
		return nil, nil
	}
	var list []Snapshot
	for _, e := range entries {
		base, ok := strings.CutSuffix(e.Name(), snapshotExt)
		of := strings.TrimSuffix(base, byHand)
		if _, bad := time.Parse(day, of); !ok || bad != nil {
			continue
		}
		if info, err := e.Info(); err == nil { // one that is gone meanwhile is none
			list = append(list, Snapshot{e.Name(), info.ModTime(), info.Size(), of})
		}
	}
	slices.SortFunc(list, func(a, b Snapshot) int {
		return cmp.Or(strings.Compare(b.day, a.day), b.Made.Compare(a.Made), strings.Compare(b.Name, a.Name))
	})
	return list, store.OfDisk(err)
}
