package lesson

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"secondpass/exercise"
)

// Returned is what a student decided in a reader's page, as the page saves it. [NewReturned] makes one.
type Returned struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	// Lesson is the title of the file, Student who decided, by the name that was typed; it may be "".
	Lesson  string           `json:"lesson"`
	Student string           `json:"student"`
	Answers []ReturnedAnswer `json:"answers"`
}

// ReturnedAnswer is one of the decisions.
type ReturnedAnswer struct {
	// Drill is the mark of the drill, see [drill.Drill.Mark].
	Drill string `json:"drill"`
	// Answer is a choice as its text, or tiles.
	Answer string    `json:"answer"`
	At     time.Time `json:"at"`
	// Seconds is from when the drill was shown to this one; 0 where that is not known.
	Seconds float64 `json:"seconds"`
}

const (
	returnedFormat  = "secondpass answers"
	returnedVersion = 1
	maxReturned     = 1 << 20 // bytes
	// mostSeconds is the longest that a decision takes: who comes back a day later has not thought so long.
	mostSeconds = 3600
)

// NewReturned is a file of a student's decisions in a lesson.
func NewReturned(lesson, student string, answers []ReturnedAnswer) *Returned {
	return &Returned{returnedFormat, returnedVersion, lesson, student, answers}
}

// Taken is how long the decision took; 0 where that is not known.
func (a *ReturnedAnswer) Taken() time.Duration {
	if a.Seconds <= 0 || a.Seconds > mostSeconds {
		return 0
	}
	return time.Duration(a.Seconds * float64(time.Second))
}

// ReadReturned reads such a file. Whether its drills are known, and its answers legal, is for those who have the drills.
func ReadReturned(r io.Reader) (*Returned, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxReturned+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxReturned {
		return nil, fmt.Errorf("more than %d bytes; no file of answers is so long", maxReturned)
	}
	var f Returned
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		return nil, fmt.Errorf("no file of answers: %w", exercise.JSONError(data, err))
	}
	if f.Format != returnedFormat || f.Version != returnedVersion {
		return nil, fmt.Errorf("no file of answers of version %d: format %q, version %d", returnedVersion, f.Format, f.Version)
	}
	if len(f.Answers) == 0 || len(f.Answers) > MostItems {
		return nil, fmt.Errorf("%d answers; 1 to %d are right", len(f.Answers), MostItems)
	}
	if f.Student != "" {
		if err := exercise.CheckName(f.Student); err != nil {
			return nil, fmt.Errorf("the student: %w", err)
		}
	}
	seen := map[string]bool{}
	for i, a := range f.Answers {
		if seen[a.Drill] {
			return nil, fmt.Errorf("answer %d is to a drill that is answered before", i+1)
		}
		seen[a.Drill] = true
	}
	return &f, nil
}
