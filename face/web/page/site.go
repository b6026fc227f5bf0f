package page

import (
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"net/http"
	"slices"
	"strings"

	"secondpass/engine/sim"
	"secondpass/paper/wording"
)

// Site is what all pages share: the layout, the log, the names it is served under, and what errors mean to a reader.
type Site struct {
	Log      *slog.Logger
	known    []Known
	sections []Section
	hosts    map[string]bool
	own      *Pages
	trouble  trouble
	// Readers is the gate through which requests go, so that long work can step aside for them.
	Readers *sim.Gate
}

// Known says which status an error of another package has. Its text is a sentence that readers may see.
type Known struct {
	Err    error
	Status int
	// OfDisk: it is a trouble of the disk, and stands on all pages until that works again.
	OfDisk bool
}

// Section is an entry of the bar at the top; Help is the place of the help that is about it.
type Section struct{ Name, Path, Help string }

// own is the page for what went wrong.
var own = Read(Folder(embedded, "own"))

// New makes the shared part of a workbook with a bar at the top. log takes what went wrong inside; errors that are
// neither made by this package nor among those known are of that kind.
func New(log *slog.Logger, bar []Section, errors ...Known) (*Site, error) {
	s := &Site{Readers: &sim.Gate{}, Log: log, known: errors, sections: bar, hosts: map[string]bool{"localhost": true, "127.0.0.1": true, "::1": true}}
	var err error
	s.own, err = s.Pages(own)
	return s, err
}

// problem is an error with its HTTP status, in a sentence for the user.
type problem struct {
	status int
	text   string
}

func (p *problem) Error() string { return p.text }

// Errorf is an error with a status, in a sentence for the user.
func Errorf(status int, format string, args ...any) error {
	return &problem{status, fmt.Sprintf(format, args...)}
}

// NotFound is what is not there.
func NotFound(format string, args ...any) error {
	return Errorf(http.StatusNotFound, format, args...)
}

// Refused is wrong input.
func Refused(format string, args ...any) error {
	return Errorf(http.StatusUnprocessableEntity, format, args...)
}

// elsewhere is an address that has another one now.
type elsewhere struct{ path string }

func (e *elsewhere) Error() string { return "it is found at " + e.path }

// Elsewhere leads a reader from an earlier address of a page to the one that it has now.
func Elsewhere(path string) error { return &elsewhere{path} }

// Status is the HTTP status of an error; 500 for what is no reader's fault.
func (s *Site) Status(err error) int {
	var p *problem
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &p):
		return p.status
	case errors.As(err, &big):
		return http.StatusRequestEntityTooLarge
	}
	if k := s.knownAs(err); k != nil {
		return k.Status
	}
	return http.StatusInternalServerError
}

// knownAs is what an error is among those known, nil for none.
func (s *Site) knownAs(err error) *Known {
	for i, k := range s.known {
		if errors.Is(err, k.Err) {
			return &s.known[i]
		}
	}
	return nil
}

// ofDisk says whether a status is that of a disk in trouble.
func ofDisk(status int) bool {
	return status == http.StatusInsufficientStorage || status == http.StatusServiceUnavailable
}

// failedInside is all that a reader is told of what went wrong inside: the cause may name files and people.
const failedInside = "Something failed inside the program, and this was not done. Its log, where the program was started, says what; try once more."

// Sentence is an error as a reader may see it; the cause of what is no reader's fault goes to the log, with what failed and
// more about it, as in [slog.Logger.Error].
func (s *Site) Sentence(err error, what string, about ...any) string {
	status := s.Status(err)
	if status >= http.StatusInternalServerError {
		s.Log.Error(what, append(about, "error", err, "cause", cause(err))...)
	}
	if status == http.StatusInternalServerError {
		return failedInside
	}
	s.Note(err)
	return err.Error()
}

// Note keeps in mind that the disk is in trouble, where that is what an error says.
func (s *Site) Note(err error) {
	if k := s.knownAs(err); k != nil && k.OfDisk {
		s.trouble.note(k.Err)
	}
}

// cause is what an error began with; the sentence that was made of it may tell less.
func cause(err error) error {
	for inner := errors.Unwrap(err); inner != nil; inner = errors.Unwrap(err) {
		err = inner
	}
	return err
}

// Handler is a page that may fail; the error becomes a page of its own.
type Handler func(w http.ResponseWriter, r *http.Request) error

// Handle serves a page that may fail.
func (s *Site) Handle(h Handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		err := h(w, r)
		var to *elsewhere
		switch {
		case errors.As(err, &to):
			http.Redirect(w, r, to.path, http.StatusFound)
		case err != nil:
			s.Fail(w, r, err)
		}
	}
}

// failedPage is what went wrong, with what was sent, to send it again.
type failedPage struct {
	Text  string
	Path  string // where to send it; "" where that would not help
	Again []sent
}

// sent is one value of a form.
type sent struct{ Name, Value string }

// whole is what went wrong as a sentence of its own.
func whole(text string) string {
	text = wording.Capital(text)
	if text != "" && !strings.ContainsRune(".!?", rune(text[len(text)-1])) {
		text += "."
	}
	return text
}

// Fail answers with what went wrong in a sentence. A form that the disk would not take stays on the page, to be sent again.
func (s *Site) Fail(w http.ResponseWriter, r *http.Request, err error) {
	p, status := failedPage{Text: whole(s.Sentence(err, "request failed", "method", r.Method, "path", r.URL.Path))}, s.Status(err)
	if r.Method == http.MethodPost && ofDisk(status) && !strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") && r.ParseForm() == nil {
		p.Path = r.URL.RequestURI()
		for _, name := range slices.Sorted(maps.Keys(r.PostForm)) {
			for _, value := range r.PostForm[name] {
				p.Again = append(p.Again, sent{name, value})
			}
		}
	}
	s.own.Render(w, status, "error", Page{Title: "Not done", Data: p})
}
