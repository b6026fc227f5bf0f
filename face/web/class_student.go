package web

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"time"

	"golang.org/x/time/rate"

	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/class"
)

// routeStudents is what students see: the way into a class, and the room. It is all that is served to the network.
func (s *Server) routeStudents(mux *http.ServeMux) {
	mux.HandleFunc("GET /join", s.phone(s.showJoin))
	mux.HandleFunc("GET /join/{code}", s.phone(s.showJoin))
	mux.HandleFunc("POST /join", s.phone(s.join))
	mux.HandleFunc("GET /room", s.phone(s.showRoom))
	mux.HandleFunc("POST /room/leave", s.phone(s.leaveRoom))
	mux.HandleFunc("GET /room/live", s.phoneData(s.liveRoom))
	mux.HandleFunc("POST /room/choice", s.phoneData(s.takeChoice))
	mux.HandleFunc("POST /room/decide", s.phoneData(s.takeDecision))
	mux.HandleFunc("POST /room/back", s.phoneData(s.comeBack))
}

// maxPhone is the most bytes that a phone sends at once.
const maxPhone = 4 << 10

// studentCookie holds what a phone is known by. The phone keeps it a second time, for browsers that forget cookies.
const studentCookie = "student"

// newTaps bounds how often one student sends.
func newTaps() *limits { return newLimits(rate.Limit(10), 100, nil) }

// phonePage is what the students' layout needs.
type phonePage struct {
	page.Page
	// Token is what the phone is to keep, Class the number of its class; empty before one has joined.
	Token string
	Class int64
}

// phone is a page for students: bounded, and with errors in their own layout.
func (s *Server) phone(h page.Handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, maxPhone)
		if err := h(w, r); err != nil {
			s.failPhone(w, r, err)
		}
	}
}

func (s *Server) failPhone(w http.ResponseWriter, r *http.Request, err error) {
	s.RenderIn(w, s.phoneStatus(w, r, err), "lost", "phone", phonePage{Page: page.Page{Title: "Class", Data: s.phoneText(err)}})
}

// phoneStatus is the status of an error for a phone; what went wrong inside is logged.
func (s *Server) phoneStatus(w http.ResponseWriter, r *http.Request, err error) int {
	code := s.Status(err)
	switch code {
	case http.StatusInternalServerError:
		s.Log.Error("request failed", "method", r.Method, "path", r.URL.Path, "error", err)
	case http.StatusTooManyRequests:
		w.Header().Set("Retry-After", "5")
	}
	return code
}

// phoneText is an error for students: what went wrong inside is for the log alone.
func (s *Server) phoneText(err error) string {
	if s.Status(err) == http.StatusInternalServerError {
		return "Something went wrong at the teacher's machine. It is tried again."
	}
	return err.Error()
}

// phoneData is what a phone's script asks for; errors are one sentence as JSON.
func (s *Server) phoneData(h page.Handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, maxPhone)
		if err := h(w, r); err != nil {
			writeJSON(w, s.phoneStatus(w, r, err), map[string]any{"error": s.phoneText(err), "closed": errors.Is(err, errVoteClosed)})
		}
	}
}

func writeJSON(w http.ResponseWriter, code int, data any) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(code)
	json.NewEncoder(w).Encode(data) // the reader may have gone; there is nobody to tell
}

// readJSON reads what a phone sends.
func readJSON(r *http.Request, into any) error {
	body, err := io.ReadAll(r.Body)
	if err == nil {
		err = json.Unmarshal(body, into)
	}
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return page.Errorf(http.StatusRequestEntityTooLarge, "That is too much at once.")
	}
	if err != nil {
		return page.Errorf(http.StatusBadRequest, "The message could not be read.")
	}
	return nil
}

// joinPage asks for the code, or with a right one for the nickname.
type joinPage struct{ Code, Name, Error string }

func (s *Server) showJoin(w http.ResponseWriter, r *http.Request) error {
	text := r.PathValue("code")
	if text == "" {
		text = r.FormValue("code")
	}
	if text == "" {
		s.RenderIn(w, http.StatusOK, "join", "phone", phonePage{Page: page.Page{Title: "Join a class", Data: joinPage{}}})
		return nil
	}
	rm, err := s.roomByCode(r, text)
	if err != nil {
		return s.askCode(w, r, err)
	}
	if here, _, err := s.student(r); err == nil && here == rm {
		return page.SeeOther(w, r, "/room")
	}
	s.RenderIn(w, http.StatusOK, "join", "phone", phonePage{Page: page.Page{Title: "Join a class", Data: joinPage{Code: rm.Code}}})
	return nil
}

// askCode asks for the code again and says why.
func (s *Server) askCode(w http.ResponseWriter, r *http.Request, err error) error {
	if s.Status(err) == http.StatusInternalServerError {
		return err
	}
	s.RenderIn(w, s.phoneStatus(w, r, err), "join", "phone", phonePage{Page: page.Page{Title: "Join a class", Data: joinPage{Error: err.Error()}}})
	return nil
}

// roomByCode is the class that a code lets into. Wrong codes are counted by address, so that nobody can try them out.
func (s *Server) roomByCode(r *http.Request, text string) (*room, error) {
	refund, ok := s.hall.guesses.take(addressOf(r.RemoteAddr))
	if !ok {
		return nil, page.Errorf(http.StatusTooManyRequests, "Too many wrong codes were tried. Wait a minute, then type the code from the teacher's screen.")
	}
	code, err := class.ParseCode(text)
	if err != nil {
		refund() // that was no guess
		return nil, page.Refused("%s.", wording.Capital(err.Error()))
	}
	id, err := s.store.ClassByCode(code)
	if errors.Is(err, store.ErrNoClass) {
		return nil, page.NotFound("No class is open under %s. Look at the code again; it ends with its class.", code)
	}
	refund()
	if err != nil {
		return nil, err
	}
	return s.hall.room(id)
}

func (s *Server) join(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	rm, err := s.roomByCode(r, r.PostForm.Get("code"))
	if err != nil {
		return s.askCode(w, r, err)
	}
	if here, _, err := s.student(r); err == nil && here == rm {
		return page.SeeOther(w, r, "/room") // a second tap on the button
	}
	name := r.PostForm.Get("name")
	_, token, err := rm.join(name)
	if err != nil {
		s.RenderIn(w, http.StatusUnprocessableEntity, "join", "phone", phonePage{Page: page.Page{Title: "Join a class",
			Data: joinPage{Code: rm.Code, Name: name, Error: wording.Capital(err.Error()) + "."}}})
		return nil
	}
	setCookie(w, studentCookie, token, "/")
	return page.SeeOther(w, r, "/room")
}

// setCookie sets a cookie that scripts cannot read and other sites cannot use, for a term's time.
func setCookie(w http.ResponseWriter, name, value, path string) {
	http.SetCookie(w, &http.Cookie{Name: name, Value: value, Path: path, HttpOnly: true, SameSite: http.SameSiteLaxMode, MaxAge: int((180 * 24 * time.Hour).Seconds())})
}

// errNoPlace: the phone is not known in any class.
var errNoPlace = page.Errorf(http.StatusUnauthorized, "This phone has no place in a class yet. Join with the code.")

// student is who a request comes from.
func (s *Server) student(r *http.Request) (*room, class.Student, error) {
	c, err := r.Cookie(studentCookie)
	if err != nil {
		return nil, class.Student{}, errNoPlace
	}
	return s.studentBy(c.Value)
}

func (s *Server) studentBy(token string) (*room, class.Student, error) {
	if token == "" || len(token) > 64 {
		return nil, class.Student{}, errNoPlace
	}
	id, err := s.store.ClassOf(token)
	if errors.Is(err, store.ErrNoClass) {
		return nil, class.Student{}, errNoPlace
	}
	if err != nil {
		return nil, class.Student{}, err
	}
	rm, err := s.hall.room(id)
	if err != nil {
		return nil, class.Student{}, err
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	st, err := rm.Student(rm.Tokens[token])
	if err != nil {
		return nil, st, errNoPlace
	}
	return rm, st, nil
}

// roomPage is the shell of a student's room; its script fills it.
type roomPage struct {
	Known bool // the phone's cookie names a student; otherwise the script looks for what it kept itself
	Code  string
	Name  string
}

func (s *Server) showRoom(w http.ResponseWriter, r *http.Request) error {
	rm, st, err := s.student(r)
	if errors.Is(err, errNoPlace) {
		s.RenderIn(w, http.StatusOK, "room", "phone", phonePage{Page: page.Page{Title: "Class", Data: roomPage{}}})
		return nil
	}
	if err != nil {
		return err
	}
	c, err := r.Cookie(studentCookie)
	if err != nil {
		return errNoPlace
	}
	p := phonePage{Page: page.Page{Title: "Class"}, Token: c.Value, Class: rm.ID}
	rm.mu.Lock()
	p.Data = roomPage{Known: true, Code: rm.Code, Name: st.Name}
	rm.mu.Unlock()
	s.RenderIn(w, http.StatusOK, "room", "phone", p)
	return nil
}

// comeBack gives a phone its cookie back for what it kept itself.
func (s *Server) comeBack(w http.ResponseWriter, r *http.Request) error {
	var sent struct {
		Token string `json:"token"`
	}
	if err := readJSON(r, &sent); err != nil {
		return err
	}
	rm, _, err := s.studentBy(sent.Token)
	if err != nil {
		return err
	}
	setCookie(w, studentCookie, sent.Token, "/")
	rm.mu.Lock()
	code := rm.Code
	rm.mu.Unlock()
	writeJSON(w, http.StatusOK, map[string]string{"code": code})
	return nil
}

// leaveRoom makes the phone forget its place, for the next student who uses it. The answers stay.
func (s *Server) leaveRoom(w http.ResponseWriter, r *http.Request) error {
	http.SetCookie(w, &http.Cookie{Name: studentCookie, Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteLaxMode})
	return page.SeeOther(w, r, "/join?left=yes")
}

// sentChoice is one message of a phone. Made is in milliseconds since 1970 by the server's clock, as far as the phone
// knows it.
type sentChoice struct {
	Round  int          `json:"round"`
	Seq    int64        `json:"seq"`
	Made   int64        `json:"made"`
	Choice class.Choice `json:"choice"`
}

// errVoteClosed: the choice came too late to count.
var errVoteClosed = page.Errorf(http.StatusConflict, "The vote was closed before this choice was made. The last one kept before counts.")

// maxSeq is the greatest whole number that a phone's script can count to.
const maxSeq = 1<<53 - 1

// takeChoice keeps a choice and answers once it is on the disk.
func (s *Server) takeChoice(w http.ResponseWriter, r *http.Request) error {
	rm, st, err := s.tapper(r)
	if err != nil {
		return err
	}
	var sent sentChoice
	if err := readJSON(r, &sent); err != nil {
		return err
	}
	if sent.Seq < 1 || sent.Seq > maxSeq || sent.Made < 0 || sent.Made > maxSeq {
		return page.Refused("The message has no right number.")
	}
	if _, err = rm.keep(r.Context(), st.ID, sent.Round, class.Vote{Seq: sent.Seq, Choice: sent.Choice, Made: time.UnixMilli(sent.Made), Received: s.hall.now()}); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]int64{"kept": sent.Seq})
	return nil
}

// tapper is the student who sends, bounded in how often.
func (s *Server) tapper(r *http.Request) (*room, class.Student, error) {
	rm, st, err := s.student(r)
	if err != nil {
		return nil, st, err
	}
	c, err := r.Cookie(studentCookie)
	if err != nil {
		return nil, st, errNoPlace
	}
	if _, ok := s.hall.taps.take(c.Value); !ok {
		return nil, st, page.Errorf(http.StatusTooManyRequests, "That was too much at once. The last choice is sent again in a moment.")
	}
	return rm, st, nil
}

// takeDecision takes the decision of a student who walks alone.
func (s *Server) takeDecision(w http.ResponseWriter, r *http.Request) error {
	rm, st, err := s.tapper(r)
	if err != nil {
		return err
	}
	var sent sentChoice
	if err := readJSON(r, &sent); err != nil {
		return err
	}
	if err := s.decideAlone(rm, st.ID, sent.Round-1, sent.Choice); err != nil {
		return err
	}
	state, _, err := s.phoneState(rm, st.ID)
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, state)
	return nil
}
