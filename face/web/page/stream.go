package page

import (
	"net/http"
	"strings"
	"time"
)

const (
	// tell is how often at most those who watch are told of better figures.
	tell = 250 * time.Millisecond
	// lively is how often something has to pass, or the way is taken for dead.
	lively = 15 * time.Second
)

// Watched is something that changes while it is looked at.
type Watched[T any] interface {
	// Watch counts one more who looks until the returned function is called.
	Watch() (leave func())
	// Show is how it is now, and a channel that closes when that changes.
	Show() (now T, changed <-chan struct{})
}

// Follow sends what is watched as server-sent events, each the HTML that takes the place of the last, until it is not
// active any more or the browser leaves. The last event is named "over".
func Follow[T interface{ Active() bool }](w http.ResponseWriter, r *http.Request, from Watched[T], html func(T) ([]byte, error)) error {
	out := OpenEvents(w)
	out.Within(time.Time{}) // a watcher stays as long as it likes
	defer from.Watch()()
	for {
		now, changed := from.Show()
		text, err := html(now)
		if err != nil {
			return err
		}
		if !out.Send("", text) {
			return nil
		}
		if !now.Active() {
			out.Send("over", nil)
			return nil
		}
		select {
		case <-r.Context().Done():
			return nil
		case <-time.After(tell):
		}
		select {
		case <-r.Context().Done():
			return nil
		case <-changed:
		case <-time.After(lively):
		}
	}
}

// Still is something that does not change any more, as Follow watches it: what is left of a simulation that a program before this
// one was playing. A browser that lost its way to that one gets it when it finds the workbook again.
type Still[T any] struct{ Now T }

// Watch counts nobody.
func (Still[T]) Watch() (leave func()) { return func() {} }

// Show is what it is.
func (s Still[T]) Show() (now T, changed <-chan struct{}) { return s.Now, nil }

// events is an open stream of server-sent events.
type events struct {
	w   http.ResponseWriter
	out *http.ResponseController
}

// OpenEvents begins an answer that is a stream of events.
func OpenEvents(w http.ResponseWriter) events {
	if v, ok := w.(*visit); ok {
		v.over() // nobody waits for the end of a stream
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	return events{w, http.NewResponseController(w)}
}

// Within sets by when the browser has to have taken what is sent; the zero time sets no bound.
func (e events) Within(t time.Time) { e.out.SetWriteDeadline(t) }

// Send writes one event; false when the browser has gone.
func (e events) Send(name string, data []byte) bool {
	var b strings.Builder
	if name != "" {
		b.WriteString("event: " + name + "\n")
	}
	for line := range strings.Lines(string(data)) {
		b.WriteString("data: " + strings.TrimRight(line, "\n") + "\n")
	}
	if len(data) == 0 {
		b.WriteString("data: .\n")
	}
	b.WriteString("\n")
	if _, err := e.w.Write([]byte(b.String())); err != nil {
		return false
	}
	return e.out.Flush() == nil
}
