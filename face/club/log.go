package club

import (
	"errors"
	"io"
	"log/slog"
)

// NewLog is a log of a club: a line for each request by its route, and what went wrong. Addresses of pages hold names and tokens, and errors
// may, so that of the first nothing is written, and of the second what they began with alone.
func NewLog(w io.Writer) *slog.Logger {
	return slog.New(slog.NewTextHandler(w, &slog.HandlerOptions{ReplaceAttr: func(_ []string, a slog.Attr) slog.Attr {
		if a.Key == "path" || a.Key == "what" {
			return slog.Attr{}
		}
		if err, ok := a.Value.Any().(error); ok {
			for inner := errors.Unwrap(err); inner != nil; inner = errors.Unwrap(err) {
				err = inner
			}
			return slog.String(a.Key, err.Error())
		}
		return a
	}}))
}
