package web_test

import (
	"errors"
	"fmt"
	"math/rand/v2"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// fault is a disk whose writes fail when a test says so: always, or one of three at random.
type fault struct {
	always error
	luck   *rand.Rand
	failed int // writes that have failed
}

func (f *fault) write(do func() error) error {
	err := f.always
	if f.luck != nil && f.luck.IntN(3) == 0 {
		err = &store.Trouble{What: []error{store.ErrFull, store.ErrBusy, store.ErrReadOnly, store.ErrDisk}[f.luck.IntN(4)], Cause: errors.New("/home/somebody: as the system has it")}
	}
	if err != nil {
		f.failed++
		return fmt.Errorf("not saved: %w", err)
	}
	return do()
}

// onBadDisk is a database on such a disk.
type onBadDisk struct {
	store.Store
	*fault
}

func saved[T any](f *fault, do func() (T, error)) (made T, err error) {
	err = f.write(func() error { made, err = do(); return err })
	return made, err
}

func (f onBadDisk) Add(e *exercise.Exercise) (*store.Saved, error) {
	return saved(f.fault, func() (*store.Saved, error) { return f.Store.Add(e) })
}

func (f onBadDisk) AddFree(e *exercise.Exercise) (*store.Saved, error) {
	return saved(f.fault, func() (*store.Saved, error) { return f.Store.AddFree(e) })
}

func (f onBadDisk) Save(x *store.Saved) error {
	return f.write(func() error { return f.Store.Save(x) })
}

func (f onBadDisk) Rename(ref, name string) error {
	return f.write(func() error { return f.Store.Rename(ref, name) })
}

func (f onBadDisk) Delete(ref string) (store.Entry, error) {
	return saved(f.fault, func() (store.Entry, error) { return f.Store.Delete(ref) })
}

func (f onBadDisk) Restore(ref string) (store.Entry, error) {
	return saved(f.fault, func() (store.Entry, error) { return f.Store.Restore(ref) })
}

func (f onBadDisk) AddDrill(d *drill.Drill, c *card.Card) error {
	return f.write(func() error { return f.Store.AddDrill(d, c) })
}

func (f onBadDisk) AddDrills(drills []*drill.Drill, c *card.Card) (int, error) {
	return saved(f.fault, func() (int, error) { return f.Store.AddDrills(drills, c) })
}

func (f onBadDisk) DeleteDrill(ids ...int64) error {
	return f.write(func() error { return f.Store.DeleteDrill(ids...) })
}

func (f onBadDisk) AddStudent(name string) (drill.Student, error) {
	return saved(f.fault, func() (drill.Student, error) { return f.Store.AddStudent(name) })
}

func (f onBadDisk) DeleteStudent(name string) error {
	return f.write(func() error { return f.Store.DeleteStudent(name) })
}

func (f onBadDisk) AddTry(student string, t drill.Try) (drill.Student, error) {
	return saved(f.fault, func() (drill.Student, error) { return f.Store.AddTry(student, t) })
}

func (f onBadDisk) AddLesson(l *lesson.Lesson) (*store.SavedLesson, error) {
	return saved(f.fault, func() (*store.SavedLesson, error) { return f.Store.AddLesson(l) })
}

func (f onBadDisk) SaveLesson(x *store.SavedLesson) error {
	return f.write(func() error { return f.Store.SaveLesson(x) })
}

func (f onBadDisk) DeleteLesson(id int64) error {
	return f.write(func() error { return f.Store.DeleteLesson(id) })
}

func (f onBadDisk) RestoreLesson(id int64) error {
	return f.write(func() error { return f.Store.RestoreLesson(id) })
}

// cardsOnBadDisk is cards on such a disk.
type cardsOnBadDisk struct {
	store.Cards
	*fault
}

func (f cardsOnBadDisk) Keep(name, seen string, text, draft []byte) (string, error) {
	return saved(f.fault, func() (string, error) { return f.Cards.Keep(name, seen, text, draft) })
}

func (f cardsOnBadDisk) Delete(name string) error {
	return f.write(func() error { return f.Cards.Delete(name) })
}

func (f cardsOnBadDisk) Restore(name string) error {
	return f.write(func() error { return f.Cards.Restore(name) })
}
