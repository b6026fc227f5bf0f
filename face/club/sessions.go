package club

import (
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"net/http"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"

	"secondpass/club"
)

// What a session holds.
const (
	heldPerson = "person"
	heldBegan  = "began" // Unix seconds
	heldWhere  = "where" // the browser, in words
)

// newSessions makes what knows a browser again.
func (f *Front) newSessions() *scs.SessionManager {
	s := scs.New()
	s.Store, s.HashTokenInStore, s.Lifetime = kept{f.Club}, true, sessionLasts
	s.Cookie.Name, s.Cookie.Secure, s.Cookie.SameSite = "club", true, http.SameSiteLaxMode
	s.ErrorFunc = func(w http.ResponseWriter, r *http.Request, err error) { f.Fail(w, r, err) }
	return s
}

// kept is the club's storage as sessions are kept in it.
type kept struct{ *club.Club }

// Find is the data of a session.
func (k kept) Find(hash string) ([]byte, bool, error) {
	s, ok, err := k.Session(hash, k.Now())
	return s.Data, ok, err
}

// Commit keeps a session of somebody; one of nobody is not kept, so that who does not sign in takes no room.
func (k kept) Commit(hash string, data []byte, expires time.Time) error {
	_, values, err := scs.GobCodec{}.Decode(data)
	if err != nil {
		return err
	}
	person, ok := values[heldPerson].(int64)
	if !ok {
		return nil
	}
	began, _ := values[heldBegan].(int64)
	return k.KeepSession(club.Session{Hash: hash, Person: person, Data: data, Began: time.Unix(began, 0), Expires: expires})
}

// Delete ends a session.
func (k kept) Delete(hash string) error { return k.EndSession(hash) }

// who is the person who is signed in; errSignIn where nobody is. One who was taken out of the club meanwhile is nobody at once.
func (f *Front) who(r *http.Request) (club.Person, error) {
	id := f.sessions.GetInt64(r.Context(), heldPerson)
	if id == 0 {
		return club.Person{}, errSignIn
	}
	p, err := f.Club.Person(id)
	if errors.Is(err, club.ErrNobody) {
		err = errSignIn
	}
	return p, err
}

// signIn begins a session of a person in the browser that asks, under a token that it never had.
func (f *Front) signIn(r *http.Request, p *club.Person) error {
	if err := f.sessions.RenewToken(r.Context()); err != nil {
		return err
	}
	f.sessions.Put(r.Context(), heldPerson, p.ID)
	f.sessions.Put(r.Context(), heldBegan, f.Club.Now().Unix())
	f.sessions.Put(r.Context(), heldWhere, browserOf(r))
	return nil
}

// here is what the session of a request is kept as.
func (f *Front) here(r *http.Request) string {
	hash := sha256.Sum256([]byte(f.sessions.Token(r.Context())))
	return base64.RawURLEncoding.EncodeToString(hash[:]) // as scs does
}

// browserOf is the browser and system of a request, in words, as far as it says.
func browserOf(r *http.Request) string {
	says := r.UserAgent()
	found := func(otherwise string, of ...[2]string) string {
		for _, o := range of {
			if strings.Contains(says, o[0]) {
				return o[1]
			}
		}
		return otherwise
	}
	browser := found("a browser", [2]string{"Edg", "Edge"}, [2]string{"Firefox", "Firefox"}, [2]string{"Chrome", "Chrome"}, [2]string{"Safari", "Safari"})
	system := found("another system", [2]string{"Android", "Android"}, [2]string{"iPhone", "iPhone"}, [2]string{"iPad", "iPad"}, [2]string{"Windows", "Windows"}, [2]string{"Mac OS", "macOS"}, [2]string{"Linux", "Linux"})
	return browser + " on " + system
}
