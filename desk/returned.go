package desk

import (
	"context"
	"fmt"

	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// KeptAnswers is what became of answers that came back in a file.
type KeptAnswers struct {
	// Kept went into the student's record; Unknown are to drills of no lesson here.
	Kept    int `json:"kept"`
	Unknown int `json:"unknown"`
}

// KeepReturned judges what a student decided in a file of drills, by the keys of the lessons that are kept, and puts it into the
// student's record. The same file again replaces what it put there.
func (d *Desk) KeepReturned(ctx context.Context, f *lesson.Returned, student string) (k KeptAnswers, err error) {
	if _, err := d.Store.Student(student); err != nil {
		return k, err
	}
	known, err := d.lessonDrills()
	if err != nil {
		return k, err
	}
	var tries []drill.Try
	for i := range f.Answers {
		a := &f.Answers[i]
		item, there := known[a.Drill]
		if !there {
			k.Unknown++
			continue
		}
		t, err := d.returned(ctx, item.Drill, item.Card, a)
		if err != nil {
			return KeptAnswers{}, fmt.Errorf("answer %d: %w", i+1, err)
		}
		t.About = "file of drills: " + f.Lesson
		if now := d.Store.Now(); t.At.IsZero() || t.At.After(now) {
			t.At = now // by a clock that goes wrong
		}
		tries = append(tries, t)
	}
	k.Kept = len(tries)
	return k, d.Store.AddExercise(student, tries, nil)
}

// lessonDrills are the drills of all lessons by their marks.
func (d *Desk) lessonDrills() (map[string]lesson.Item, error) {
	list, err := d.Store.Lessons()
	if err != nil {
		return nil, err
	}
	known := map[string]lesson.Item{}
	for _, entry := range list {
		x, err := d.Store.Lesson(entry.ID)
		if err != nil {
			return nil, err
		}
		for _, item := range x.Items {
			if item.Drill != nil {
				known[item.Drill.Mark()] = item
			}
		}
	}
	return known, nil
}

// returned is an answer as it stands in a record.
func (d *Desk) returned(ctx context.Context, of *drill.Drill, c *card.Card, a *lesson.ReturnedAnswer) (t drill.Try, err error) {
	place, err := of.Choose(a.Answer)
	if err == nil {
		t, err = of.Answered(place, a.At, a.Taken(), 0)
	} else {
		var choice drill.Choice
		var judged drill.Answer
		if choice, err = of.Free(prepared.Of(c).Game(house.Usual), a.Answer); err != nil {
			return t, err
		}
		if judged, err = d.JudgeAnswer(ctx, c, of, choice); err != nil {
			return t, err
		}
		t = of.AnsweredFreely(choice, judged, a.At, a.Taken(), 0)
	}
	t.Drill, t.Themes = 0, of.Themes(c) // a lesson holds a copy, which has no number
	return t, err
}
