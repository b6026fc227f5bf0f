package files

import (
	"errors"
	"os"
	"strconv"
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
