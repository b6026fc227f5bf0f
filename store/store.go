// Package store says what is kept, and how it is asked for: small interfaces by subject, the values that stand in them,
// and the errors that callers tell apart. It keeps nothing itself: package store/sql keeps exercises, drills, students,
// lessons and classes in a database, package store/files cards, tunings, results and reports in files.
//
// Whatever a method has acknowledged is on the disk: a program killed at any moment loses nothing of it, and leaves
// nothing half written. What fails for the disk is a [Trouble], and has changed nothing, neither there nor in the values that
// were given.
package store

import (
	"context"
	"runtime/debug"
	"time"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/teach/class"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// Store is everything that stands in a database. It may be used by several goroutines, and the same data by several
// programs at once.
type Store interface {
	Exercises
	Drills
	Students
	Lessons
	Classes
	// There says that the database cannot be found any more, which takes no time; Works tries whether it takes something
	// to keep.
	There() error
	Works() error
	// Now is the time that changes are dated by.
	Now() time.Time
	// Close ends it. Nothing of it may be used afterwards.
	Close() error
}

// Exercises are asked for by name, in capitals or not, or, where no name fits, by number.
type Exercises interface {
	// Add keeps a new exercise; ErrNameTaken when another has its name.
	Add(e *exercise.Exercise) (*Saved, error)
	// AddFree keeps a new exercise under its name or, where another has that, the first of "NAME 2", "NAME 3" and so on
	// that is free, also when several programs or requests do so at once.
	AddFree(e *exercise.Exercise) (*Saved, error)
	// Save keeps an exercise as it is now. It returns ErrChanged when another program saved it since it was loaded, and
	// then keeps theirs.
	Save(x *Saved) error
	// List is the exercises, the one changed last first; with deleted, those deleted instead.
	List(deleted bool) ([]Entry, error)
	// Search is the exercises that are looked for, the one changed last first.
	Search(w Wish) ([]Entry, error)
	// Load reads an exercise and checks it.
	Load(ref string) (*Saved, error)
	// Rename gives an exercise another name.
	Rename(ref, name string) error
	// Delete puts an exercise away, or returns ErrInClass where a class that goes on works on it; Restore brings back the
	// one deleted last, or returns ErrNameTaken when another has got its name meanwhile.
	Delete(ref string) (Entry, error)
	Restore(ref string) (Entry, error)
	// FreeName is the wanted name, or the first of "NAME 2", "NAME 3" and so on that is free.
	FreeName(wanted string) (string, error)
}

// Entry is one exercise in the list.
type Entry struct {
	ID               int64
	Name             string
	Revision         int64
	Created, Changed time.Time
	Deleted          bool
}

// Saved is an exercise with its place in the store.
type Saved struct {
	Entry
	*exercise.Exercise
}

// Drills are asked for by number.
type Drills interface {
	// AddDrill keeps a drill of a card and gives it its number. One of the same kind at the same position, keyed for the
	// same hands, is kept once: then d gets the number of the one that is there, which stays as it is.
	AddDrill(d *drill.Drill, c *card.Card) error
	// AddDrills is AddDrill for several at once, all or none. It says how many were new.
	AddDrills(drills []*drill.Drill, c *card.Card) (fresh int, err error)
	// SaveDrill keeps a drill as it is now, with a key for a card. Its rating is not touched: that is for students' tries.
	SaveDrill(d *drill.Drill, c *card.Card) error
	// Drills lists drills by number.
	Drills(f DrillFilter) ([]*drill.Drill, error)
	Drill(id int64) (*drill.Drill, error)
	// DeleteDrill puts drills away, all or none. What students did with them stays in their results.
	DeleteDrill(ids ...int64) error
	// RestoreDrill brings deleted drills back, all or none.
	RestoreDrill(ids ...int64) error
	// DrillCard is the card for which a key was made, by its fingerprint.
	DrillCard(fingerprint string) (*card.Card, error)
}

// DrillFilter says which drills are meant; empty fields ask for nothing.
type DrillFilter struct {
	// Fingerprint is that of the card for which they are keyed.
	Fingerprint string
	Kind        drill.Kind
	// Deleted asks for those that were deleted instead.
	Deleted bool
}

// Students are asked for by name, in capitals or not.
type Students interface {
	// AddStudent keeps a new student; ErrNameTaken when another has the name.
	AddStudent(name string) (drill.Student, error)
	// Students lists all students by name.
	Students() ([]drill.Student, error)
	Student(name string) (drill.Student, error)
	// StudentToken is what a browser of a student is known by, which nobody can guess.
	// StudentByToken finds the student; ErrNoStudent where nobody has it.
	StudentToken(name string) (string, error)
	StudentByToken(token string) (drill.Student, error)
	// DeleteStudent deletes a student and everything that is kept of one, for good.
	DeleteStudent(name string) error
	// AddTry keeps a try of a student. That of a drill moves the ratings of both, and the drill's place in the queue, as
	// [drill.Try] has it. It returns the student as rated now.
	AddTry(student string, t drill.Try) (drill.Student, error)
	// AddExercise keeps the tries of a reviewed route, a class or a file of drills, all about the same, and how a route's passing
	// ended; ended may be nil. What was kept before about that is replaced, so that reviewing it twice counts once.
	AddExercise(student string, tries []drill.Try, ended *drill.Charleston) error
	// Tries and Charlestons list what a student did, in the order of time; Memories is what the scheduler knows, by the
	// drills' numbers.
	Tries(student int64) ([]drill.Try, error)
	Charlestons(student int64) ([]drill.Charleston, error)
	Memories(student int64) (map[int64]drill.Memory, error)
	// StudentData collects everything that is kept of a student. AddStudentData keeps it as a new student of its name, ErrNameTaken when
	// another has it; what it says of drills that are not here by their marks is kept without them.
	StudentData(name string) (StudentData, error)
	AddStudentData(d *StudentData) (drill.Student, error)
}

// Lessons are asked for by number.
type Lessons interface {
	// AddLesson keeps a new lesson; ErrNameTaken when another has its title.
	AddLesson(l *lesson.Lesson) (*SavedLesson, error)
	// SaveLesson keeps a lesson as it is now; ErrChanged when another program saved it since it was loaded.
	SaveLesson(x *SavedLesson) error
	// Lessons is the lessons, the one changed last first.
	Lessons() ([]LessonEntry, error)
	// Lesson reads a lesson and checks it.
	Lesson(id int64) (*SavedLesson, error)
	// FindLesson is the number of the lesson with a title.
	FindLesson(title string) (int64, error)
	// DeleteLesson puts a lesson away; RestoreLesson brings it back, or returns ErrNameTaken when another has got its
	// title meanwhile.
	DeleteLesson(id int64) error
	RestoreLesson(id int64) error
}

// LessonEntry is one lesson in the list.
type LessonEntry struct {
	ID       int64
	Title    string
	Revision int64
	Changed  time.Time
}

// SavedLesson is a lesson with its place in the store.
type SavedLesson struct {
	LessonEntry
	*lesson.Lesson
}

// Classes are asked for by number.
type Classes interface {
	// AddClass keeps a new class and gives it its number; ErrNameTaken when another open class has its code. walked is its
	// exercise with a new route for the class, kept with it, all or nothing, or ErrChanged as of Save; nil where the class
	// needs none, which is ErrNotFound where the exercise was deleted.
	AddClass(c *SavedClass, walked *Saved) error
	// Classes lists all classes, the newest first.
	Classes() ([]ClassEntry, error)
	// ClassOf is the number of the class in which a student is known by a token, ClassByCode that of the class that a
	// code or link lets into; ErrNoClass where there is none.
	ClassOf(token string) (int64, error)
	ClassByCode(code string) (int64, error)
	// LoadClass reads a class with everything in it that can be read.
	LoadClass(id int64) (*SavedClass, error)
	// SaveClass keeps what changes of a class as a whole: its code, link, routes, ranking and end.
	SaveClass(c *SavedClass) error
	// AddClassStudent keeps who joined: token is what the student is known by, phone the phone.
	AddClassStudent(id int64, st class.Student, token, phone string) error
	// RemoveClassStudent deletes the name and the answers of a student for good.
	RemoveClassStudent(id int64, student int) error
	// SaveRound keeps a round of a class, new or changed, without its votes.
	SaveRound(id int64, r *class.Round) error
	// SaveFollow keeps an exercise that a class has walked on, the class and its round, all or nothing. It returns
	// ErrChanged as Save does.
	SaveFollow(x *Saved, c *SavedClass, r *class.Round) error
	// DeleteClass deletes a class with the names and answers in it, for good.
	DeleteClass(id int64) error
	// NewVoteLog starts a log of votes; its Close ends it.
	NewVoteLog() VoteLog
}

// VoteLog keeps votes, those that arrive at the same time together: a disk takes about as long for one as for a thousand.
type VoteLog interface {
	// Append keeps a vote and returns when it is on the disk. The same vote may be kept again.
	Append(ctx context.Context, v KeptVote) error
	// Close ends the log. What was acknowledged is on the disk.
	Close()
}

// KeptVote is a vote with its place: in a duplicate class Round is the number of the decision, from 1.
type KeptVote struct {
	Class          int64
	Round, Student int
	class.Vote
	// Mends says that this decision takes the place of what is kept of the student from its number on, which is no use:
	// see [SavedClass.Gaps].
	Mends bool
}

// SavedClass is a class with its place in the store.
type SavedClass struct {
	ID int64
	// Code lets students in, and so does Link, which is too long to be guessed; "" while nobody can join. Key lets the
	// teacher act.
	Code, Link, Key string
	// Exercise is the number of the exercise that the class works on, 0 where it works on Lesson, which is nil otherwise.
	Exercise int64
	Lesson   *lesson.Lesson
	// Tokens are the students' numbers by what they are known by.
	Tokens map[string]int
	// Phones are under how many names each phone has joined, with those that were taken out.
	Phones map[string]int
	// Gaps are, in a duplicate class, the numbers of the decisions from which on what is kept of a student cannot be used:
	// the one of that number is missing or damaged. Walks end before it.
	Gaps map[int]int
	// Unread names what is on the disk and cannot be read, as in "vote 2: its question and answers are left out".
	Unread []string
	*class.Class
}

// ClassEntry is one class in the list.
type ClassEntry struct {
	ID       int64
	About    string // the name of the exercise, or the title of the lesson
	Mode     class.Mode
	Students int
	Opened   time.Time
	Ended    time.Time // zero while it goes on
	Key      string
}

// Program is the name and version of this program, as results carry it.
func Program() string {
	version := "(unknown)"
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		version = info.Main.Version
	}
	return "secondpass " + version
}
