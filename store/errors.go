package store

import "errors"

// Errors that callers tell apart.
var (
	// ErrNotFound: no exercise has that name or number.
	ErrNotFound = errors.New("no such exercise")
	// ErrNoDrill: no drill has that number.
	ErrNoDrill = errors.New("no such drill")
	// ErrNoStudent: no student has that name.
	ErrNoStudent = errors.New("no such student")
	// ErrNoLesson: no lesson has that number or title.
	ErrNoLesson = errors.New("no such lesson")
	// ErrNoClass: no class has that number.
	ErrNoClass = errors.New("no such class")
	// ErrNameTaken: another of its sort has that name.
	ErrNameTaken = errors.New("the name is taken")
	// ErrOtherVote: another program has kept another choice under the number of a vote.
	ErrOtherVote = errors.New("another program has kept another choice meanwhile")
	// ErrChanged: another program has saved the exercise since it was loaded.
	ErrChanged = errors.New("the exercise was changed by another program meanwhile; open it again")
)
