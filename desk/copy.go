package desk

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"

	"secondpass/exercise"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// Copied is the sort of a thing that one user can give another a copy of.
type Copied string

const (
	CopiedExercise Copied = "exercise"
	CopiedLesson   Copied = "lesson"
	CopiedCard     Copied = "card"
	// CopiedDrills is all drills that are keyed for one card.
	CopiedDrills Copied = "drills"
)

// Original is one thing that can be copied: how it is asked for, and what it is called.
type Original struct {
	Sort      Copied
	Ref, Name string
}

// Originals is all that can be copied.
func (d *Desk) Originals() (all []Original, err error) {
	exercises, err := d.Store.List(false)
	if err != nil {
		return nil, err
	}
	for _, x := range exercises {
		all = append(all, Original{CopiedExercise, fmt.Sprint(x.ID), x.Name})
	}
	lessons, err := d.Store.Lessons()
	if err != nil {
		return nil, err
	}
	for _, l := range lessons {
		all = append(all, Original{CopiedLesson, fmt.Sprint(l.ID), l.Title})
	}
	cards, err := d.Files.Cards.List()
	if err != nil {
		return nil, err
	}
	for _, name := range cards {
		all = append(all, Original{CopiedCard, name, name})
	}
	drills, err := d.Store.Drills(store.DrillFilter{})
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for _, one := range drills {
		if card := one.Key.Fingerprint; !seen[card] {
			seen[card] = true
			all = append(all, Original{CopiedDrills, card, one.Key.Card})
		}
	}
	return all, nil
}

// Copy is a thing as its file has it. The errors are those of opening it.
func (d *Desk) Copy(sort Copied, ref string) (name string, file []byte, err error) {
	var b bytes.Buffer
	switch sort {
	case CopiedExercise:
		var x *store.Saved
		if x, err = d.Store.Load(ref); err == nil {
			name, err = x.Entry.Name, x.Write(&b)
		}
	case CopiedLesson:
		var id int64
		var l *store.SavedLesson
		if id, err = strconv.ParseInt(ref, 10, 64); err != nil {
			return "", nil, store.ErrNoLesson
		}
		if l, err = d.Store.Lesson(id); err == nil {
			name, err = l.LessonEntry.Title, l.Write(&b)
		}
	case CopiedCard:
		var text []byte
		text, err = d.Files.Cards.Text(ref)
		name = ref
		b.Write(text)
	case CopiedDrills:
		name, err = d.copyDrills(&b, ref)
	default:
		err = fmt.Errorf("a copy of %q: exercise, lesson, card or drills is right", sort)
	}
	return name, b.Bytes(), err
}

func (d *Desk) copyDrills(b *bytes.Buffer, card string) (name string, err error) {
	drills, err := d.Store.Drills(store.DrillFilter{Fingerprint: card})
	if err == nil && len(drills) == 0 {
		err = store.ErrNoDrill
	}
	if err != nil {
		return "", err
	}
	c, err := d.Store.DrillCard(card)
	if err != nil {
		return "", err
	}
	return c.Name, drill.Write(b, c, drills)
}

// TakeCopy keeps what Copy has made elsewhere, under its name or, where something is called so, the first of "NAME 2", "NAME 3" and so on
// that is free; of drills those that are there stay as they are. It returns the name.
func (d *Desk) TakeCopy(sort Copied, name string, file []byte) (string, error) {
	switch sort {
	case CopiedExercise:
		e, err := exercise.Read(bytes.NewReader(file))
		if err != nil {
			return "", err
		}
		x, err := d.Store.AddFree(e)
		if err != nil {
			return "", err
		}
		return x.Entry.Name, nil
	case CopiedLesson:
		l, err := lesson.Read(bytes.NewReader(file))
		if err != nil {
			return "", err
		}
		return free(l.Title, store.ErrNameTaken, func(title string) error {
			l.Title = title
			_, err := d.Store.AddLesson(l)
			return err
		})
	case CopiedCard:
		return free(name, store.ErrCardChanged, func(name string) error {
			_, err := d.Files.Cards.Keep(name, "", file, nil)
			return err
		})
	case CopiedDrills:
		c, drills, err := drill.ReadFile(bytes.NewReader(file))
		if err == nil {
			_, err = d.Store.AddDrills(drills, c)
		}
		return name, err
	}
	return "", fmt.Errorf("a copy of %q: exercise, lesson, card or drills is right", sort)
}

// most is how many names are tried.
const most = 1000

// free keeps something under the first name that is not taken.
func free(name string, taken error, keep func(name string) error) (string, error) {
	tried := name
	for n := 2; ; n++ {
		err := keep(tried)
		if !errors.Is(err, taken) || n > most {
			return tried, err
		}
		tried = fmt.Sprintf("%s %d", name, n)
	}
}
