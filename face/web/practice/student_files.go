package practice

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"strconv"

	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// importStudent keeps a student who was exported elsewhere, under the file's name or another.
func (s *Area) importStudent(w http.ResponseWriter, r *http.Request) error {
	f, head, err := r.FormFile("file")
	if err != nil {
		return page.Refused("No file came, or it is too large. Choose a student's file first.")
	}
	defer f.Close()
	data, err := store.ReadStudentData(f)
	if err != nil {
		return page.Refused("The file %s cannot be used: %s.", head.Filename, err)
	}
	if as := r.FormValue("as"); as != "" {
		if err := exercise.CheckName(as); err != nil {
			return page.Refused("The other name: %s.", err)
		}
		data.Student.Name = as
	}
	st, err := s.store.AddStudentData(data)
	if errors.Is(err, store.ErrNameTaken) {
		return page.Refused("A student %s is here already; give another name.", data.Student.Name)
	}
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, "/students?"+url.Values{"done": {"imported"}, "name": {st.Name}}.Encode())
}

// keepAnswers puts what a student decided in a file of drills into a record: that of the student who is chosen, or of one who has the
// name that was typed into the file, as far as the teacher says so.
func (s *Area) keepAnswers(w http.ResponseWriter, r *http.Request) error {
	f, head, err := r.FormFile("file")
	if err != nil {
		return page.Refused("No file came, or it is too large. Choose a file of answers first.")
	}
	defer f.Close()
	returned, err := lesson.ReadReturned(f)
	if err != nil {
		return page.Refused("The file %s cannot be used: %s.", head.Filename, err)
	}
	name := cmp.Or(r.FormValue("student"), returned.Student)
	if name == "" {
		return page.Refused("%s names nobody; choose whose answers they are.", head.Filename)
	}
	kept, err := s.desk.KeepReturned(r.Context(), returned, name)
	switch {
	case errors.Is(err, store.ErrNoStudent):
		return page.Refused("There is no student %s; choose whose answers they are, or add the name under Practice first.", name)
	case errors.Is(err, drill.ErrFree):
		return page.Refused("The file %s cannot be used: %s.", head.Filename, err)
	case err != nil:
		return err
	}
	return page.SeeOther(w, r, "/students?"+url.Values{"done": {"answers"}, "name": {name}, "n": {strconv.Itoa(kept.Kept)}, "unknown": {strconv.Itoa(kept.Unknown)}}.Encode())
}
