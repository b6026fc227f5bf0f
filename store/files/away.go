package files

import (
	"errors"
	"os"
	"strconv"

	"secondpass/store"
)

// leftExt is put behind the name of a folder whose file another program has removed.
const leftExt = ".left-"

// putAway gives a file, and those beside it that belong to it, names under which they are kept as deleted. What was put
// away under the name before stays too, with a number behind it: the greater, the later.
func putAway(path string, beside ...string) error {
	if isThere(path + deletedExt) {
		earlier := deletedExt + "-" + strconv.Itoa(lastAway(path)+1)
		for _, p := range append(beside, path) {
			if err := renameIfThere(p+deletedExt, p+earlier); err != nil {
				return err
			}
		}
	}
	if err := os.Rename(path, path+deletedExt); err != nil {
		return store.OfDisk(err)
	}
	for _, p := range beside {
		if err := renameIfThere(p, p+deletedExt); err != nil {
			return err
		}
	}
	return nil
}

// bringBack takes the last of what putAway put away.
func bringBack(path string, beside ...string) error {
	ext := deletedExt
	if n := lastAway(path); n > 0 && !isThere(path+ext) {
		ext += "-" + strconv.Itoa(n)
	}
	if err := os.Rename(path+ext, path); err != nil {
		return store.OfDisk(err)
	}
	for _, p := range beside {
		if err := renameIfThere(p+ext, p); err != nil {
			return err
		}
	}
	return nil
}

// lastAway is the greatest number of what was put away before the last.
func lastAway(path string) (n int) {
	for isThere(path + deletedExt + "-" + strconv.Itoa(n+1)) {
		n++
	}
	return n
}

// renameIfThere puts a folder that is in the way, which belongs to nothing any more, aside.
func renameIfThere(from, to string) error {
	if info, err := os.Stat(to); err == nil && info.IsDir() && isThere(from) {
		n := 1
		for isThere(to + leftExt + strconv.Itoa(n)) {
			n++
		}
		if err := os.Rename(to, to+leftExt+strconv.Itoa(n)); err != nil {
			return store.OfDisk(err)
		}
	}
	if err := os.Rename(from, to); err != nil && !errors.Is(err, os.ErrNotExist) {
		return store.OfDisk(err)
	}
	return nil
}
