package cards

import (
	"errors"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"secondpass/store"
)

// get is a page, do sends a form to one; the answer's address where it leads on.
func (e *editors) get(path string) (int, string) { return e.do("GET", path, nil) }

func (e *editors) do(method, path string, form url.Values) (int, string) {
	e.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	e.mux.ServeHTTP(w, r)
	if w.Code == http.StatusSeeOther {
		return w.Code, w.Header().Get("Location")
	}
	return w.Code, w.Body.String()
}

var (
	earlierLink = regexp.MustCompile(`href="(/cards/Own/history/\d+)"`)
	undoForm    = regexp.MustCompile(`action="(/cards/Own/history/[^"]*)"><button>Undo`)
)

// A text that was kept before is listed in the editor, shown beside the one of now, and taken again; that can be taken back
// too, and overwrites nothing unseen.
func TestGoingBackToAnEarlierText(t *testing.T) {
	t.Parallel()
	e := newEditors(t)
	gone := strings.Repeat("# a remark that takes some room on the line\n", 3)
	form := e.open()
	e.save(form, good+gone, true)
	e.save(form, strings.Repeat("no card\n", 20), true) // everything cleared by mistake
	e.save(form, better, true)
	_, editor := e.get("/cards/Own/edit")
	links := earlierLink.FindAllStringSubmatch(editor, -1)
	if len(links) < 3 {
		t.Fatalf("%d earlier texts:\n%s", len(links), editor)
	}
	if status, text := e.get(links[1][1]); status != http.StatusOK || !strings.Contains(text, "<b>− no card</b>") || !strings.Contains(text, "error") {
		t.Errorf("the text with errors: %d\n%s", status, text)
	}
	path := links[2][1]
	status, text := e.get(path)
	if status != http.StatusOK || !strings.Contains(text, "− # a remark") || !strings.Contains(text, "+ # another line") || strings.Contains(text, "− card ") {
		t.Fatalf("%d\n%s", status, text)
	}
	back := url.Values{"seen": {hidden.FindStringSubmatch(text)[2]}}
	other := e.open()
	e.save(other, good+"# meanwhile\n", true)
	if status, text := e.do("POST", path, back); !strings.Contains(text, "changed meanwhile") {
		t.Errorf("what another window has kept is overwritten: %d", status)
	}
	e.wants(good + "# meanwhile\n")
	_, text = e.get(path)
	back.Set("seen", hidden.FindStringSubmatch(text)[2])
	e.cards.refusal = &store.Trouble{What: store.ErrFull, Cause: errors.New("full")}
	if status, _ := e.do("POST", path, back); status != http.StatusInsufficientStorage {
		t.Errorf("on a full disk: %d", status)
	}
	e.wants(good + "# meanwhile\n")
	e.cards.refusal = nil
	status, to := e.do("POST", path, back)
	if status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, to)
	}
	e.wants(good + gone)
	_, editor = e.get(to)
	undo := undoForm.FindStringSubmatch(editor)
	if undo == nil {
		t.Fatalf("no way back:\n%s", editor)
	}
	if status, to := e.do("POST", html.UnescapeString(undo[1]), nil); status != http.StatusSeeOther {
		t.Errorf("%d %s", status, to)
	}
	e.wants(good + "# meanwhile\n")
	for _, odd := range []string{"/cards/Own/history/99", "/cards/Own/history/x", "/cards/Nobody/history/1", "/cards/..%2fOwn/history/1"} {
		if status, _ := e.get(odd); status != http.StatusNotFound {
			t.Errorf("%s: %d", odd, status)
		}
	}
}

// A text that is too long for a card is not kept, not even as a draft, and stays on the screen.
func TestATextThatIsTooLong(t *testing.T) {
	t.Parallel()
	e := newEditors(t)
	status, answer := e.save(e.open(), good+strings.Repeat("# nothing\n", 40_000), true)
	if status != http.StatusRequestEntityTooLarge || !strings.Contains(answer, "Not saved: A card of 40") {
		t.Errorf("%d\n%s", status, answer)
	}
	e.wants(good)
	if _, draft := e.cards.Draft("Own"); draft {
		t.Error("it is kept as a draft")
	}
}
