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
	// Before and After are the addresses of the pieces beside it, "" where there is none.
	Before, After string
}

// PartOf is the piece that a request asks for by its field "part", from 1; where there is no such piece, the nearest.
func PartOf(r *http.Request, total int) Part {
	last := max(1, (total+partLength-1)/partLength)
	n, _ := strconv.Atoi(r.FormValue("part")) // none is the first
	n = min(max(n, 1), last)
	p := Part{Start: (n - 1) * partLength, End: min(n*partLength, total), Total: total}
	at := func(n int) string {
		q := url.Values{"part": {strconv.Itoa(n)}}
		if find := r.FormValue("q"); find != "" {
			q.Set("q", find)
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
