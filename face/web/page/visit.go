package page

import (
	"net/http"
	"sync"
)

// visit is a request that somebody waits for, until it is answered or turns out to be a stream.
type visit struct {
	http.ResponseWriter
	over func()
}

// Unwrap is for http.ResponseController.
func (v *visit) Unwrap() http.ResponseWriter { return v.ResponseWriter }

// Visits lets each request in at the gate of the readers.
func (s *Site) Visits(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		v := &visit{w, sync.OnceFunc(s.Readers.Enter())}
		defer v.over()
		next.ServeHTTP(v, r)
	})
}
