package club

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"strings"
	"sync"

	"secondpass/store"
	"secondpass/teach/class"
)

// maxPhone is the most bytes that a phone sends at once.
const maxPhone = 4 << 10

// studentCookie is by which a phone in a class is known; see package liveclass.
const studentCookie = "student"

// toPhones gives the request of a phone to the teacher to whom its code or token leads, else to the lobby.
func (f *Front) toPhones(w http.ResponseWriter, r *http.Request) {
	if strings.HasPrefix(r.URL.Path, "/assets/") {
		f.lobby.handler.ServeHTTP(w, r)
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, maxPhone)
	teacher, err := f.leads(r)
	if errors.Is(err, store.ErrNoTeacher) {
		f.lobby.phones.ServeHTTP(w, r)
		return
	}
	if err != nil {
		f.Fail(w, r, err)
		return
	}
	f.toTeacher(w, r, teacher, func(b *book, w http.ResponseWriter, r *http.Request) { b.phones.ServeHTTP(w, r) })
}

// guessing is held while a code is looked up: nobody gets ahead of the count of wrong ones.
var guessing sync.Mutex

// leads is the teacher to whom a request of a phone leads; store.ErrNoTeacher where that is nobody.
func (f *Front) leads(r *http.Request) (int64, error) {
	switch path := r.URL.Path; {
	case strings.HasPrefix(path, "/own/"):
		token, _, _ := strings.Cut(strings.TrimPrefix(path, "/own/"), "/")
		return f.secret(token)
	case strings.HasPrefix(path, "/join/"):
		return f.typed(r, strings.TrimPrefix(path, "/join/"))
	case path == "/join" && r.Method == http.MethodPost:
		data, err := readAgain(r)
		if err == nil {
			err = r.ParseForm()
		}
		if err != nil {
			return 0, store.ErrNoTeacher // the lobby says what is wrong with it
		}
		r.Body = io.NopCloser(bytes.NewReader(data))
		return f.typed(r, r.PostForm.Get("code"))
	case path == "/room/back":
		return f.cameBack(r)
	case path == "/room" || strings.HasPrefix(path, "/room/"):
		if c, err := r.Cookie(studentCookie); err == nil {
			return f.secret(c.Value)
		}
	}
	return 0, store.ErrNoTeacher
}

// shortest is the fewest characters of what nobody can guess.
const shortest = 20

// secret looks up what nobody can guess. It leads to the same teacher for good, or, once it is forgotten there, to somebody who says so.
func (f *Front) secret(token string) (int64, error) {
	if len(token) < shortest || len(token) > 64 {
		return 0, store.ErrNoTeacher
	}
	if teacher, ok := f.led.of(token); ok {
		return teacher, nil
	}
	teacher, err := f.Teachers.TeacherOf(token)
	if err == nil {
		f.led.keep(token, teacher)
	}
	return teacher, err
}

// ledKept bounds the memory that tokens take.
const ledKept = 20_000

// led is to whom tokens have led.
type led struct {
	mu sync.RWMutex
	to map[string]int64
}

func (l *led) of(token string) (teacher int64, ok bool) {
	l.mu.RLock()
	defer l.mu.RUnlock()
	teacher, ok = l.to[token]
	return teacher, ok
}

func (l *led) keep(token string, teacher int64) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.to) >= ledKept || l.to == nil {
		l.to = map[string]int64{}
	}
	l.to[token] = teacher
}

// typed looks up the code of a class, or its link. Wrong codes are counted by address.
func (f *Front) typed(r *http.Request, text string) (int64, error) {
	if len(text) >= shortest {
		return f.secret(text)
	}
	code, err := class.ParseCode(text)
	if err != nil {
		return 0, store.ErrNoTeacher
	}
	guessing.Lock()
	defer guessing.Unlock()
	from := addressOf(r)
	if !f.guesses.May(from) {
		return 0, store.ErrNoTeacher // the lobby has counted as many and says so
	}
	teacher, err := f.Teachers.TeacherOf(code)
	if errors.Is(err, store.ErrNoTeacher) {
		f.guesses.Take(from)
	}
	return teacher, err
}

// readAgain is what a request brings, which can be read again.
func readAgain(r *http.Request) ([]byte, error) {
	data, err := io.ReadAll(r.Body)
	if err == nil {
		r.Body = io.NopCloser(bytes.NewReader(data))
	}
	return data, err
}

// cameBack looks up what a phone kept itself.
func (f *Front) cameBack(r *http.Request) (int64, error) {
	data, err := readAgain(r)
	if err != nil {
		return 0, store.ErrNoTeacher
	}
	var sent struct {
		Token string `json:"token"`
	}
	if json.Unmarshal(data, &sent) != nil {
		return 0, store.ErrNoTeacher
	}
	return f.secret(sent.Token)
}
