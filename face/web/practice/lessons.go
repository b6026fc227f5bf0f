package practice

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/reader"
	"secondpass/face/reader/onefile"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/draw"
	"secondpass/paper/handout"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/lesson"
)

// routeLessons is the lessons and what is printed of them.
func (s *Area) routeLessons(mux page.Routes) {
	mux.HandleFunc("GET /lessons", s.Handle(s.listLessons))
	mux.HandleFunc("POST /lessons", s.Handle(s.newLesson))
	mux.HandleFunc("POST /lessons/ready", s.Handle(s.takeReady))
	mux.HandleFunc("POST /lessons/import", s.Handle(s.importLesson))
	mux.HandleFunc("POST /lessons/add", s.Handle(s.addToLesson))
	mux.HandleFunc("GET /lessons/{id}", s.Handle(s.showLesson))
	mux.HandleFunc("POST /lessons/{id}", s.Handle(s.changeLesson))
	mux.HandleFunc("POST /lessons/{id}/delete", s.Handle(s.deleteLesson))
	mux.HandleFunc("POST /lessons/{id}/restore", s.Handle(s.restoreLesson))
	mux.HandleFunc("GET /lessons/{id}/{file}", s.Handle(s.lessonFile))
}

type lessonsPage struct {
	Ready        []lesson.ReadyMade
	Lessons      []store.LessonEntry
	Part         page.Part
	Error, Title string
}

func (s *Area) listLessons(w http.ResponseWriter, r *http.Request) error {
	return s.showLessons(w, r, http.StatusOK, lessonsPage{})
}

func (s *Area) showLessons(w http.ResponseWriter, r *http.Request, code int, p lessonsPage) error {
	all, err := s.store.Lessons()
	if err != nil {
		return err
	}
	p.Ready = lesson.Ready()
	p.Lessons, p.Part = page.PartOf(r, all)
	p.Part = p.Part.ByTime()
	out := page.Page{Title: "Lessons", Section: "Lessons", Data: p}
	if id, err := strconv.Atoi(r.FormValue("deleted")); err == nil {
		out.Said, out.Undo = "The lesson is deleted.", "/lessons/"+strconv.Itoa(id)+"/restore"
	}
	s.Render(w, code, "lessons", out)
	return nil
}

func lessonPath(id int64) string { return "/lessons/" + strconv.Itoa(int(id)) }

func (s *Area) newLesson(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	title := strings.TrimSpace(r.PostForm.Get("title"))
	l, err := lesson.New(title)
	if err != nil {
		return s.showLessons(w, r, http.StatusUnprocessableEntity, lessonsPage{Error: wording.Capital(err.Error()) + ".", Title: title})
	}
	x, err := s.store.AddLesson(l)
	if errors.Is(err, store.ErrNameTaken) {
		return s.showLessons(w, r, http.StatusUnprocessableEntity, lessonsPage{Error: "Another lesson has that title.", Title: title})
	}
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, lessonPath(x.ID))
}

// loadLesson is the lesson of the address.
func (s *Area) loadLesson(r *http.Request) (*store.SavedLesson, error) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		return nil, page.NotFound("There is no lesson %s.", r.PathValue("id"))
	}
	x, err := s.store.Lesson(id)
	if errors.Is(err, store.ErrNoLesson) {
		return nil, page.NotFound("There is no lesson %d; it may have been deleted.", id)
	}
	return x, err
}

// lessonItem is one item of a lesson as it is shown.
type lessonItem struct {
	Number          int
	What, Ask, Note string
	Rack            template.HTML
}

type lessonPage struct {
	ID, Revision int64
	Title, Note  string
	Teacher      string
	Items        []lessonItem
	Drills       int
	Error        string
}

func (s *Area) showLesson(w http.ResponseWriter, r *http.Request) error {
	x, err := s.loadLesson(r)
	if err != nil {
		return err
	}
	return s.renderLesson(w, http.StatusOK, x, "")
}

func (s *Area) renderLesson(w http.ResponseWriter, code int, x *store.SavedLesson, said string) error {
	p := lessonPage{ID: x.ID, Revision: x.Revision, Title: x.Lesson.Title, Note: x.Lesson.Note, Teacher: x.Lesson.Teacher, Error: said}
	for i := range x.Items {
		item := &x.Items[i]
		board, err := item.Board()
		if err != nil {
			return err
		}
		v := lessonItem{Number: i + 1, Note: item.Note, Rack: view.RackStrip("Rack", board.Rack)}
		if item.Drill != nil {
			v.What, v.Ask = "Drill: "+wording.DrillKind(item.Drill.Kind), wording.DrillQuestion(item.Drill)
			p.Drills++
		} else {
			v.What = fmt.Sprintf("Exercise: %s, route %s", item.Exercise.Name, item.Route)
			v.Ask = fmt.Sprintf("asked after %s", wording.Plural(item.At, "decision"))
		}
		p.Items = append(p.Items, v)
	}
	s.Render(w, code, "lesson", page.Page{Title: "Lesson: " + p.Title, Section: "Lessons", Data: p})
	return nil
}

// clean is typed text with the line ends of this program.
func clean(text string) string { return strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n")) }

// addToLesson puts an exercise's step or a drill into a lesson, or into a new one.
func (s *Area) addToLesson(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	x, err := s.lessonOf(r.PostForm)
	if err != nil {
		return err
	}
	ticked := r.PostForm["drill"]
	if len(ticked) == 0 {
		ticked = r.PostForm["shown"] // none ticked are all that the list shows
	}
	if len(ticked) == 0 && r.PostForm.Get("exercise") == "" {
		return page.Refused("No drill is ticked. Tick those that are to go into the lesson, or show some.")
	}
	for n := range max(1, len(ticked)) {
		f := r.PostForm
		if len(ticked) > 0 {
			f = url.Values{"drill": {ticked[n]}}
		}
		if err := s.addItem(x.Lesson, f); err != nil {
			return err
		}
	}
	if x.ID == 0 {
		x, err = s.store.AddLesson(x.Lesson)
	} else {
		err = s.store.SaveLesson(x)
	}
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, lessonPath(x.ID))
}

// lessonOf is the lesson that a form names by number, or a new one by title.
func (s *Area) lessonOf(f url.Values) (*store.SavedLesson, error) {
	if id, err := strconv.ParseInt(f.Get("lesson"), 10, 64); err == nil {
		x, err := s.store.Lesson(id)
		if errors.Is(err, store.ErrNoLesson) {
			return nil, page.NotFound("There is no lesson %d.", id)
		}
		return x, err
	}
	l, err := lesson.New(strings.TrimSpace(f.Get("title")))
	if err != nil {
		return nil, page.Refused("No lesson: %s.", err)
	}
	return &store.SavedLesson{Lesson: l}, nil
}

func (s *Area) addItem(l *lesson.Lesson, f url.Values) error {
	if text := f.Get("drill"); text != "" {
		id, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return page.NotFound("There is no drill %s.", text)
		}
		d, err := s.store.Drill(id)
		if errors.Is(err, store.ErrNoDrill) {
			return page.NotFound("There is no drill %d.", id)
		}
		if err != nil {
			return err
		}
		c, err := s.store.DrillCard(d.Key.Fingerprint)
		if err != nil {
			return err
		}
		if err := l.AddDrill(d, c, ""); err != nil {
			return page.Refused("Not put into the lesson: %s.", err)
		}
		return nil
	}
	x, err := s.store.Load(f.Get("exercise"))
	if err != nil {
		return err
	}
	at, err := strconv.Atoi(f.Get("at"))
	if err != nil {
		return page.Refused("The step is missing: %q is no number.", f.Get("at"))
	}
	if err := l.AddExercise(x.Exercise, f.Get("route"), at, ""); err != nil {
		return page.Refused("Not put into the lesson: %s.", err)
	}
	return nil
}

func (s *Area) importLesson(w http.ResponseWriter, r *http.Request) error {
	f, head, err := r.FormFile("file")
	if err != nil {
		return page.Refused("No file came, or it is too large. Choose a lesson file first.")
	}
	defer f.Close()
	l, err := lesson.Read(f)
	if err != nil {
		return page.Refused("The file %s cannot be used: %s.", head.Filename, err)
	}
	x, err := s.store.AddLesson(l)
	if errors.Is(err, store.ErrNameTaken) {
		return page.Refused("A lesson with the title %q is here already; rename that one first.", l.Title)
	}
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, lessonPath(x.ID))
}

func (s *Area) restoreLesson(w http.ResponseWriter, r *http.Request) error {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		return page.NotFound("There is no lesson %s.", r.PathValue("id"))
	}
	if err := s.store.RestoreLesson(id); errors.Is(err, store.ErrNoLesson) {
		return page.NotFound("There is no deleted lesson %d.", id)
	} else if err != nil {
		return err
	}
	return page.SeeOther(w, r, lessonPath(id))
}

// lessonFile is the handout, the answer sheet, the reader's page, or the lesson itself.
func (s *Area) lessonFile(w http.ResponseWriter, r *http.Request) error {
	x, err := s.loadLesson(r)
	if err != nil {
		return err
	}
	paper, err := page.PaperOf(r)
	if err != nil {
		return err
	}
	var d *draw.Document
	switch r.PathValue("file") {
	case "handout.pdf":
		d, err = handout.Questions(x.Lesson, paper)
	case "answers.pdf":
		d, err = s.answers(r.Context(), x.Lesson, paper)
	case "reader-page.html":
		return s.readerPage(w, r, x)
	case "lesson.json":
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		w.Header().Set("Content-Disposition", page.Attachment(x.Lesson.Title, ".json"))
		return x.Lesson.Write(w)
	default:
		return page.NotFound("A lesson has no %s.", r.PathValue("file"))
	}
	if err != nil {
		return err
	}
	return page.SendPaper(w, r, d, x.Lesson.Title)
}

// answers is the answer sheet, with the routes of exercises judged: some seconds for each.
func (s *Area) answers(ctx context.Context, l *lesson.Lesson, paper draw.PaperSize) (*draw.Document, error) {
	all := map[*lesson.Item]map[string]*advice.Review{}
	for i := range l.Items {
		item := &l.Items[i]
		if item.Exercise == nil {
			continue
		}
		reviews, err := s.desk.AnswerRoutes(ctx, item.Exercise, desk.ReviewGames, nil)
		if err != nil {
			return nil, err
		}
		all[item] = reviews
	}
	return handout.Answers(l, func(i *lesson.Item, r *exercise.Route) *advice.Review { return all[i][r.Name] }, paper)
}

// readerPage is the lesson as one file that students do elsewhere.
func (s *Area) readerPage(w http.ResponseWriter, r *http.Request, x *store.SavedLesson) error {
	l := x.Lesson
	if r.FormValue("only") == "drills" {
		l = l.OnlyDrills()
	}
	data, err := onefile.Of(r.Context(), s.desk, onefile.Subject{Lesson: l}, reader.After, func(said string) { s.Log.Info(said) })
	switch {
	case onefile.Refused(err):
		return page.Refused("There is no reader's page: %s.", err)
	case errors.Is(err, onefile.ErrNoEngine):
		return page.Errorf(http.StatusNotImplemented, "There is no reader's page: %s.", err)
	case err != nil:
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Disposition", page.Attachment(x.Lesson.Title, ".html"))
	_, err = w.Write(data)
	return err
}
