package practice

import (
	"net/http"

	"secondpass/face/web/page"
	"secondpass/teach/drill"
)

// ownPath is where the pages of students' phones begin; the student's token follows, which nobody can guess.
const ownPath = "/own/"

// baseOf is where the pages of practice begin for a request.
func baseOf(r *http.Request) string {
	if token := r.PathValue("token"); token != "" {
		return ownPath + token
	}
	return "/practice"
}

// maxPhone is the most bytes of a form that a phone sends.
const maxPhone = 4 << 10

// RoutePhones is practice for phones on the network: the drills of the student whose link it is, and nothing else.
func (s *Area) RoutePhones(mux page.Routes) {
	mux.HandleFunc("GET /own/{token}", s.phone(s.showOwn))
	mux.HandleFunc("GET /own/{token}/next", s.phone(s.nextDrill))
	mux.HandleFunc("GET /own/{token}/drills/{id}", s.phone(s.showTry))
	mux.HandleFunc("POST /own/{token}/drills/{id}", s.phone(s.takeTry))
	mux.HandleFunc("GET /own/{token}/tries/{try}", s.phone(s.showTried))
}

// PhonesAt says where phones reach these pages, as in http://192.0.2.7:7521; where says none while they do not.
func (s *Area) PhonesAt(where func() []string) { s.doors = where }

// phone is a page for a student's phone, with errors in its layout.
func (s *Area) phone(h page.Handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, maxPhone)
		w.Header().Set("Referrer-Policy", "no-referrer") // the address is a secret
		err := h(w, r)
		if err == nil {
			return
		}
		s.Note(err)
		code, text := s.Status(err), err.Error()
		if code == http.StatusInternalServerError {
			s.Log.Error("request failed", "method", r.Method, "path", ownPath, "error", err)
			text = "Something went wrong at the teacher's machine, and this is not kept. Try it again."
		}
		s.RenderIn(w, code, "own", "own", page.Page{Title: "Practice", Data: ownPage{Error: text}})
	}
}

// show writes a page in the layout of the workbook, or of a student's phone.
func (s *Area) show(w http.ResponseWriter, r *http.Request, code int, name string, p page.Page) {
	if r.PathValue("token") != "" {
		s.RenderIn(w, code, name, "own", p)
		return
	}
	s.Render(w, code, name, p)
}

// ownPage is what there is to practise on a student's phone.
type ownPage struct {
	practicePage
	Error string
}

// showOwn greets the student of a link.
func (s *Area) showOwn(w http.ResponseWriter, r *http.Request) error {
	st, ok, err := s.somebody(w, r)
	if !ok {
		return err
	}
	p := ownPage{practicePage: practicePage{Student: &st}}
	if err := s.fillPractice(&p.practicePage, r); err != nil {
		return err
	}
	s.show(w, r, http.StatusOK, "own", page.Page{Title: "Practice", Data: p})
	return nil
}

// linkOf is where a student's phone practises; "" while no phone can come in.
func (s *Area) linkOf(st *drill.Student) (string, error) {
	if s.doors == nil {
		return "", nil
	}
	at := s.doors()
	if len(at) == 0 {
		return "", nil
	}
	token, err := s.store.StudentToken(st.Name)
	return at[0] + ownPath + token, err
}
