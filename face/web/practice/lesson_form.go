package practice

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/lesson"
)

// changeLesson keeps all that a lesson's form holds, title, notes and order, whichever button was pressed, and then does what the button
// says: move an item, take one out, open a class, delete. What cannot be kept is shown again as it was typed.
func (s *Area) changeLesson(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	x, err := s.loadLesson(r)
	if err != nil {
		return err
	}
	f := r.PostForm
	if f.Get("revision") != strconv.Itoa(int(x.Revision)) {
		writeTyped(x.Lesson, f)
		return s.renderLesson(w, http.StatusConflict, x, "The lesson was changed in another window meanwhile. What you typed stands here; press Keep to put it in place of that.")
	}
	writeTyped(x.Lesson, f)
	act, number, _ := strings.Cut(f.Get("act"), "-")
	place, err := order(x.Lesson, f.Get("order"), act, number)
	if err == nil {
		err = x.Check()
	}
	if err != nil {
		return s.renderLesson(w, http.StatusUnprocessableEntity, x, wording.Capital(err.Error())+".")
	}
	if err := s.store.SaveLesson(x); errors.Is(err, store.ErrNameTaken) {
		return s.renderLesson(w, http.StatusUnprocessableEntity, x, "Another lesson has that title.")
	} else if err != nil {
		return err
	}
	switch {
	case r.Header.Get("X-Script") != "":
		_, err := fmt.Fprint(w, x.Revision)
		return err
	case act == "class":
		http.Redirect(w, r, "/classes", http.StatusTemporaryRedirect) // with the same form
		return nil
	case act == "delete":
		return s.putAway(w, r, x)
	case place > 0:
		return page.SeeOther(w, r, lessonPath(x.ID)+"#item-"+strconv.Itoa(place))
	}
	return page.SeeOther(w, r, lessonPath(x.ID))
}

// writeTyped puts what was typed into a lesson: title, notes and the page for the teacher, as far as the form has them.
func writeTyped(l *lesson.Lesson, f url.Values) {
	if f.Has("title") {
		l.Title = strings.TrimSpace(f.Get("title"))
	}
	if f.Has("note") {
		l.Note = clean(f.Get("note"))
	}
	if f.Has("teacher") {
		l.Teacher = clean(f.Get("teacher"))
	}
	for i := range l.Items {
		if name := "note-" + strconv.Itoa(i+1); f.Has(name) {
			l.Items[i].Note = clean(f.Get(name))
		}
	}
}

// order puts the items into the order of a form, their numbers before separated by commas, and moves the one with a number up or down
// from there, or takes it out. It says at which place that one is then, counted from 1; 0 for none.
func order(l *lesson.Lesson, text, act, number string) (place int, err error) {
	places := make([]int, len(l.Items))
	for i := range places {
		places[i] = i
	}
	if text != "" {
		places = places[:0]
		for _, word := range strings.Split(text, ",") {
			n, err := strconv.Atoi(word)
			if err != nil {
				return 0, fmt.Errorf("the order %q: numbers of items, separated by commas, are right", text)
			}
			places = append(places, n-1)
		}
	}
	if err := l.Order(places); err != nil {
		return 0, err
	}
	if act != "up" && act != "down" && act != "remove" {
		return 0, nil
	}
	n, err := strconv.Atoi(number)
	at := slices.Index(places, n-1)
	if err != nil || at < 0 {
		return 0, fmt.Errorf("item %q: the lesson has %d", number, len(l.Items))
	}
	switch act {
	case "up":
		return at, l.Move(at, at-1)
	case "down":
		return at + 2, l.Move(at, at+1)
	}
	return 0, l.Remove(at)
}

func (s *Area) deleteLesson(w http.ResponseWriter, r *http.Request) error {
	x, err := s.loadLesson(r)
	if err != nil {
		return err
	}
	return s.putAway(w, r, x)
}

// putAway deletes a lesson; Undo on the next page brings it back.
func (s *Area) putAway(w http.ResponseWriter, r *http.Request, x *store.SavedLesson) error {
	if err := s.store.DeleteLesson(x.ID); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/lessons?deleted="+strconv.Itoa(int(x.ID)))
}

// takeReady makes a lesson of the user's own of a ready-made one, under its title or the first free one with a number.
func (s *Area) takeReady(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	l, err := lesson.ReadReady(r.PostForm.Get("name"))
	if err != nil {
		return page.NotFound("%s.", wording.Capital(err.Error()))
	}
	title := l.Title
	for n := 2; ; n++ {
		x, err := s.store.AddLesson(l)
		if err == nil {
			return page.SeeOther(w, r, lessonPath(x.ID))
		}
		if !errors.Is(err, store.ErrNameTaken) || n > 1000 {
			return err
		}
		l.Title = fmt.Sprintf("%s %d", title, n)
	}
}
