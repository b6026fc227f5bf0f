package files

import (
	"errors"
	"os"
	"strconv"
	"strings"
)

// leftExt is put behind the name of a folder whose file another program has removed.
const leftExt = ".left-"

// putAway gives a file, and those beside it that belong to it, names under which they are kept as deleted. What was put
// away under the name before stays too, with a number behind it: the greater, the later.
func putAway(r Room, path string, beside ...string) error {
	if isThere(r, path+deletedExt) {
		earlier := deletedExt + "-" + strconv.Itoa(lastAway(r, path)+1)
		for _, p := range append(beside, path) {
			if err := renameIfThere(r, p+deletedExt, p+earlier); err != nil {
				return err
			}
		}
	}
	if err := r.Move(path, path+deletedExt); err != nil {
		return err
	}
	for _, p := range beside {
		if err := renameIfThere(r, p, p+deletedExt); err != nil {
			return err
		}
	}
	return nil
}

// bringBack takes the last of what putAway put away.
func bringBack(r Room, path string, beside ...string) error {
	ext := deletedExt
	if n := lastAway(r, path); n > 0 && !isThere(r, path+ext) {
		ext += "-" + strconv.Itoa(n)
	}
	if err := r.Move(path+ext, path); err != nil {
		return err
	}
	for _, p := range beside {
		if err := renameIfThere(r, p+ext, p); err != nil {
			return err
		}
	}
	return nil
}

// lastAway is the greatest number of what was put away before the last.
func lastAway(r Room, path string) (n int) {
	for isThere(r, path+deletedExt+"-"+strconv.Itoa(n+1)) {
		n++
	}
	return n
}

// renameIfThere puts a folder that is in the way, which belongs to nothing any more, aside.
func renameIfThere(r Room, from, to string) error {
	if there, err := r.Look(to); err == nil && there.Folder && isThere(r, from) {
		n := 1
		for isThere(r, to+leftExt+strconv.Itoa(n)) {
			n++
		}
		if err := r.Move(to, to+leftExt+strconv.Itoa(n)); err != nil {
			return err
		}
	}
	if err := r.Move(from, to); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}

func isThere(r Room, path string) bool {
	_, err := r.Look(path)
	return err == nil
}

// Purge throws away for good what was put away in a room.
func Purge(r Room) error {
	paths, err := r.All()
	for _, at := range paths {
		if err == nil && wasPutAway(at) {
			err = r.Remove(at)
		}
	}
	return err
}

// wasPutAway says whether a path, or a folder on the way of it, has the ending of what was put away.
func wasPutAway(at string) bool {
	for name := range strings.SplitSeq(at, "/") {
		if _, after, found := strings.Cut(name, deletedExt); found && (after == "" || strings.HasPrefix(after, "-")) {
			return true
		}
	}
	return false
}
