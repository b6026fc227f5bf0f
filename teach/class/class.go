package class

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode"
)

// Mode is how a class works.
type Mode string

const (
	// Together: the class votes on each decision of one route.
	Together Mode = "vote"
	// Duplicate: everybody walks the same deal alone.
	Duplicate Mode = "duplicate"
)

// Limits of a class.
const (
	MaxStudents = 500
	// MaxJoined is how many may join, with those who were taken out again.
	MaxJoined = 4 * MaxStudents
	// MaxNames is the most names under which one phone joins, with those that were taken out.
	MaxNames = 3
	// MaxName is the most characters of a nickname.
	MaxName = 24
	// MaxSeconds is the longest time for a vote.
	MaxSeconds = 3600
)

// Class is one class on one exercise.
type Class struct {
	Mode Mode
	// Seconds is the time for each vote; 0 where the teacher closes it by hand.
	Seconds int
	// Routes are the letters of those routes of the exercise that the class walks: one, and one more for each time it followed
	// two choices. Classes of earlier programs have their names.
	Routes []string
	// Students are those who are in, in the order of joining, Joined how many have ever joined.
	Students []Student
	Joined   int
	Rounds   []*Round
	// Walks are, in a duplicate class, the decisions of each student so far, by the student's number.
	Walks map[int][]Choice
	// Opened and Ended are when the class began and ended; Ended is zero while it goes on.
	Opened, Ended time.Time
	// Ranking says that the ranking of a duplicate class is shown to the class.
	Ranking bool
}

// Student is one who joined. ID counts from 1 in the order of joining.
type Student struct {
	ID     int
	Name   string
	Joined time.Time
}

// Errors that callers tell apart.
var (
	// ErrEnded: the class is over.
	ErrEnded = errors.New("the class has ended")
	// ErrClosed: the vote was closed when the choice was made.
	ErrClosed = errors.New("the vote was closed before this choice was made; the last one kept before counts")
	// ErrNoVote: no vote is open, or another than the message is for.
	ErrNoVote = errors.New("that vote is not open")
	// ErrStranger: no student has that number.
	ErrStranger = errors.New("nobody of that number has joined")
	// ErrFull: the class has as many students as it may.
	ErrFull = fmt.Errorf("the class is full: %d students are the most", MaxStudents)
)

// New opens a class on a route.
func New(mode Mode, seconds int, route string, now time.Time) (*Class, error) {
	switch {
	case mode != Together && mode != Duplicate:
		return nil, fmt.Errorf("the mode %q; vote or duplicate is right", mode)
	case seconds < 0 || seconds > MaxSeconds:
		return nil, fmt.Errorf("%d seconds for a vote; 0 (by hand) to %d are right", seconds, MaxSeconds)
	}
	return &Class{Mode: mode, Seconds: seconds, Routes: []string{route}, Walks: map[int][]Choice{}, Opened: now}, nil
}

// Clone is a copy: what changes one by its methods or those of its rounds leaves the other as it is.
func (c *Class) Clone() *Class {
	d := *c
	d.Routes, d.Students = slices.Clip(c.Routes), slices.Clip(c.Students)
	d.Rounds = make([]*Round, len(c.Rounds))
	for i, r := range c.Rounds {
		own := *r
		d.Rounds[i] = &own
	}
	return &d
}

// Join lets a student in under a nickname, at any time before the end.
func (c *Class) Join(name string, now time.Time) (Student, error) {
	name, err := CleanName(name)
	switch {
	case err != nil:
		return Student{}, err
	case !c.Ended.IsZero():
		return Student{}, ErrEnded
	case len(c.Students) >= MaxStudents || c.Joined >= MaxJoined:
		return Student{}, ErrFull
	case c.taken(name):
		return Student{}, fmt.Errorf("somebody here is called %s already; %s is free", name, c.freeName(name))
	}
	c.Joined++
	st := Student{ID: c.Joined, Name: name, Joined: now}
	c.Students = append(c.Students, st)
	return st, nil
}

// Remove takes a student out, with the answers. The number is not given again.
func (c *Class) Remove(id int) (Student, error) {
	st, err := c.Student(id)
	if err != nil {
		return st, err
	}
	c.Students = slices.DeleteFunc(slices.Clone(c.Students), func(s Student) bool { return s.ID == id })
	for _, r := range c.Rounds {
		if _, voted := r.Votes[id]; voted {
			r.Votes = maps.Clone(r.Votes) // one who reads the old one sees no change
			delete(r.Votes, id)
		}
	}
	c.Walks = maps.Clone(c.Walks)
	delete(c.Walks, id)
	return st, nil
}

func (c *Class) taken(name string) bool {
	return slices.ContainsFunc(c.Students, func(s Student) bool { return strings.EqualFold(s.Name, name) })
}

// freeName is the name with the first number that nobody has.
func (c *Class) freeName(name string) string {
	for i := 2; ; i++ {
		tail := fmt.Sprintf(" %d", i)
		runes := []rune(name)
		free := strings.TrimSpace(string(runes[:min(len(runes), MaxName-len(tail))])) + tail
		if !c.taken(free) {
			return free
		}
	}
}

// CleanName is a nickname with blanks made single and those around it taken off. It may have 1 to 24 characters, and
// none that steer the text around it or cannot be seen.
func CleanName(name string) (string, error) {
	if strings.ContainsRune(name, unicode.ReplacementChar) {
		return "", fmt.Errorf("the nickname holds something that is no text")
	}
	name = strings.Join(strings.Fields(name), " ")
	n := len([]rune(name))
	switch {
	case n == 0:
		return "", fmt.Errorf("a nickname is needed: 1 to %d characters", MaxName)
	case n > MaxName:
		return "", fmt.Errorf("a nickname of %d characters; %d are the most", n, MaxName)
	case strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }):
		return "", fmt.Errorf("a nickname with a character that cannot be shown")
	case !strings.ContainsFunc(name, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsSymbol(r) }):
		return "", fmt.Errorf("a nickname needs a letter, a digit or a sign that can be seen")
	}
	return name, nil
}

// Student finds a student by number.
func (c *Class) Student(id int) (Student, error) {
	i, found := slices.BinarySearchFunc(c.Students, id, func(s Student, id int) int { return s.ID - id })
	if !found {
		return Student{}, ErrStranger
	}
	return c.Students[i], nil
}

// Round is the last round, or nil before the first.
func (c *Class) Round() *Round {
	if len(c.Rounds) == 0 {
		return nil
	}
	return c.Rounds[len(c.Rounds)-1]
}

// OpenVote puts a question to the class. at is the number of decisions of the route before it. The round before must
// have been counted.
func (c *Class) OpenVote(route string, at int, q Question, now time.Time) (*Round, error) {
	last := c.Round()
	switch {
	case !c.Ended.IsZero():
		return nil, ErrEnded
	case c.Mode != Together:
		return nil, fmt.Errorf("in a duplicate class everybody walks alone; there is nothing to vote on")
	case last != nil && !last.due(now):
		return nil, fmt.Errorf("the vote before is not counted yet")
	case !slices.Contains(c.Routes, route):
		return nil, fmt.Errorf("the class does not walk route %s", route)
	}
	r := &Round{N: len(c.Rounds) + 1, Route: route, At: at, Question: q, Opened: now, Votes: map[int]Vote{}}
	if c.Seconds > 0 {
		r.Deadline = now.Add(time.Duration(c.Seconds) * time.Second)
	}
	c.Rounds = append(c.Rounds, r)
	return r, nil
}

// Accept says what becomes of a student's message in a round, and changes nothing; see [Round.Accept].
func (c *Class) Accept(student, round int, v Vote) (Kept, error) {
	r, err := c.roundOf(student, round)
	if err != nil {
		return 0, err
	}
	return r.Accept(student, v)
}

// Keep takes a student's message into a round; see [Round.Keep].
func (c *Class) Keep(student, round int, v Vote) (Kept, error) {
	r, err := c.roundOf(student, round)
	if err != nil {
		return 0, err
	}
	return r.Keep(student, v)
}

// roundOf is the round that a student's message is for.
func (c *Class) roundOf(student, round int) (*Round, error) {
	if _, err := c.Student(student); err != nil {
		return nil, err
	}
	if !c.Ended.IsZero() {
		return nil, ErrEnded
	}
	if round < 1 || round > len(c.Rounds) {
		return nil, ErrNoVote
	}
	return c.Rounds[round-1], nil
}

// Follow says what the class goes on with: one answer of the last round, or two as forks, with the routes on which they
// go on. The first stays on the round's route; a second one's route joins those of the class.
func (c *Class) Follow(round int, follows ...Follow) error {
	r := c.Round()
	switch {
	case !c.Ended.IsZero():
		return ErrEnded
	case r == nil || r.N != round || !r.Counted || r.Lost:
		return fmt.Errorf("only the last vote can be followed, once it is counted")
	case len(r.Follows) > 0:
		return fmt.Errorf("the class has followed %s already", many(len(r.Follows)))
	case len(follows) < 1 || len(follows) > 2:
		return fmt.Errorf("one choice can be followed, or two; %d were given", len(follows))
	case len(follows) == 2 && follows[0].Choice.Bare() == follows[1].Choice.Bare():
		return fmt.Errorf("two forks need two different choices")
	}
	for i, f := range follows {
		if err := r.Question.Check(f.Choice.Bare()); err != nil {
			return err
		}
		if !r.Question.Complete(f.Choice) {
			return fmt.Errorf("an unfinished choice cannot be followed")
		}
		if i == 0 && f.Route != r.Route || i > 0 && slices.Contains(c.Routes, f.Route) {
			return fmt.Errorf("the route %s is not the one to go on with", f.Route)
		}
	}
	for i, f := range follows {
		f.Choice = f.Choice.Bare()
		r.Follows = append(r.Follows, f)
		if i > 0 {
			c.Routes = append(c.Routes, f.Route)
		}
	}
	return nil
}

func many(n int) string {
	if n == 1 {
		return "one choice"
	}
	return "two choices"
}

// End ends the class. A vote must have been counted first, so that no answer is left out.
func (c *Class) End(now time.Time) error {
	if !c.Ended.IsZero() {
		return ErrEnded
	}
	if r := c.Round(); r != nil && !r.due(now) {
		return fmt.Errorf("a vote is open; close it first")
	}
	c.Ended = now
	return nil
}
