// Package lesson is an ordered set of exercises and drills with the teacher's notes.
//
// A [Lesson] holds copies of what it is made of, as it was when it was put in, so that a handout printed in spring
// and its answer sheet in autumn agree whatever became of the originals. [Lesson.Write] and [Read] are its file.
package lesson

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/teach/drill"
)

// FileVersion is the version of the lesson file that Write writes and Read takes.
const FileVersion = 1

// The bounds of a lesson.
const (
	MostItems = 200
	mostNote  = 4000     // characters of a note
	maxFile   = 16 << 20 // bytes of a lesson file
	// What reading a lesson may cost: combinations that its cards stand for, and routes to walk again.
	maxCombinations = 1_000_000
	maxRoutes       = 5000
)

// Lesson is a title, a note on the whole for the students, a page for the teacher, and the items in the order of the lesson.
type Lesson struct {
	Title, Note, Teacher string
	Items                []Item
}

// Item is an exercise or a drill, with the teacher's note. One of Exercise and Drill is set.
type Item struct {
	Note string
	// Exercise is asked about before decision At of Route, counted from 0; 0 is the deal. The routes that it holds go
	// onto the answer sheet.
	Exercise *exercise.Exercise
	Route    string
	At       int
	// Drill is keyed for Card.
	Drill *drill.Drill
	Card  *card.Card
}

// New is an empty lesson. A title is 1 to 100 characters without control characters.
func New(title string) (*Lesson, error) {
	l := &Lesson{Title: title}
	return l, l.Check()
}

// Check says why the lesson cannot stand, or nil.
func (l *Lesson) Check() error {
	if err := exercise.CheckName(l.Title); err != nil {
		return fmt.Errorf("the title: %w", err)
	}
	if len(l.Items) > MostItems {
		return fmt.Errorf("%d items; %d are the most", len(l.Items), MostItems)
	}
	if err := checkNote(l.Note); err != nil {
		return fmt.Errorf("the note: %w", err)
	}
	if err := checkNote(l.Teacher); err != nil {
		return fmt.Errorf("the page for the teacher: %w", err)
	}
	for i := range l.Items {
		if err := l.Items[i].check(); err != nil {
			return fmt.Errorf("item %d: %w", i+1, err)
		}
	}
	return nil
}

func checkNote(text string) error {
	if n := len([]rune(text)); n > mostNote {
		return fmt.Errorf("%d characters; %d are the most", n, mostNote)
	}
	if strings.ContainsFunc(text, func(r rune) bool { return r < ' ' && r != '\n' && r != '\t' || r == 0x7f }) {
		return fmt.Errorf("a control character in it")
	}
	return nil
}

func (i *Item) check() error {
	if err := checkNote(i.Note); err != nil {
		return fmt.Errorf("the note: %w", err)
	}
	switch {
	case (i.Exercise == nil) == (i.Drill == nil):
		return fmt.Errorf("an exercise or a drill is right, and not both")
	case i.Drill != nil && i.Card == nil:
		return fmt.Errorf("the drill has no card")
	case i.Drill != nil:
		return nil
	}
	r, err := i.Exercise.Route(i.Route)
	if err != nil {
		return err
	}
	if n := len(r.Decisions); i.At < 0 || i.At > n {
		return fmt.Errorf("step %d: route %s has %d decisions in the passing", i.At, r.Name, n)
	}
	return nil
}

// AddExercise puts an exercise at the end, asked about before decision at of a route.
func (l *Lesson) AddExercise(e *exercise.Exercise, route string, at int, note string) error {
	return l.add(Item{Exercise: e, Route: route, At: at, Note: note})
}

// AddDrill puts a drill of a card at the end.
func (l *Lesson) AddDrill(d *drill.Drill, c *card.Card, note string) error {
	return l.add(Item{Drill: d, Card: c, Note: note})
}

func (l *Lesson) add(i Item) error {
	l.Items = append(l.Items, i)
	err := l.Check()
	if err != nil {
		l.Items = l.Items[:len(l.Items)-1]
	}
	return err
}

// Move puts item from, counted from 0, at place to.
func (l *Lesson) Move(from, to int) error {
	if err := l.has(from); err != nil {
		return err
	}
	if err := l.has(to); err != nil {
		return err
	}
	item := l.Items[from]
	rest := append(append([]Item{}, l.Items[:from]...), l.Items[from+1:]...)
	l.Items = append(append(append([]Item{}, rest[:to]...), item), rest[to:]...)
	return nil
}

// Order puts the items in another order: places are their places now, counted from 0, each once.
func (l *Lesson) Order(places []int) error {
	items, seen := make([]Item, 0, len(places)), map[int]bool{}
	for _, i := range places {
		if err := l.has(i); err != nil {
			return err
		}
		if seen[i] {
			return fmt.Errorf("item %d stands twice in the new order", i+1)
		}
		seen[i] = true
		items = append(items, l.Items[i])
	}
	if len(items) != len(l.Items) {
		return fmt.Errorf("an order of %d items; the lesson has %d", len(items), len(l.Items))
	}
	l.Items = items
	return nil
}

// Remove takes item i out, counted from 0.
func (l *Lesson) Remove(i int) error {
	if err := l.has(i); err != nil {
		return err
	}
	l.Items = append(l.Items[:i:i], l.Items[i+1:]...)
	return nil
}

// SetNote sets the note of item i, counted from 0.
func (l *Lesson) SetNote(i int, note string) error {
	if err := l.has(i); err != nil {
		return err
	}
	if err := checkNote(note); err != nil {
		return err
	}
	l.Items[i].Note = note
	return nil
}

func (l *Lesson) has(i int) error {
	if i < 0 || i >= len(l.Items) {
		return fmt.Errorf("item %d: the lesson has %d", i+1, len(l.Items))
	}
	return nil
}

// Drills are the drills of the lesson with their cards, in its order.
func (l *Lesson) Drills() (drills []*drill.Drill, cards []*card.Card) {
	for i := range l.Items {
		if d := l.Items[i].Drill; d != nil {
			drills, cards = append(drills, d), append(cards, l.Items[i].Card)
		}
	}
	return drills, cards
}

// OnlyDrills is the lesson without its exercises.
func (l *Lesson) OnlyDrills() *Lesson {
	only := *l
	only.Items = slices.DeleteFunc(slices.Clone(l.Items), func(i Item) bool { return i.Drill == nil })
	return &only
}

// Trail is the route of an exercise item up to the decision that is asked about.
func (i *Item) Trail() (exercise.Trail, error) {
	r, err := i.Exercise.Route(i.Route)
	if err != nil {
		return exercise.Trail{}, err
	}
	cut := r.Upto(i.At)
	return i.Exercise.Replay(&cut)
}

type fileJSON struct {
	Format  string     `json:"format"`
	Version int        `json:"version"`
	Title   string     `json:"title"`
	Note    string     `json:"note,omitempty"`
	Teacher string     `json:"teacher,omitempty"`
	Items   []itemJSON `json:"items"`
}

type itemJSON struct {
	Note string `json:"note,omitempty"`
	// Exercise is an exercise file.
	Exercise json.RawMessage `json:"exercise,omitempty"`
	Route    string          `json:"route,omitempty"`
	At       int             `json:"at,omitempty"`
	// Drills is a drill file with the one drill.
	Drills json.RawMessage `json:"drills,omitempty"`
}

const fileFormat = "secondpass lesson"

// JSONForm is a value of the type that Write writes.
func (Lesson) JSONForm() any { return fileJSON{} }

// Write writes the lesson as a file that Read takes back.
func (l *Lesson) Write(w io.Writer) error {
	f := fileJSON{Format: fileFormat, Version: FileVersion, Title: l.Title, Note: l.Note, Teacher: l.Teacher, Items: []itemJSON{}}
	for i := range l.Items {
		item := &l.Items[i]
		j := itemJSON{Note: item.Note, Route: item.Route, At: item.At}
		var b bytes.Buffer
		if item.Exercise != nil {
			if err := item.Exercise.Write(&b); err != nil {
				return err
			}
			j.Exercise = b.Bytes()
		} else {
			if err := drill.Write(&b, item.Card, []*drill.Drill{item.Drill}); err != nil {
				return err
			}
			j.Drills = b.Bytes()
		}
		f.Items = append(f.Items, j)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(f)
}

// Read reads a lesson file and checks all of it: exercises by replaying them, drills by the rules. The error says in
// one sentence what is wrong and where.
func Read(r io.Reader) (*Lesson, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxFile {
		return nil, fmt.Errorf("more than %d bytes; no lesson file is so long", maxFile)
	}
	var f fileJSON
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		return nil, fmt.Errorf("no lesson file: %w", exercise.JSONError(data, err))
	}
	if f.Format != fileFormat || f.Version != FileVersion {
		return nil, fmt.Errorf("no lesson file of version %d: format %q, version %d", FileVersion, f.Format, f.Version)
	}
	if dec.More() {
		return nil, fmt.Errorf("something stands after the lesson")
	}
	if len(f.Items) > MostItems {
		return nil, fmt.Errorf("%d items; %d are the most", len(f.Items), MostItems)
	}
	l, spent := &Lesson{Title: f.Title, Note: f.Note, Teacher: f.Teacher}, cost{cards: map[*card.Card]bool{}}
	for i := range f.Items {
		item, err := f.Items[i].item()
		if err == nil {
			err = spent.add(&item)
		}
		if err != nil {
			return nil, fmt.Errorf("item %d: %w", i+1, err)
		}
		l.Items = append(l.Items, item)
	}
	return l, l.Check()
}

// cost is what reading a lesson has cost so far.
type cost struct {
	cards                map[*card.Card]bool // one that many items have is read once
	combinations, routes int
}

func (c *cost) add(i *Item) error {
	from := i.Card
	if i.Exercise != nil {
		from = i.Exercise.Card
		c.routes += len(i.Exercise.Routes)
	}
	if !c.cards[from] {
		c.cards[from] = true
		c.combinations += from.Combinations
	}
	switch {
	case c.combinations > maxCombinations:
		return fmt.Errorf("up to here the cards stand for %d combinations of alternatives, suits and shifts; %d are the most in a lesson", c.combinations, maxCombinations)
	case c.routes > maxRoutes:
		return fmt.Errorf("up to here the exercises have %d routes; %d are the most in a lesson", c.routes, maxRoutes)
	}
	return nil
}

func (j *itemJSON) item() (Item, error) {
	i := Item{Note: j.Note, Route: j.Route, At: j.At}
	var err error
	if len(j.Exercise) > 0 {
		i.Exercise, err = exercise.Read(bytes.NewReader(j.Exercise))
		return i, err
	}
	if len(j.Drills) == 0 {
		return i, fmt.Errorf("an exercise or a drill is missing")
	}
	c, drills, err := drill.ReadFile(bytes.NewReader(j.Drills))
	if err != nil {
		return i, err
	}
	if len(drills) != 1 {
		return i, fmt.Errorf("%d drills in one item; one is right", len(drills))
	}
	i.Drill, i.Card = drills[0], c
	return i, nil
}

// Board is the moment that the item asks about, as the seat may see it.
func (i *Item) Board() (*exercise.Board, error) {
	if i.Drill != nil {
		return i.Drill.Position.Board(i.Card)
	}
	t, err := i.Trail()
	if err != nil {
		return nil, err
	}
	v := t.Now.View()
	return exercise.BoardOf(i.Exercise.Card, &v), nil
}
