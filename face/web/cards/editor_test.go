package cards

import (
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"secondpass/desk"
	"secondpass/face/web/page"
	"secondpass/store"
	"secondpass/store/files"
)

const (
	good   = "card     Own\nsection  Evens\n25 exposed    FFF 22x 444y 66z 8888x\n"
	better = good + "# another line\n"
)

// failing is cards on a disk that refuses changes as long as refusal is set.
type failing struct {
	store.Cards
	refusal error
}

func (f *failing) Keep(name, seen string, text, draft []byte) (string, error) {
	if f.refusal != nil {
		return "", f.refusal
	}
	return f.Cards.Keep(name, seen, text, draft)
}

func (f *failing) KeepApart(name, seen string, text, draft []byte) (string, error) {
	if f.refusal != nil {
		return "", f.refusal
	}
	return f.Cards.KeepApart(name, seen, text, draft)
}

// editors is an area over a folder, with one card.
type editors struct {
	*testing.T
	mux   *http.ServeMux
	cards *failing
	dir   string
}

func newEditors(t *testing.T) *editors {
	t.Helper()
	site, err := page.New(slog.New(slog.DiscardHandler), nil, page.Known{Err: store.ErrFull, Status: http.StatusInsufficientStorage},
		page.Known{Err: store.ErrBusy, Status: http.StatusServiceUnavailable}, page.Known{Err: store.ErrCardChanged, Status: http.StatusConflict})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	kept := files.In(dir, nil)
	own := &failing{Cards: kept.Cards}
	kept.Cards = own
	area, err := New(site, nil, &desk.Desk{Files: kept}, nil)
	if err != nil {
		t.Fatal(err)
	}
	e := &editors{t, http.NewServeMux(), own, dir}
	area.Route(e.mux)
	if _, err := own.Cards.Keep("Own", "", []byte(good), nil); err != nil {
		t.Fatal(err)
	}
	return e
}

var hidden = regexp.MustCompile(`name="(seen|window|over)" value="([^"]*)"`)

// open looks at the editor and returns what its form sends along.
func (e *editors) open() url.Values {
	e.Helper()
	w := httptest.NewRecorder()
	e.mux.ServeHTTP(w, httptest.NewRequest("GET", "/cards/Own/edit", nil))
	form := url.Values{}
	for _, m := range hidden.FindAllStringSubmatch(w.Body.String(), -1) {
		form.Set(m[1], m[2])
	}
	if w.Code != http.StatusOK || form.Get("seen") == "" || form.Get("window") == "" {
		e.Fatalf("%d %v\n%s", w.Code, form, w.Body)
	}
	return form
}

// save sends a text from a window, which then knows what the answer says; script is whether the window has one.
func (e *editors) save(form url.Values, text string, script bool) (status int, answer string) {
	e.Helper()
	form.Set("text", text)
	r := httptest.NewRequest("POST", "/cards/Own/text", strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	if script {
		r.Header.Set("HX-Request", "true")
	}
	w := httptest.NewRecorder()
	e.mux.ServeHTTP(w, r)
	for _, m := range hidden.FindAllStringSubmatch(w.Body.String(), -1) {
		form.Set(m[1], m[2])
	}
	return w.Code, w.Body.String()
}

func (e *editors) wants(text string) {
	e.Helper()
	if got, err := e.cards.Text("Own"); err != nil || string(got) != text {
		e.Errorf("the card is %q, wanted %q; %v", got, text, err)
	}
}

// A second window does not overwrite what the first has saved, unless it is told to; nor does either what another program
// has put into the file.
func TestASecondWindow(t *testing.T) {
	t.Parallel()
	e := newEditors(t)
	one, two := e.open(), e.open()
	for _, text := range []string{better, better + "#\n"} {
		if status, answer := e.save(one, text, true); status != http.StatusOK || !strings.Contains(answer, "Saved.") {
			t.Fatalf("%d\n%s", status, answer)
		}
	}
	status, answer := e.save(two, good, true)
	if status != http.StatusConflict || strings.Contains(answer, "Saved.") || !strings.Contains(answer, "Not saved: the card was changed meanwhile") {
		t.Errorf("%d\n%s", status, answer)
	}
	e.wants(better + "#\n")
	if status, _ := e.save(two, good, false); status != http.StatusSeeOther { // with "over", as its button sends it
		t.Errorf("told to, it answers %d", status)
	}
	e.wants(good)
	if status, _ := e.save(one, better, true); status != http.StatusConflict {
		t.Errorf("the first window overwrites the second: %d", status)
	}
	three := e.open()
	if err := os.WriteFile(filepath.Join(e.dir, "cards", "Own.card"), []byte(better), 0o600); err != nil {
		t.Fatal(err)
	}
	status, answer = e.save(three, good+"# typed\n", false)
	if status != http.StatusConflict || !strings.Contains(answer, "# typed\n</textarea>") {
		t.Errorf("what was typed is not on the page: %d\n%s", status, answer)
	}
	e.wants(better)
}

// Two texts that one window sends before it hears of the first are both its own.
func TestAnswersUnderWay(t *testing.T) {
	t.Parallel()
	e := newEditors(t)
	one := e.open()
	early := url.Values{"seen": one["seen"], "window": one["window"]}
	for _, form := range []url.Values{one, early} {
		if status, answer := e.save(form, better+strings.Repeat("#\n", len(form)), true); status != http.StatusOK {
			t.Errorf("%d\n%s", status, answer)
		}
	}
}

// What the disk refuses is said with the cause, stays on the screen, and can be saved when the disk takes it again.
func TestACardThatIsNotSaved(t *testing.T) {
	t.Parallel()
	for what, status := range map[error]int{store.ErrFull: http.StatusInsufficientStorage, store.ErrBusy: http.StatusServiceUnavailable} {
		for _, script := range []bool{true, false} {
			e := newEditors(t)
			form := e.open()
			e.cards.refusal = &store.Trouble{What: what, Cause: errors.New("as the system has it")}
			got, answer := e.save(form, better, script)
			if got != status || !strings.Contains(answer, "Not saved: "+what.Error()+".") || strings.Contains(answer, "Saved.") || strings.Contains(answer, "as the system") {
				t.Errorf("%v, script %v: %d\n%s", what, script, got, answer)
			}
			if !script && !strings.Contains(answer, "# another line\n</textarea>") {
				t.Errorf("what was typed is gone:\n%s", answer)
			}
			e.wants(good)
			e.cards.refusal = nil
			if got, answer := e.save(form, better, true); got != http.StatusOK || !strings.Contains(answer, "Saved.") {
				t.Errorf("again: %d\n%s", got, answer)
			}
			e.wants(better)
		}
	}
}
