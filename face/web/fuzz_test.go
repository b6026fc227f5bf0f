package web_test

import (
	"flag"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"secondpass/face/web"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// room is a workbook with an exercise, a lesson, a card, drills, a student and a class with a vote that is open, for what is
// sent to it at random.
type room struct {
	handler http.Handler
	cookies map[string]string
}

func newRoom(t testing.TB) *room {
	dir := t.TempDir()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	w, err := web.New(s, files.In(dir, nil), dir, slog.New(slog.DiscardHandler))
	if err == nil {
		err = w.FirstStart()
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(w.Classes.Close)
	c, drills := someDrills(t)
	if _, err := s.AddDrills(drills, c); err != nil {
		t.Fatal(err)
	}
	m := &room{w.Handler(), map[string]string{}}
	must := func(path string, form url.Values) {
		t.Helper()
		if code := m.send("POST", path, "application/x-www-form-urlencoded", form.Encode()); code != http.StatusSeeOther {
			t.Fatalf("%s: %d", path, code)
		}
	}
	must("/exercises", url.Values{"act": {"deal"}, "seed": {"7"}, "name": {"One"}})
	must("/lessons", url.Values{"title": {"First"}})
	must("/cards", url.Values{"name": {"Own"}, "copy": {"Lantern"}})
	must("/practice", url.Values{"act": {"add"}, "name": {"Ana"}})
	must("/classes", url.Values{"exercise": {"2"}, "mode": {"vote"}})
	code := first(codeField, m.get("/classes/1"))
	m.get("/join")
	must("/join", url.Values{"code": {code}, "name": {"Ben"}})
	must("/classes/1/vote", url.Values{"after": {"0"}, "route": {first(regexp.MustCompile(`name="route" value="([^"]+)"`), m.get("/classes/1"))}})
	return m
}

func (m *room) get(path string) string {
	w := m.do("GET", path, "", "")
	return w.Body.String()
}

func (m *room) send(method, path, kind, body string) int { return m.do(method, path, kind, body).Code }

// do sends a request as the one browser that is teacher and student at once.
func (m *room) do(method, path, kind, body string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Host = "127.0.0.1:7520"
	r.Header.Set("Content-Type", kind)
	for name, value := range m.cookies {
		r.AddCookie(&http.Cookie{Name: name, Value: value})
	}
	w := httptest.NewRecorder()
	m.handler.ServeHTTP(w, r)
	for _, c := range w.Result().Cookies() {
		if m.cookies[c.Name] == "" {
			m.cookies[c.Name] = c.Value
		}
	}
	return w
}

// fuzzed is the forms that answer at once; those that begin a simulation do no more with their fields.
var fuzzed = []string{"/exercises", "/exercises/1/rename", "/exercises/1/duplicate", "/exercises/2/routes/A/decide", "/exercises/2/routes/A/undo", "/exercises/2/routes/A/fork",
	"/exercises/2/routes/A/pin", "/exercises/2/routes/A/play", "/exercises/2/routes/A/rename", "/exercises/2/routes/B/remove", "/lessons", "/lessons/1", "/lessons/add", "/cards",
	"/cards/Own/text", "/cards/Own/history/1", "/practice", "/practice/drills/1", "/practice/reading", "/drills/delete", "/students/Ana/delete", "/classes", "/classes/1/vote",
	"/classes/1/close", "/classes/1/follow", "/classes/1/joining", "/classes/1/remove", "/classes/1/ranking", "/classes/1/delete", "/join", "/backups/check", "/experiments/preview", "/experiments/check"}

// formBodies and messageBodies are what the random ones begin with.
var (
	formBodies = []string{"", "act=deal&seed=1&name=x", "at=0&tile=1b&tile=2b&tile=3b", "at=-1&name=%00", "at=99999999999999999999", "hand=Runs+1", "revision=1&title=%ff&note=%0a",
		"text=card+x&seen=&over=x&line=-5", "choice=1&shown=x&taken=-1", "item=9&act=up&revision=1", "after=0&route=A", "name=%22%3E%3Cscript%3E", "snapshot=..%2fx", "exercise=1&mode=together&seconds=-1"}
	messageBodies = []string{`{"round":1,"seq":1,"made":1,"choice":{"tiles":"1b2b3b"}}`, `{"round":1,"seq":-1,"choice":{"count":9}}`, `{"decision":0,"choice":{"stop":true}}`, `{"token":"x"}`,
		`[]`, `{"round":1e99}`, `{"choice":null}`, `{"round":1,"seq":9223372036854775807,"made":-1,"choice":{"tiles":"JJJ","blind":3}}`, "\xff"}
)

// form sends a form, which must not make the program fail inside.
func (m *room) form(t *testing.T, to uint8, body string) {
	t.Helper()
	path := fuzzed[int(to)%len(fuzzed)]
	if w := m.do("POST", path, "application/x-www-form-urlencoded", body); w.Code >= 500 {
		t.Fatalf("%s %q: %d\n%s", path, body, w.Code, shorten(w.Body.String()))
	}
}

// message sends a message of a phone, which must not either, and what is kept of it can be shown.
func (m *room) message(t *testing.T, to uint8, body string) {
	t.Helper()
	path := []string{"/room/choice", "/room/decide", "/room/back"}[to%3]
	if w := m.do("POST", path, "application/json", body); w.Code >= 500 {
		t.Fatalf("%s %q: %d\n%s", path, body, w.Code, w.Body)
	}
	for _, page := range []string{"/room", "/classes/1"} {
		if w := m.do("GET", page, "", ""); w.Code >= 500 {
			t.Fatalf("%s after %q: %d", page, body, w.Code)
		}
	}
}

func FuzzForms(f *testing.F) {
	for i, body := range formBodies {
		f.Add(uint8(i), body)
		f.Add(uint8(i+len(fuzzed)/2), body)
	}
	m := newRoom(f)
	f.Fuzz(m.form)
}

func FuzzClassMessages(f *testing.F) {
	for i, body := range messageBodies {
		f.Add(uint8(i), body)
	}
	m := newRoom(f)
	f.Fuzz(m.message)
}

// No form and no message, whatever stands in it, makes the program fail inside. Fuzzing does the same for longer; it takes all packages below to be
// compiled once more.
func TestMangledRequests(t *testing.T) {
	t.Parallel()
	m, rng := newRoom(t), rand.New(rand.NewPCG(*mangleSeed, 0))
	for range *mangles {
		m.form(t, uint8(rng.IntN(256)), mangled(rng, formBodies))
		m.message(t, uint8(rng.IntN(256)), mangled(rng, messageBodies))
	}
}

var (
	mangles    = flag.Int("mangles", 300, "mangled forms, and as many messages")
	mangleSeed = flag.Uint64("mangleseed", 1, "what they are drawn by")
)

// telling are bytes and numbers at which programs go wrong.
var telling = []string{"\x00", "\xff", "%", "%zz", "%00", "+", "&", "=", ";", "\"", "{", "}", "[", "null", "-1", "0", "1e999", "4294967296", "9223372036854775808", "J", "../", "\u202e", "é"}

// mangled is one of some texts after one to five changes at random places: bytes that are drawn or telling put in or over, a part taken out, repeated, or taken
// from another text.
func mangled(rng *rand.Rand, from []string) string {
	any := func() string { return from[rng.IntN(len(from))] }
	text := any()
	for range 1 + rng.IntN(5) {
		a := rng.IntN(len(text) + 1)
		b := a + rng.IntN(len(text)-a+1)
		switch rng.IntN(6) {
		case 0:
			text = text[:a] + text[b:]
		case 1:
			text = text[:b] + text[a:]
		case 2:
			text = text[:a] + telling[rng.IntN(len(telling))] + text[a:]
		case 3:
			text = text[:a] + telling[rng.IntN(len(telling))] + text[b:]
		case 4:
			text = text[:a] + string([]byte{byte(rng.IntN(256))}) + text[min(a+1, len(text)):]
		default:
			other := any()
			text = text[:a] + other[rng.IntN(len(other)+1):]
		}
	}
	return text
}
