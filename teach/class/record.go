package class

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"time"

	"secondpass/exercise"
)

// RecordVersion is the version of the record that Write writes and Replay takes.
const RecordVersion = 1

const recordFormat = "secondpass class"

// maxRecord is the most bytes of a record: 500 students in 100 votes are about 15 million.
const maxRecord = 64 << 20

type recordJSON struct {
	Format   string           `json:"format"`
	Version  int              `json:"version"`
	About    string           `json:"about"`
	Mode     Mode             `json:"mode"`
	Seconds  int              `json:"seconds"`
	Routes   []string         `json:"routes"`
	Opened   time.Time        `json:"opened"`
	Ended    time.Time        `json:"ended,omitzero"`
	Ranking  bool             `json:"ranking,omitempty"`
	Joined   int              `json:"joined"`
	Students []studentJSON    `json:"students"`
	Rounds   []roundJSON      `json:"rounds"`
	Walks    map[int][]Choice `json:"walks,omitempty"`
}

type studentJSON struct {
	ID     int       `json:"id"`
	Name   string    `json:"name"`
	Joined time.Time `json:"joined"`
}

type roundJSON struct {
	Route     string     `json:"route"`
	At        int        `json:"at"`
	Lost      bool       `json:"lost,omitempty"`
	Question  *Question  `json:"question,omitempty"`
	Opened    time.Time  `json:"opened,omitzero"`
	Deadline  time.Time  `json:"deadline,omitzero"`
	Closed    time.Time  `json:"closed,omitzero"`
	Count     time.Time  `json:"count,omitzero"`
	Votes     []voteJSON `json:"votes"`
	Follows   []Follow   `json:"follows,omitempty"`
	Judgement *Judgement `json:"judgement,omitempty"`
}

type voteJSON struct {
	Student  int       `json:"student"`
	Seq      int64     `json:"seq"`
	Choice   Choice    `json:"choice"`
	Made     time.Time `json:"made,omitzero"`
	Received time.Time `json:"received"`
}

// Write writes the class as a record that Replay plays again; about names what it works on. The same class makes the same bytes.
func (c *Class) Write(w io.Writer, about string) error {
	rec := recordJSON{Format: recordFormat, Version: RecordVersion, About: about, Mode: c.Mode, Seconds: c.Seconds, Routes: c.Routes, Opened: c.Opened.UTC(),
		Ended: utc(c.Ended), Ranking: c.Ranking, Joined: c.Joined, Students: []studentJSON{}, Rounds: []roundJSON{}, Walks: c.Walks}
	for _, st := range c.Students {
		rec.Students = append(rec.Students, studentJSON{st.ID, st.Name, st.Joined.UTC()})
	}
	for _, r := range c.Rounds {
		j := roundJSON{Route: r.Route, At: r.At, Lost: r.Lost, Opened: utc(r.Opened), Deadline: utc(r.Deadline), Closed: utc(r.Closed), Count: utc(r.Count),
			Votes: []voteJSON{}, Follows: r.Follows, Judgement: r.Judgement}
		if !r.Lost {
			j.Question = &r.Question
		}
		for _, id := range r.students() {
			v := r.Votes[id]
			j.Votes = append(j.Votes, voteJSON{id, v.Seq, v.Choice, utc(v.Made), utc(v.Received)})
		}
		rec.Rounds = append(rec.Rounds, j)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(rec)
}

// utc is a moment in one zone; no moment stays none.
func utc(t time.Time) time.Time {
	if t.IsZero() {
		return t
	}
	return t.UTC()
}

// Replay plays a record again by the rules of a class: who joined, each vote as it was opened, answered, closed and followed. What the rules
// do not allow is an error that says where.
func Replay(r io.Reader) (c *Class, about string, err error) {
	data, err := io.ReadAll(io.LimitReader(r, maxRecord+1))
	if err != nil {
		return nil, "", err
	}
	if len(data) > maxRecord {
		return nil, "", fmt.Errorf("more than %d bytes; no record of a class is so long", maxRecord)
	}
	var rec recordJSON
	if err := json.Unmarshal(data, &rec); err != nil {
		return nil, "", fmt.Errorf("no record of a class: %w", exercise.JSONError(data, err))
	}
	if rec.Format != recordFormat || rec.Version != RecordVersion {
		return nil, "", fmt.Errorf("no record of a class of version %d: format %q, version %d", RecordVersion, rec.Format, rec.Version)
	}
	if len(rec.Routes) == 0 {
		return nil, "", fmt.Errorf("no record of a class: it walks no route")
	}
	if c, err = New(rec.Mode, rec.Seconds, rec.Routes[0], rec.Opened); err != nil {
		return nil, "", err
	}
	if err := c.replayStudents(&rec); err != nil {
		return nil, "", err
	}
	for i := range rec.Rounds {
		if err := c.replayRound(&rec.Rounds[i]); err != nil {
			return nil, "", fmt.Errorf("vote %d: %w", i+1, err)
		}
	}
	if !slices.Equal(c.Routes, rec.Routes) {
		return nil, "", fmt.Errorf("the class followed the routes %v; the record says %v", c.Routes, rec.Routes)
	}
	if rec.Walks != nil {
		c.Walks = rec.Walks
	}
	c.Ranking = rec.Ranking
	if !rec.Ended.IsZero() {
		err = c.End(rec.Ended)
	}
	return c, rec.About, err
}

func (c *Class) replayStudents(rec *recordJSON) error {
	for _, st := range rec.Students {
		if st.ID <= c.Joined || st.ID > rec.Joined {
			return fmt.Errorf("student %d: the numbers count up to %d", st.ID, rec.Joined)
		}
		c.Joined = st.ID - 1 // those between were taken out
		if _, err := c.Join(st.Name, st.Joined); err != nil {
			return fmt.Errorf("student %d: %w", st.ID, err)
		}
	}
	if rec.Joined < c.Joined || rec.Joined > MaxJoined {
		return fmt.Errorf("%d students; %d at most may join", rec.Joined, MaxJoined)
	}
	c.Joined = rec.Joined
	return nil
}

func (c *Class) replayRound(j *roundJSON) error {
	if j.Lost {
		c.Rounds = append(c.Rounds, &Round{N: len(c.Rounds) + 1, Route: j.Route, At: j.At, Lost: true, Counted: true})
		return nil
	}
	if j.Question == nil {
		return fmt.Errorf("the question is missing")
	}
	r, err := c.OpenVote(j.Route, j.At, *j.Question, j.Opened)
	if err != nil {
		return err
	}
	r.Deadline = j.Deadline // later than at first where the server was away
	byTime := slices.SortedFunc(slices.Values(j.Votes), func(a, b voteJSON) int { return cmp.Or(a.Received.Compare(b.Received), a.Student-b.Student) })
	for i := range byTime {
		v := &byTime[i]
		if !j.Closed.IsZero() && v.Received.After(j.Closed) {
			r.Closed, r.Count = j.Closed, j.Count
		}
		kept, err := c.Keep(v.Student, r.N, Vote{Seq: v.Seq, Choice: v.Choice, Made: v.Made, Received: v.Received})
		if err == nil && kept != Taken {
			err = fmt.Errorf("it stands there twice")
		}
		if err != nil {
			return fmt.Errorf("the answer of student %d: %w", v.Student, err)
		}
	}
	r.Closed, r.Count = j.Closed, j.Count
	r.Judgement = j.Judgement
	if r.Closed.IsZero() {
		return nil
	}
	r.Tick(r.Count)
	if len(j.Follows) == 0 {
		return nil
	}
	return c.Follow(r.N, j.Follows...)
}
