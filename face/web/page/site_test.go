package page

import (
	"bytes"
	"errors"
	"fmt"
	"html"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

var errGone = errors.New("it is gone")

func testSite(t *testing.T) (*Site, *bytes.Buffer) {
	t.Helper()
	var log bytes.Buffer
	s, err := New(slog.New(slog.NewTextHandler(&log, nil)), []Section{{Name: "Exercises", Path: "/exercises"}}, Known{Err: errGone, Status: http.StatusNotFound})
	if err != nil {
		t.Fatal(err)
	}
	return s, &log
}

// What went wrong inside may name files and people: a reader is told a plain sentence, and the log the cause.
func TestCauseStaysInTheLog(t *testing.T) {
	s, log := testSite(t)
	cause := errors.New("open /home/ann/data.db: <disk> full")
	w := httptest.NewRecorder()
	s.Handle(func(http.ResponseWriter, *http.Request) error { return fmt.Errorf("save: %w", cause) })(w, httptest.NewRequest("POST", "/exercises/7", nil))
	if w.Code != http.StatusInternalServerError {
		t.Errorf("status %d, wanted 500", w.Code)
	}
	for _, word := range []string{"ann", "data.db", "disk", "save:"} {
		if strings.Contains(w.Body.String(), word) {
			t.Errorf("the page tells %q:\n%s", word, w.Body)
		}
	}
	if !strings.Contains(w.Body.String(), failedInside) {
		t.Errorf("the page does not say that it failed:\n%s", w.Body)
	}
	if text := log.String(); !strings.Contains(text, "data.db") || !strings.Contains(text, "/exercises/7") {
		t.Errorf("the log has no cause: %s", text)
	}
}

// troubled is a sentence for readers that was made of what the system said.
type troubled struct{ error }

func (t troubled) Error() string        { return "the disk is full" }
func (t troubled) Unwrap() error        { return t.error }
func (t troubled) Is(target error) bool { return target == errFull }

var errFull = errors.New("full")

// A reader is told of the disk in a sentence, and the log what the system said, once.
func TestTroubleIsToldAndLogged(t *testing.T) {
	var log bytes.Buffer
	s, err := New(slog.New(slog.NewTextHandler(&log, nil)), nil, Known{Err: errFull, Status: http.StatusInsufficientStorage, OfDisk: true})
	if err != nil {
		t.Fatal(err)
	}
	w := httptest.NewRecorder()
	s.Fail(w, httptest.NewRequest("POST", "/exercises/7", nil), fmt.Errorf("not saved: %w", troubled{errors.New("write /home/ann/data.db: ENOSPC")}))
	if w.Code != http.StatusInsufficientStorage || !strings.Contains(strings.ToLower(w.Body.String()), "not saved: the disk is full") || strings.Contains(w.Body.String(), "ann") {
		t.Errorf("%d\n%s", w.Code, w.Body)
	}
	if strings.Count(log.String(), "ENOSPC") != 1 {
		t.Errorf("logged: %s", log.String())
	}
}

// What was sent and could not be kept is still on the page, to be sent again as it was; what would fail again is not.
func TestSentAgain(t *testing.T) {
	s, err := New(slog.New(slog.DiscardHandler), nil, Known{Err: errFull, Status: http.StatusInsufficientStorage, OfDisk: true})
	if err != nil {
		t.Fatal(err)
	}
	full := true
	var got url.Values
	serve := s.Handle(func(w http.ResponseWriter, r *http.Request) error {
		if err := Form(r); err != nil {
			return err
		}
		if r.PostForm.Get("wrong") != "" {
			return Refused("That is wrong.")
		}
		if full {
			return fmt.Errorf("not saved: %w", troubled{errors.New("ENOSPC")})
		}
		got = r.PostForm
		return nil
	})
	post := func(form url.Values) string {
		r := httptest.NewRequest("POST", "/exercises/7/pass?at=2", strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		w := httptest.NewRecorder()
		serve(w, r)
		return w.Body.String()
	}
	form := url.Values{"tile": {"1b", "4c", "7d"}, "note": {`a "quoted" <line>` + "\nand another"}}
	page := post(form)
	if !strings.Contains(page, `action="/exercises/7/pass?at=2"`) {
		t.Fatalf("no form:\n%s", page)
	}
	again := url.Values{}
	for _, m := range regexp.MustCompile(`<input type="hidden" name="([^"]*)" value="([^"]*)">`).FindAllStringSubmatch(page, -1) {
		again.Add(html.UnescapeString(m[1]), html.UnescapeString(m[2]))
	}
	full = false
	post(again)
	if !reflect.DeepEqual(got, form) {
		t.Errorf("sent again: %v, wanted %v", got, form)
	}
	if page := post(url.Values{"wrong": {"1"}}); strings.Contains(page, "Try again") {
		t.Errorf("what is refused is offered again:\n%s", page)
	}
}

// Errors that are sentences for readers are shown as they are, escaped, and fill no log.
func TestStatuses(t *testing.T) {
	s, log := testSite(t)
	for _, c := range []struct {
		err  error
		want int
		text string
	}{
		{NotFound("There is no exercise %d.", 7), 404, "There is no exercise 7."},
		{Refused("No <name> came."), 422, "No &lt;name&gt; came."},
		{Errorf(http.StatusConflict, "Decided already."), 409, "Decided already."},
		{fmt.Errorf("exercise 7: %w", errGone), 404, "Exercise 7: it is gone."},
		{fmt.Errorf("form: %w", &http.MaxBytesError{Limit: 5}), 413, "form"},
	} {
		w := httptest.NewRecorder()
		s.Fail(w, httptest.NewRequest("GET", "/", nil), c.err)
		if w.Code != c.want || !strings.Contains(w.Body.String(), c.text) {
			t.Errorf("%v: %d, wanted %d and %q:\n%s", c.err, w.Code, c.want, c.text, w.Body)
		}
	}
	if log.Len() > 0 {
		t.Errorf("logged: %s", log)
	}
}

// plugged is a disk that can be pulled out, and be full.
type plugged struct{ there, works atomic.Bool }

func (p *plugged) There() error {
	if !p.there.Load() {
		return errFull
	}
	return nil
}

func (p *plugged) Works() error {
	if !p.works.Load() {
		return errFull
	}
	return p.There()
}

// From the first thing that the disk does not take until it takes something again, each page says so, and what its script
// asks for too; neither waits for the disk.
func TestBarWhileTheDiskIsInTrouble(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, err := New(slog.New(slog.DiscardHandler), nil, Known{Err: errFull, Status: http.StatusInsufficientStorage, OfDisk: true})
		if err != nil {
			t.Fatal(err)
		}
		disk := &plugged{}
		disk.there.Store(true)
		disk.works.Store(true)
		s.KeptOn(disk)
		bar := func() string {
			w := httptest.NewRecorder()
			s.Standing(w, httptest.NewRequest("GET", "/standing", nil))
			return w.Body.String()
		}
		later := func() string {
			bar()
			synctest.Wait()
			time.Sleep(tryAgain)
			return bar()
		}
		if says := bar(); says != "" {
			t.Errorf("a sound disk: %q", says)
		}
		disk.works.Store(false)
		if says := later(); says != "" {
			t.Errorf("nothing has failed yet: %q", says)
		}
		s.Fail(httptest.NewRecorder(), httptest.NewRequest("POST", "/", nil), fmt.Errorf("not saved: %w", errFull))
		for range 3 {
			if says := later(); !strings.HasPrefix(says, "Full: nothing can be saved") {
				t.Errorf("a full disk: %q", says)
			}
			page := httptest.NewRecorder()
			s.Fail(page, httptest.NewRequest("GET", "/", nil), NotFound("Nothing."))
			if !strings.Contains(page.Body.String(), `<div id="trouble" role="status">Full: `) {
				t.Error("the page does not show it")
			}
		}
		disk.works.Store(true)
		later()
		if says := later(); says != "" {
			t.Errorf("with room again: %q", says)
		}
		disk.there.Store(false)
		if says := bar(); says == "" {
			t.Error("a disk that was pulled out is not missed")
		}
		disk.there.Store(true)
		later()
		if says := later(); says != "" {
			t.Errorf("put in again: %q", says)
		}
	})
}
