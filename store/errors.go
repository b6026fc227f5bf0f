package store

import "errors"

// Errors that callers tell apart.
var (
	// ErrNotFound: no exercise has that name or number.
	ErrNotFound = errors.New("no such exercise")
	// ErrSeveral: several exercises are called so, in other capitals.
	ErrSeveral = errors.New("several exercises are called so, but for capitals; write the name as it is")
	// ErrNoDrill: no drill has that number.
	ErrNoDrill = errors.New("no such drill")
	// ErrNoStudent: no student has that name.
	ErrNoStudent = errors.New("no such student")
	// ErrNoLesson: no lesson has that number or title.
	ErrNoLesson = errors.New("no such lesson")
	// ErrNoClass: no class has that number.
	ErrNoClass = errors.New("no such class")
	// ErrNoTeacher: no teacher has that number.
	ErrNoTeacher = errors.New("no such teacher")
	// ErrNotEmpty: something is kept where nothing may be.
	ErrNotEmpty = errors.New("something is kept there already; it goes into an empty account only")
	// ErrKeptByAnother: students, codes or links of what is moved are kept under another teacher.
	ErrKeptByAnother = errors.New("its students or classes are kept already under another teacher, who was given the same before")
	// ErrInClass: a class that goes on works on the exercise.
	ErrInClass = errors.New("a class that goes on works on it; end or delete that class first")
	// ErrNameTaken: another of its sort has that name.
	ErrNameTaken = errors.New("the name is taken")
	// ErrOtherVote: another program has kept another choice under the number of a vote.
	ErrOtherVote = errors.New("another program has kept another choice meanwhile")
	// ErrChanged: another program has saved the exercise since it was loaded.
	ErrChanged = errors.New("the exercise was changed by another program meanwhile; open it again")
	// ErrCardChanged: a card was changed since it was looked at.
	ErrCardChanged = errors.New("the card was changed meanwhile, in another window or in its file, and that is not overwritten")
	// ErrElsewhere: another process of the club has taken over the workbook, and what comes next is kept there.
	ErrElsewhere = errors.New("the workbook was just taken over by another process of the club")
	// ErrNoRoom: the teacher keeps as much as one may.
	ErrNoRoom = errors.New("your workbook keeps as much as one may in this club; under Account you can throw away what was deleted")
	// ErrLater: what is kept was kept by a later version of the program.
	ErrLater = errors.New("a later version of secondpass has kept it, and this one could spoil it; use the later version")
)

// What can go wrong with a disk. A change that fails so is not kept, nothing of it, and may be tried again.
var (
	// ErrFull: there is no room.
	ErrFull = errors.New("the disk is full")
	// ErrBusy: another program would not let go of the data for seconds.
	ErrBusy = errors.New("another program keeps the data busy")
	// ErrReadOnly: this user may not write there.
	ErrReadOnly = errors.New("the data folder cannot be written to")
	// ErrUnsure: the server of the database was lost before it said whether it kept a change.
	ErrUnsure = errors.New("the database did not answer, and may have saved it; see whether it is there before you save it again")
	// ErrNotAllowed: the server of the database does not let this role do so.
	ErrNotAllowed = errors.New("the database does not let this role do so")
	// ErrDamaged: what is on the disk is not what was put there.
	ErrDamaged = errors.New("the data file is damaged")
	// ErrAway: the server of the database cannot be reached, or is not ready.
	ErrAway = errors.New("the database does not answer")
	// ErrDisk: reading or writing failed for another reason.
	ErrDisk = errors.New("the disk cannot be read or written")
)

// Trouble is a failure of the disk: its text is the one sentence that people are told, what it unwraps to is what the
// system said.
type Trouble struct {
	// What is one of the errors above.
	What error
	// Cause is what the system or the database said.
	Cause error
}

func (t *Trouble) Error() string        { return t.What.Error() }
func (t *Trouble) Unwrap() error        { return t.Cause }
func (t *Trouble) Is(target error) bool { return target == t.What }
