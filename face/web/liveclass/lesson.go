package liveclass

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"secondpass/engine/prepared"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/hall"
	"secondpass/teach/class"
	"secondpass/teach/lesson"
)

// positionOf is what lies around the rack of a round of a lesson: the steps before, in play the table. It is nil in a class on an
// exercise, and where the lesson cannot be read.
func positionOf(rm *hall.Room, r *class.Round) *view.DrillView {
	if rm.Lesson == nil || r.At >= len(rm.Lesson.Items) {
		return nil
	}
	item := &rm.Lesson.Items[r.At]
	if item.Drill != nil {
		v, err := view.ViewDrill(prepared.Of(item.Card).Index(), item.Drill, item.Card)
		if err != nil {
			return nil
		}
		return v
	}
	t, err := item.Trail()
	if err != nil {
		return nil
	}
	seen := t.Now.View()
	return view.ViewPassing(&seen)
}

// lessonOf is the lesson that a form opens a class on: one that is kept, or a drill alone.
func (c *Classes) lessonOf(r *http.Request) (*lesson.Lesson, error) {
	if text := r.PostForm.Get("lesson"); text != "" {
		id, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return nil, page.NotFound("There is no lesson %s.", text)
		}
		x, err := c.store.Lesson(id)
		if err != nil {
			return nil, err
		}
		return x.Lesson, nil
	}
	id, err := strconv.ParseInt(r.PostForm.Get("drill"), 10, 64)
	if err != nil {
		return nil, page.NotFound("There is no drill %s.", r.PostForm.Get("drill"))
	}
	d, err := c.store.Drill(id)
	if err != nil {
		return nil, err
	}
	on, err := c.store.DrillCard(d.Key.Fingerprint)
	if err != nil {
		return nil, err
	}
	l, err := lesson.New(fmt.Sprintf("Drill %d", id))
	if err != nil {
		return nil, err
	}
	return l, l.AddDrill(d, on, "")
}

// secondsOf is the time for each vote that a form asks for; 0 for none.
func secondsOf(r *http.Request) (int, error) {
	text := strings.TrimSpace(r.PostForm.Get("seconds"))
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		return 0, page.Refused("Seconds for each vote: %q is no number.", text)
	}
	return n, nil
}

// nextItems are the items of a lesson that can be asked next, beginning with the one after the last vote.
func nextItems(rm *hall.Room, now *hall.State) []nextVote {
	items := rm.Lesson.Items
	last := -1
	if r := now.Round(); r != nil {
		last = r.At
	}
	var next []nextVote
	for n := range items {
		i := (last + 1 + n) % len(items)
		q, err := rm.AskItem(i)
		if err != nil {
			continue // an exercise whose passing is over there
		}
		next = append(next, nextVote{Route: strconv.Itoa(i + 1), Heading: questionHeading(&q), Place: fmt.Sprintf("item %d of %d", i+1, len(items)), After: len(now.Rounds), Again: i == last})
	}
	return next
}

// placeOf is where a round stands, in words: its route, or its item of the lesson.
func placeOf(r *class.Round) string {
	if r.Route == class.OfLesson {
		return fmt.Sprintf("item %d", r.At+1)
	}
	return "route " + r.Route
}
