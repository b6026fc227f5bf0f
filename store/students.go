package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"secondpass/exercise"
	"secondpass/teach/drill"
)

// StudentData is everything that is kept of a student.
type StudentData struct {
	Format      string                 `json:"format"`
	Version     int                    `json:"version"`
	Student     drill.Student          `json:"student"`
	Tries       []drill.Try            `json:"tries"`
	Charlestons []drill.Charleston     `json:"charlestons"`
	Memories    map[int64]drill.Memory `json:"memories"`
	// Drills are the marks of the drills whose numbers stand above, see [drill.Drill.Mark]: another data folder has other numbers. Files of
	// earlier versions have none.
	Drills map[int64]string `json:"drills,omitempty"`
	// Classes are the places in classes that were taken under the student's name. They stay where they are when the file is read.
	Classes []ClassSeat `json:"classes,omitempty"`
}

// ClassSeat is a place in a class, and what was answered there.
type ClassSeat struct {
	Class   int64         `json:"class"`
	On      string        `json:"on"` // the exercise or the lesson
	Seat    int           `json:"seat"`
	Name    string        `json:"name"`
	Opened  time.Time     `json:"opened"`
	Joined  time.Time     `json:"joined"`
	Answers []ClassAnswer `json:"answers,omitempty"`
}

// ClassAnswer is a choice, or one that another has replaced: in a vote by its number, in a duplicate class by that of the decision.
type ClassAnswer struct {
	Round    int64           `json:"round"`
	Question json.RawMessage `json:"question,omitempty"`
	Choice   json.RawMessage `json:"choice"`
	Made     time.Time       `json:"made"`
}

// The format of a student's file, and its bounds.
const (
	studentFormat  = "secondpass student"
	studentVersion = 1
	maxStudent     = 64 << 20 // bytes
)

// NewStudentData is data with nothing in it.
func NewStudentData() StudentData { return StudentData{Format: studentFormat, Version: studentVersion} }

// Write writes it as a JSON file.
func (d *StudentData) Write(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(d)
}

// ReadStudentData reads such a file. What it says of answers and times is taken as it stands.
func ReadStudentData(r io.Reader) (*StudentData, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxStudent+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxStudent {
		return nil, fmt.Errorf("more than %d bytes; no student's file is so long", maxStudent)
	}
	var d StudentData
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&d); err != nil {
		return nil, fmt.Errorf("no student's file: %w", exercise.JSONError(data, err))
	}
	if d.Format != studentFormat || d.Version != studentVersion {
		return nil, fmt.Errorf("no student's file of version %d: format %q, version %d", studentVersion, d.Format, d.Version)
	}
	if err := exercise.CheckName(d.Student.Name); err != nil {
		return nil, fmt.Errorf("the student: %w", err)
	}
	if err := d.Student.Rating.Check(); err != nil {
		return nil, fmt.Errorf("the student: %w", err)
	}
	for i := range d.Tries {
		if t := &d.Tries[i]; t.Kind == "" || t.Taken < 0 || t.Limit < 0 {
			return nil, fmt.Errorf("answer %d is none", i+1)
		}
	}
	return &d, nil
}
