package store

import (
	"errors"
	"io/fs"
	"syscall"
)

// OfDisk makes a Trouble of what the system said about a file; other errors, also that a file is not there, stay as they
// are.
func OfDisk(err error) error {
	var already *Trouble
	if err == nil || errors.As(err, &already) {
		return err
	}
	for _, known := range []struct{ said, what error }{
		{syscall.ENOSPC, ErrFull}, {syscall.EDQUOT, ErrFull}, {syscall.EROFS, ErrReadOnly},
		{fs.ErrPermission, ErrReadOnly}, {syscall.EIO, ErrDisk},
	} {
		if errors.Is(err, known.said) {
			return &Trouble{What: known.what, Cause: err}
		}
	}
	return err
}
