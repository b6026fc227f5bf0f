package liveclass

import (
	"crypto/rand"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"time"

	"secondpass/face/web/page"
	"secondpass/hall"
	"secondpass/teach/class"
)

// routeStudents is what students see: the way into a class, and the room. It is all that is served to the network.
func (c *Classes) routeStudents(mux page.Routes) {
	routeAssets(mux)
	mux.HandleFunc("GET /join", c.phone(c.showJoin))
	mux.HandleFunc("GET /join/{code}", c.phone(c.showJoin))
	mux.HandleFunc("POST /join", c.phone(c.join))
	mux.HandleFunc("GET /room", c.phone(c.showRoom))
	mux.HandleFunc("POST /room/leave", c.phone(c.leaveRoom))
	mux.HandleFunc("GET /room/card", c.phoneData(c.showCard))
	mux.HandleFunc("GET /room/live", c.phoneData(c.liveRoom))
	mux.HandleFunc("POST /room/choice", c.phoneData(c.takeChoice))
	mux.HandleFunc("POST /room/decide", c.phoneData(c.takeDecision))
	mux.HandleFunc("POST /room/back", c.phoneData(c.comeBack))
}

// maxPhone is the most bytes that a phone sends at once.
const maxPhone = 4 << 10

// studentCookie holds what a phone is known by. The phone keeps it a second time, for browsers that forget cookies.
const studentCookie = "student"

// phoneCookie holds what a phone is known by, whoever uses it: it joins a class under a few names and no more.
const phoneCookie = "phone"

// phoneOf is what the phone of a request is known by. Without a cookie it is one with all others at its address that
// have none.
func phoneOf(r *http.Request) string {
	if cookie, err := r.Cookie(phoneCookie); err == nil && len(cookie.Value) == len(rand.Text()) {
		return cookie.Value
	}
	return "at " + addressOf(r.RemoteAddr)
}

// knowPhone gives a phone a cookie that has none.
func knowPhone(w http.ResponseWriter, r *http.Request) {
	if _, err := r.Cookie(phoneCookie); err != nil {
		setCookie(w, phoneCookie, rand.Text(), "/")
	}
}

// phonePage is what the students' layout needs.
type phonePage struct {
	page.Page
	// Token is what the phone is to keep, Class the number of its class; empty before one has joined.
	Token string
	Class int64
}

// phone is a page for students: bounded, and with errors in their own layout.
func (c *Classes) phone(h page.Handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, maxPhone)
		if err := h(w, r); err != nil {
			c.failPhone(w, r, err)
		}
	}
}

func (c *Classes) failPhone(w http.ResponseWriter, r *http.Request, err error) {
	c.RenderIn(w, c.phoneStatus(w, r, err), "lost", "phone", phonePage{Page: page.Page{Title: "Class", Data: c.phoneText(err)}})
}

// phoneStatus is the status of an error for a phone; what went wrong inside is logged.
func (c *Classes) phoneStatus(w http.ResponseWriter, r *http.Request, err error) int {
	c.Note(err)
	code := c.Status(err)
	switch code {
	case http.StatusInternalServerError:
		c.Log.Error("request failed", "method", r.Method, "path", r.URL.Path, "error", err)
	case http.StatusTooManyRequests:
		w.Header().Set("Retry-After", "5")
	}
	return code
}

// phoneText is an error for students: what went wrong inside is for the log alone.
func (c *Classes) phoneText(err error) string {
	if c.Status(err) == http.StatusInternalServerError || errors.Is(err, hall.NotSaved) || errors.Is(err, hall.Unreadable) {
		return "Something went wrong at the teacher's machine, and this is not kept. Try it again."
	}
	return err.Error()
}

// phoneData is what a phone's script asks for; errors are one sentence as JSON.
func (c *Classes) phoneData(h page.Handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, maxPhone)
		if err := h(w, r); err != nil {
			writeJSON(w, c.phoneStatus(w, r, err), map[string]any{"error": c.phoneText(err), "closed": errors.Is(err, hall.Late)})
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

// joinPage asks for the code, or with a right one for the nickname. Way is the code or link by which the phone came.
type joinPage struct{ Code, Way, Name, Error string }

func (c *Classes) showJoin(w http.ResponseWriter, r *http.Request) error {
	text := r.PathValue("code")
	if text == "" {
		text = r.FormValue("code")
	}
	knowPhone(w, r)
	if text == "" {
		c.RenderIn(w, http.StatusOK, "join", "phone", phonePage{Page: page.Page{Title: "Join a class", Data: joinPage{}}})
		return nil
	}
	rm, err := c.hall.ByCode(addressOf(r.RemoteAddr), text)
	if err != nil {
		return c.askCode(w, r, err)
	}
	if here, _, err := c.student(r); err == nil && here == rm {
		return page.SeeOther(w, r, "/room")
	}
	c.RenderIn(w, http.StatusOK, "join", "phone", phonePage{Page: page.Page{Title: "Join a class", Data: joinPage{Code: rm.Now().Code, Way: text}}})
	return nil
}

// askCode asks for the code again and says why.
func (c *Classes) askCode(w http.ResponseWriter, r *http.Request, err error) error {
	if c.Status(err) == http.StatusInternalServerError {
		return err
	}
	c.RenderIn(w, c.phoneStatus(w, r, err), "join", "phone", phonePage{Page: page.Page{Title: "Join a class", Data: joinPage{Error: err.Error()}}})
	return nil
}

func (c *Classes) join(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	rm, err := c.hall.ByCode(addressOf(r.RemoteAddr), r.PostForm.Get("code"))
	if err != nil {
		return c.askCode(w, r, err)
	}
	if here, _, err := c.student(r); err == nil && here == rm {
		return page.SeeOther(w, r, "/room") // a second tap on the button
	}
	name := r.PostForm.Get("name")
	var token string
	if err = c.hall.Arrive(r.Context(), addressOf(r.RemoteAddr)); err == nil {
		_, token, err = rm.Join(name, phoneOf(r))
	}
	if err != nil {
		c.RenderIn(w, c.phoneStatus(w, r, err), "join", "phone", phonePage{Page: page.Page{Title: "Join a class",
			Data: joinPage{Code: rm.Now().Code, Way: r.PostForm.Get("code"), Name: name, Error: c.phoneText(err)}}})
		return nil
	}
	setCookie(w, studentCookie, token, "/")
	return page.SeeOther(w, r, "/room")
}

// setCookie sets a cookie that scripts cannot read and other sites cannot use, for a term's time.
func setCookie(w http.ResponseWriter, name, value, path string) {
	http.SetCookie(w, &http.Cookie{Name: name, Value: value, Path: path, HttpOnly: true, SameSite: http.SameSiteLaxMode, MaxAge: int((180 * 24 * time.Hour).Seconds())})
}

// student is who a request comes from.
func (c *Classes) student(r *http.Request) (*hall.Room, class.Student, error) {
	cookie, err := r.Cookie(studentCookie)
	if err != nil {
		return nil, class.Student{}, hall.ErrNoPlace
	}
	return c.hall.ByToken(cookie.Value)
}

// roomPage is the shell of a student's room; its script fills it.
type roomPage struct {
	Known bool // the phone's cookie names a student; otherwise the script looks for what it kept itself
	Code  string
	Name  string
}

func (c *Classes) showRoom(w http.ResponseWriter, r *http.Request) error {
	rm, st, err := c.student(r)
	if errors.Is(err, hall.Stranger) {
		c.RenderIn(w, http.StatusOK, "room", "phone", phonePage{Page: page.Page{Title: "Class", Data: roomPage{}}})
		return nil
	}
	if err != nil {
		return err
	}
	cookie, err := r.Cookie(studentCookie)
	if err != nil {
		return hall.ErrNoPlace
	}
	p := phonePage{Page: page.Page{Title: "Class"}, Token: cookie.Value, Class: rm.ID}
	p.Data = roomPage{Known: true, Code: rm.Now().Code, Name: st.Name}
	c.RenderIn(w, http.StatusOK, "room", "phone", p)
	return nil
}

// comeBack gives a phone its cookie back for what it kept itself.
func (c *Classes) comeBack(w http.ResponseWriter, r *http.Request) error {
	var sent struct {
		Token string `json:"token"`
	}
	if err := readJSON(r, &sent); err != nil {
		return err
	}
	rm, _, err := c.hall.ByToken(sent.Token)
	if err != nil {
		return err
	}
	setCookie(w, studentCookie, sent.Token, "/")
	writeJSON(w, http.StatusOK, map[string]string{"code": rm.Now().Code})
	return nil
}

// leaveRoom makes the phone forget its place, for the next student who uses it. The answers stay.
func (c *Classes) leaveRoom(w http.ResponseWriter, r *http.Request) error {
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

// maxSeq is the greatest whole number that a phone's script can count to.
const maxSeq = 1<<53 - 1

// takeChoice keeps a choice and answers once it is on the disk.
func (c *Classes) takeChoice(w http.ResponseWriter, r *http.Request) error {
	rm, st, sent, err := c.sent(r)
	if err != nil {
		return err
	}
	if sent.Seq < 1 || sent.Seq > maxSeq || sent.Made < 0 || sent.Made > maxSeq {
		return page.Refused("The message has no right number.")
	}
	if err := rm.Vote(st.ID, sent.Round, class.Vote{Seq: sent.Seq, Choice: sent.Choice, Made: time.UnixMilli(sent.Made), Received: c.hall.Clock()}); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]int64{"kept": sent.Seq})
	return nil
}

// sent is a choice and the student who sends it, bounded in how often.
func (c *Classes) sent(r *http.Request) (rm *hall.Room, st class.Student, sent sentChoice, err error) {
	if rm, st, err = c.tapper(r); err != nil {
		return nil, st, sent, err
	}
	return rm, st, sent, readJSON(r, &sent)
}

// tapper is the student who sends, bounded in how often.
func (c *Classes) tapper(r *http.Request) (*hall.Room, class.Student, error) {
	rm, st, err := c.student(r)
	if err != nil {
		return nil, st, err
	}
	cookie, err := r.Cookie(studentCookie)
	if err != nil {
		return nil, st, hall.ErrNoPlace
	}
	return rm, st, c.hall.Tap(cookie.Value)
}

// takeDecision takes the decision of a student who walks alone.
func (c *Classes) takeDecision(w http.ResponseWriter, r *http.Request) error {
	rm, st, sent, err := c.sent(r)
	if err != nil {
		return err
	}
	if err := rm.Decide(st.ID, sent.Round-1, sent.Choice); err != nil {
		return err
	}
	state, _, err := c.phoneState(rm, st.ID)
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, state)
	return nil
}
