package page

import "net/http"

// Routes is where areas say what they answer: a http.ServeMux, or a [Mux].
type Routes interface {
	Handle(pattern string, h http.Handler)
	HandleFunc(pattern string, h func(http.ResponseWriter, *http.Request))
}

// Mux is a http.ServeMux that can tell its patterns, so that each can be asked who may use it.
type Mux struct {
	http.ServeMux
	patterns []string
}

// Handle is that of http.ServeMux.
func (m *Mux) Handle(pattern string, h http.Handler) {
	m.patterns = append(m.patterns, pattern)
	m.ServeMux.Handle(pattern, h)
}

// HandleFunc is that of http.ServeMux.
func (m *Mux) HandleFunc(pattern string, h func(http.ResponseWriter, *http.Request)) {
	m.Handle(pattern, http.HandlerFunc(h))
}

// Patterns are those that were given, in their order.
func (m *Mux) Patterns() []string { return m.patterns }
