package hall

import (
	"errors"
	"strings"

	"secondpass/store"
	"secondpass/teach/class"
)

// Kind is what sort of thing went wrong: errors.Is(err, Late) says whether an error is of a kind.
type Kind int

func (k Kind) Error() string { return "hall: error of kind " + itoa(int64(k)) }

// Kinds of errors. What is of no kind, such as a table that cannot be read, is not an [Error].
const (
	// Wrong: what was asked for is not right, or not now.
	Wrong Kind = 1 + iota
	// Unknown: there is no such class.
	Unknown
	// Stranger: the phone has no place in a class.
	Stranger
	// Late: the vote was closed before the choice was made.
	Late
	// Changed: the exercise was changed meanwhile.
	Changed
	// TooOften: one address or phone asks for too much.
	TooOften
	// Crowded: the hall has no room for one more stream.
	Crowded
	// Unreadable: a class is on the disk, and cannot be read.
	Unreadable
	// NotSaved: it could not be written, and did not happen.
	NotSaved
)

// Error is what went wrong in sentences for whom it happened to.
type Error struct {
	Kind Kind
	Text string
	// Cause is why something was not saved or read, nil for other kinds.
	Cause error
}

func (e *Error) Error() string { return e.Text }

// Is says whether the error is of a kind.
func (e *Error) Is(kind error) bool { return e.Kind == kind }

func (e *Error) Unwrap() error { return e.Cause }

// ErrLate: the choice came too late to count.
var ErrLate = &Error{Kind: Late, Text: "The vote was closed before this choice was made. The last one kept before counts."}

// ErrNoPlace: the phone is not known in any class.
var ErrNoPlace = &Error{Kind: Stranger, Text: "This phone has no place in a class yet. Join with the code."}

// wrong makes a sentence of what the rules refuse.
func wrong(prefix string, err error) error {
	if prefix == "" {
		return &Error{Kind: Wrong, Text: sentence(err)}
	}
	return &Error{Kind: Wrong, Text: prefix + ": " + err.Error() + "."}
}

// notSaved is a write that failed.
func notSaved(what string, err error) *Error {
	why := err.Error()
	if trouble := (*store.Trouble)(nil); errors.As(err, &trouble) {
		why = trouble.Error() // without what the store says around it, which is said here
	}
	return &Error{Kind: NotSaved, Text: what + " could not be saved: " + why + ". Nothing was changed; try it again.", Cause: err}
}

func sentence(err error) string {
	text := err.Error()
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

func unreadable(id int64, err error) error {
	return &Error{Kind: Unreadable, Text: "Class " + itoa(id) + " cannot be read from the disk: " + err.Error() + ". It is tried again each time it is opened.", Cause: err}
}

func noClass(id int64) error {
	return &Error{Kind: Unknown, Text: "There is no class " + itoa(id) + "."}
}

func noCode(code string) error {
	return &Error{Kind: Unknown, Text: "No class is open under " + code + ". Look at the code again; it ends with its class."}
}

// Limits of streams: of all phones, and of one student, whose newest tab ends the oldest.
const (
	maxStreams = 3 * class.MaxStudents
	ownStreams = 4
)
