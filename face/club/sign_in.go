package club

import (
	"crypto/rand"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"strings"
	"time"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"secondpass/club"
	"secondpass/face/web/page"
)

const (
	signInPath = "/sign-in"
	// maxAnswer is the most bytes of what a browser says about a passkey.
	maxAnswer = 64 << 10
	// askedFor is how long a browser may take to answer.
	askedFor = 5 * time.Minute
)

func (f *Front) routeSignIn() {
	f.own.HandleFunc("GET /sign-in", f.show(f.showSignIn))
	f.own.HandleFunc("POST /sign-in/begin", f.data(f.beginSignIn))
	f.own.HandleFunc("POST /sign-in/finish", f.data(f.finishSignIn))
	f.own.HandleFunc("POST /sign-in/code", f.show(f.recover))
	f.own.HandleFunc("POST /sign-out", f.show(f.signOut))
}

// entryPage is a page for who is not signed in.
type entryPage struct {
	page.Page
	Error string
	To    string // where to go afterwards
}

func (f *Front) entry(w http.ResponseWriter, status int, name string, p entryPage) {
	w.Header().Set("Referrer-Policy", "no-referrer") // addresses of invitations are secrets
	f.RenderIn(w, status, name, "entry", p)
}

func (f *Front) showSignIn(w http.ResponseWriter, r *http.Request) error {
	said := ""
	if r.FormValue("said") == "deleted" {
		said = "Your account and your workbook are deleted for good."
	}
	f.entry(w, http.StatusOK, "sign_in", entryPage{Page: page.Page{Title: "Sign in", Said: said}, To: inside(r.FormValue("to"))})
	return nil
}

// inside is where to go within the club, the start where a text names no such place.
func inside(to string) string {
	if !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\n\r\t") {
		return "/"
	}
	return to
}

// data answers a script; an error is a sentence as JSON.
func (f *Front) data(h func(r *http.Request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, maxAnswer)
		answer, err := h(r)
		status := http.StatusOK
		if err != nil {
			status = f.Status(err)
			if status == http.StatusTooManyRequests {
				w.Header().Set("Retry-After", "10")
			}
			answer = map[string]string{"error": f.Sentence(worded(err), "request failed")}
		}
		w.Header().Set("Content-Type", "application/json")
		w.Header().Set("Cache-Control", "no-store")
		w.WriteHeader(status)
		json.NewEncoder(w).Encode(answer) // the browser may have gone
	}
}

// asked is what a browser was asked, until it answers.
type asked struct {
	// For is what the answer is for: "sign-in", "account", or the hash of an invitation.
	For     string
	Name    string // of a new person
	Session webauthn.SessionData
}

// question is what a script puts to its browser.
type question struct {
	Token   string `json:"token"`
	Options any    `json:"options"`
}

// ask keeps what is asked under a token that the answer brings back, once.
func (f *Front) ask(a asked, options any) (any, error) {
	kept, err := json.Marshal(a)
	if err != nil {
		return nil, err
	}
	token := rand.Text()
	return question{token, options}, f.Club.KeepCeremony(club.Hash(token), kept, f.Club.Now().Add(askedFor))
}

// answer is what a script sends.
type answer struct {
	Token      string          `json:"token"`
	Credential json.RawMessage `json:"credential"`
	Name       string          `json:"name"` // of a new passkey
}

// answered reads an answer with what was asked for it.
func (f *Front) answered(r *http.Request, what string) (a answer, q asked, err error) {
	data, err := io.ReadAll(r.Body)
	if err != nil || json.Unmarshal(data, &a) != nil {
		return a, q, errUnread
	}
	kept, err := f.Club.TakeCeremony(club.Hash(a.Token), f.Club.Now())
	if err != nil {
		return a, q, err
	}
	if err := json.Unmarshal(kept, &q); err != nil {
		return a, q, err
	}
	if q.For != what {
		return a, q, club.ErrGone
	}
	return a, q, nil
}

// Errors of signing in.
var (
	errUnread   = page.Errorf(http.StatusBadRequest, "What the browser sent cannot be read. Load the page again.")
	errNotTaken = page.Errorf(http.StatusUnauthorized, "The passkey could not be checked. Try again, or sign in by a recovery code.")
	errTooOften = page.Errorf(http.StatusTooManyRequests, "Too many try to sign in at once. Wait a minute, then try again.")
)

func (f *Front) beginSignIn(r *http.Request) (any, error) {
	if _, ok := f.signing.Take(addressOf(r)); !ok {
		return nil, errTooOften
	}
	options, session, err := f.keys.BeginDiscoverableLogin()
	if err != nil {
		return nil, err
	}
	return f.ask(asked{For: "sign-in", Session: *session}, options)
}

// signedIn is where a script goes on.
type signedIn struct {
	To    string   `json:"to"`
	Codes []string `json:"codes,omitempty"` // to be written down
}

func (f *Front) finishSignIn(r *http.Request) (any, error) {
	a, q, err := f.answered(r, "sign-in")
	if err != nil {
		return nil, err
	}
	parsed, err := protocol.ParseCredentialRequestResponseBytes(a.Credential)
	if err != nil {
		return nil, errUnread
	}
	var k club.Passkey
	var unknown error // why there is no user
	_, used, err := f.keys.ValidatePasskeyLogin(func(id, _ []byte) (webauthn.User, error) {
		if k, unknown = f.Club.Passkey(nameOf(id)); unknown != nil {
			return nil, unknown
		}
		var u *user
		u, unknown = userOf([]club.Passkey{k})
		return u, unknown
	}, q.Session, parsed)
	switch {
	case unknown != nil:
		f.watch.signedIn("passkey", false)
		return nil, unknown
	case err != nil || used.Authenticator.CloneWarning:
		f.watch.signedIn("passkey", false)
		return nil, errNotTaken
	}
	p, err := f.Club.Person(k.Person)
	if errors.Is(err, club.ErrNobody) {
		return nil, club.ErrNoPasskey
	}
	if err == nil {
		k.Credential, err = recordOf(handleOf(k), used)
	}
	if err == nil {
		err = f.Club.SignedIn(&p, k)
	}
	if err == nil {
		err = f.signIn(r, &p)
	}
	f.watch.signedIn("passkey", err == nil)
	return signedIn{To: "/"}, err
}

// recover signs in by a recovery code, once, and asks for a new passkey.
func (f *Front) recover(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	err := errTooOften
	if _, ok := f.recovering.Take(addressOf(r)); ok {
		var p club.Person
		if p, err = f.Club.Recover(r.PostForm.Get("code")); err == nil {
			err = f.signIn(r, &p)
		}
		f.watch.signedIn("code", err == nil)
	} else {
		w.Header().Set("Retry-After", "60")
	}
	if err != nil {
		text := f.Sentence(worded(err), "request failed")
		f.entry(w, f.Status(err), "sign_in", entryPage{Page: page.Page{Title: "Sign in"}, To: "/", Error: text})
		return nil
	}
	return page.SeeOther(w, r, accountPath+"?by=code")
}

func (f *Front) signOut(w http.ResponseWriter, r *http.Request) error {
	if err := f.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	return page.SeeOther(w, r, signInPath)
}
