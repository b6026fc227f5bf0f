package liveclass

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/web/page"
	"secondpass/hall"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/class"
	"secondpass/teach/drill"
)

// RemoveSeats takes students out of their classes, with their answers, for good.
func (c *Classes) RemoveSeats(seats []store.ClassSeat) error {
	for _, s := range seats {
		rm, err := c.hall.Room(s.Class)
		if err == nil {
			err = rm.Remove(s.Seat)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// linksPage says whose record the answers behind each nickname go into.
type linksPage struct {
	ID       int64
	About    string
	Rows     []linkRow
	Students []string
	Judged   int // votes whose costs are known
}

// linkRow is a nickname; Known is the student who is called so, "" for nobody.
type linkRow struct {
	ID          int
	Nick, Known string
	Answers     int
}

// asNew stands in the place of a student's name: one is to be made under the nickname.
const asNew = "+"

// showLinks asks whose record the answers go into: a nickname is nobody's until the teacher says so.
func (c *Classes) showLinks(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	now := rm.Now()
	on, _ := c.exercise(rm)
	p := linksPage{ID: rm.ID, About: on}
	students, err := c.store.Students()
	if err != nil {
		return err
	}
	for _, st := range students {
		p.Students = append(p.Students, st.Name)
	}
	for _, round := range now.Rounds {
		if round.Counted && round.Judgement.Over() {
			p.Judged++
		}
	}
	for _, st := range now.Students {
		row := linkRow{ID: st.ID, Nick: st.Name, Answers: len(c.triesOf(rm, now.Class, st.ID, ""))}
		for _, name := range p.Students {
			if strings.EqualFold(name, st.Name) {
				row.Known = name
			}
		}
		p.Rows = append(p.Rows, row)
	}
	title := "Answers into students' records"
	out := page.Page{Title: title, Section: "Live class", Data: p}
	if n, err := strconv.Atoi(r.FormValue("kept")); err == nil && n >= 0 {
		out.Said = "The answers are in the records of " + wording.Plural(n, "student") + "."
	}
	c.Render(w, http.StatusOK, "class_students", out)
	return nil
}

// keepLinks puts the answers of a class into the records of those whom the form names. What was put there before is replaced.
func (c *Classes) keepLinks(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	now := rm.Now()
	on, _ := c.exercise(rm)
	kept := 0
	for _, st := range now.Students {
		name := r.PostForm.Get("student-" + strconv.Itoa(st.ID))
		tries := c.triesOf(rm, now.Class, st.ID, fmt.Sprintf("class %d on %s", rm.ID, on))
		if name == "" || len(tries) == 0 {
			continue
		}
		if name == asNew {
			if _, err := c.store.AddStudent(st.Name); err != nil && !errors.Is(err, store.ErrNameTaken) {
				return page.Refused("The name %s is no name of a student: %s.", st.Name, err)
			}
			name = st.Name
		}
		if err := c.store.AddExercise(name, tries, nil); errors.Is(err, store.ErrNoStudent) {
			return page.NotFound("There is no student %s; it may have been deleted.", name)
		} else if err != nil {
			return err
		}
		kept++
	}
	return page.SeeOther(w, r, fmt.Sprintf("%s/students?kept=%d", classPath(rm.ID), kept))
}

// triesOf is a student's answers in the votes whose costs are known, as they stand in a record.
func (c *Classes) triesOf(rm *hall.Room, of *class.Class, student int, about string) []drill.Try {
	var tries []drill.Try
	for _, r := range of.Rounds {
		v, voted := r.Votes[student]
		if !r.Counted || !r.Judgement.Over() || !voted || !r.Question.Complete(v.Choice) {
			continue
		}
		cost, judged := r.Judgement.Of(v.Choice)
		if !judged || !cost.Final {
			continue
		}
		t := drill.Try{Kind: drill.OfExercise, Step: "play", About: about, Answer: viewChoice(&r.Question, v.Choice).Text, Right: cost.Best || cost.Behind.Low <= drill.Margin,
			Cost: cost.Behind, At: r.Closed}
		if cost.Keyed {
			t.Right = cost.Even
		}
		if cost.Best {
			t.Cost = stat.Interval[unit.ChanceDifference]{N: r.Judgement.Whole}
		}
		if r.Question.Step > 0 {
			t.Step = r.Question.Step.Key()
		}
		if v.Made.After(r.Opened) && !v.Made.After(v.Received) {
			t.Taken = v.Made.Sub(r.Opened)
		}
		c.sort(rm, r, &t)
		tries = append(tries, t)
	}
	return tries
}

// sort says what a try was about: the kind of the drill that was asked, and the themes of the rack.
func (c *Classes) sort(rm *hall.Room, r *class.Round, t *drill.Try) {
	if rm.Lesson == nil {
		if _, x := c.exercise(rm); x != nil {
			t.Themes = drill.ThemesOfRack(x.Card, r.Question.Rack)
		}
		return
	}
	if r.At < 0 || r.At >= len(rm.Lesson.Items) {
		return
	}
	item := &rm.Lesson.Items[r.At]
	if item.Drill == nil {
		t.Themes = drill.ThemesOfRack(item.Exercise.Card, r.Question.Rack)
		return
	}
	t.Kind, t.Themes = string(item.Drill.Kind), item.Drill.Themes(item.Card)
}
