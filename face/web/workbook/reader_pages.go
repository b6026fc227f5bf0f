package workbook

import (
	"archive/zip"
	"bytes"
	"cmp"
	"context"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"secondpass/exercise"
	"secondpass/face/reader"
	"secondpass/face/reader/onefile"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/store"
)

// routeReaderPages is what readers elsewhere get: a page, or a folder of several.
func (s *Area) routeReaderPages(mux page.Routes) {
	mux.HandleFunc("GET /exercises/{id}/reader-page", s.Handle(s.readerPage))
	mux.HandleFunc("GET /reader-pages", s.Handle(s.chooseReaderPages))
	mux.HandleFunc("POST /reader-pages", s.Handle(s.readerPages))
}

// readerPage is the exercise as one file that readers walk elsewhere.
func (s *Area) readerPage(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	data, err := onefile.Of(r.Context(), s.desk, onefile.Subject{Exercise: x.Exercise}, showingOf(r), s.says)
	if err != nil {
		return noPage(err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Disposition", page.Attachment(x.Exercise.Name, ".html"))
	_, err = w.Write(data)
	return err
}

func showingOf(r *http.Request) reader.Showing {
	return reader.Showing(cmp.Or(r.FormValue("routes"), string(reader.After)))
}

func (s *Area) says(said string) { s.Log.Info(said) }

// noPage is why there is no page, as it is answered.
func noPage(err error) error {
	switch {
	case onefile.Refused(err):
		return page.Refused("There is no reader's page: %s.", err)
	case errors.Is(err, onefile.ErrNoEngine):
		return page.Errorf(http.StatusNotImplemented, "There is no reader's page: %s.", err)
	}
	return err
}

// readerPagesPage is the form by which several exercises and lessons go into one folder.
type readerPagesPage struct {
	Exercises, Lessons []choosable
	// More is how many exercises are not shown, being changed longest ago; Most is how many pages a folder can have.
	More, Most int
	Title      string
	Routes     reader.Showing
	Error      string
}

// choosable is an exercise or a lesson by its number.
type choosable struct {
	ID     int64
	Name   string
	Chosen bool
}

func (s *Area) chooseReaderPages(w http.ResponseWriter, r *http.Request) error {
	return s.showReaderPages(w, r, http.StatusOK, "")
}

// showReaderPages shows the form as it was filled in.
func (s *Area) showReaderPages(w http.ResponseWriter, r *http.Request, code int, refusal string) error {
	exercises, err := s.store.List(false)
	if err != nil {
		return err
	}
	lessons, err := s.store.Lessons()
	if err != nil {
		return err
	}
	p := &readerPagesPage{Title: r.FormValue("title"), Routes: showingOf(r), Error: refusal, Most: onefile.MostPages, More: max(len(exercises)-onefile.MostPages, 0)}
	chosen := func(field string, id int64) bool { return slices.Contains(r.Form[field], strconv.FormatInt(id, 10)) }
	for _, x := range exercises[:len(exercises)-p.More] {
		p.Exercises = append(p.Exercises, choosable{x.ID, x.Name, chosen("exercise", x.ID)})
	}
	for _, l := range lessons {
		p.Lessons = append(p.Lessons, choosable{l.ID, l.Title, chosen("lesson", l.ID)})
	}
	s.Render(w, code, "reader-pages", page.Page{Title: "Readers' pages", Section: "Exercises", Help: "readers", Data: p})
	return nil
}

// readerPages is the folder that a form asks for, as an archive.
func (s *Area) readerPages(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	title := cmp.Or(strings.TrimSpace(r.PostForm.Get("title")), "Exercises")
	if err := exercise.CheckName(title); err != nil {
		return s.showReaderPages(w, r, http.StatusUnprocessableEntity, "The title: "+err.Error()+".")
	}
	subjects, err := s.chosenSubjects(r)
	if err != nil {
		return err
	}
	if len(subjects) == 0 {
		return s.showReaderPages(w, r, http.StatusUnprocessableEntity, "Nothing is chosen. Choose the exercises and lessons that go into the folder.")
	}
	data, err := s.folder(r.Context(), title, subjects, showingOf(r))
	if onefile.Refused(err) {
		return s.showReaderPages(w, r, http.StatusUnprocessableEntity, wording.Capital(err.Error())+".")
	}
	if err != nil {
		return noPage(err)
	}
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", page.Attachment(title, ".zip"))
	_, err = w.Write(data)
	return err
}

// chosenSubjects are those of a form: exercises, then lessons, each in the order in which the form has them.
func (s *Area) chosenSubjects(r *http.Request) ([]onefile.Subject, error) {
	var subjects []onefile.Subject
	for _, ref := range r.PostForm["exercise"] {
		x, err := address.Numbered(s.store, ref)
		if err != nil {
			return nil, err
		}
		subjects = append(subjects, onefile.Subject{Exercise: x.Exercise})
	}
	for _, ref := range r.PostForm["lesson"] {
		id, err := strconv.ParseInt(ref, 10, 64)
		if err != nil {
			return nil, page.NotFound("There is no lesson %s.", ref)
		}
		x, err := s.store.Lesson(id)
		if errors.Is(err, store.ErrNoLesson) {
			return nil, page.NotFound("There is no lesson %d; it may have been deleted.", id)
		}
		if err != nil {
			return nil, err
		}
		subjects = append(subjects, onefile.Subject{Lesson: x.Lesson})
	}
	return subjects, nil
}

// folder is the files of a folder in an archive, in a folder of its title.
func (s *Area) folder(ctx context.Context, title string, subjects []onefile.Subject, show reader.Showing) ([]byte, error) {
	files, err := onefile.FolderOf(ctx, s.desk, title, subjects, show, s.says)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, f := range files {
		to, err := out.Create(f.Name)
		if err == nil {
			_, err = to.Write(f.Data)
		}
		if err != nil {
			return nil, err
		}
	}
	err = out.Close()
	return b.Bytes(), err
}
