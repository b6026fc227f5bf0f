package page

import (
	"net/http"
	"net/url"
	"strconv"
)

// partLength is how many entries of a list one page shows.
const partLength = 100

// Part is the piece of a long list that one page shows.
type Part struct {
	// Start and End are its place in the list, as of a slice; Total is the length of the list.
	Start, End, Total int
	// Before and After are the addresses of the pieces beside it, "" where there is none; BeforeText and AfterText what their
	// links say.
	Before, After         string
	BeforeText, AfterText string
}

// PartOf is the piece of a list that a request asks for by its field "part", from 1; where there is no such piece, the
// nearest. The pieces beside it are asked for with the same values of the fields named.
func PartOf[T any](r *http.Request, list []T, fields ...string) ([]T, Part) {
	p := partOf(r, len(list), fields)
	return list[p.Start:p.End], p
}

// ByTime is a list that begins with what was changed last.
func (p Part) ByTime() Part {
	p.BeforeText, p.AfterText = "Changed later", "Changed earlier"
	return p
}

func partOf(r *http.Request, total int, fields []string) Part {
	last := max(1, (total+partLength-1)/partLength)
	n, _ := strconv.Atoi(r.FormValue("part")) // none is the first
	n = min(max(n, 1), last)
	p := Part{Start: (n - 1) * partLength, End: min(n*partLength, total), Total: total, BeforeText: "Back in the list", AfterText: "On in the list"}
	at := func(n int) string {
		q := url.Values{"part": {strconv.Itoa(n)}}
		for _, f := range fields {
			if value := r.FormValue(f); value != "" {
				q.Set(f, value)
			}
		}
		return r.URL.Path + "?" + q.Encode()
	}
	if n > 1 {
		p.Before = at(n - 1)
	}
	if n < last {
		p.After = at(n + 1)
	}
	return p
}

// First is the number of its first entry, counted from 1.
func (p Part) First() int { return p.Start + 1 }

// Split says whether the list has more pieces than one.
func (p Part) Split() bool { return p.Before != "" || p.After != "" }
