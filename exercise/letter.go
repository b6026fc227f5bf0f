package exercise

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// routeLetter is the letter number i, from 0: A to Z, then A2, B2 and so on.
func routeLetter(i int) string {
	letter := string(rune('A' + i%26))
	if i < 26 {
		return letter
	}
	return fmt.Sprintf("%s%d", letter, i/26+1)
}

// letterNumber is the number of a letter as routeLetter writes it.
func letterNumber(text string) (i int, ok bool) {
	if text == "" || text[0] < 'A' || text[0] > 'Z' {
		return 0, false
	}
	round := 1
	if len(text) > 1 {
		n, err := strconv.Atoi(text[1:])
		if err != nil || n > maxLetters/26 {
			return 0, false
		}
		round = n
	}
	i = int(text[0]-'A') + 26*(round-1)
	return i, routeLetter(max(i, 0)) == text
}

// maxLetters bounds the letters of an exercise, so that what a file says of them stays a number that can be counted on.
const maxLetters = 1 << 30

// Number is the place of a route's letter among all letters, from 0 for A. It lasts as the letter does, so that what a
// route looks like may go by it.
func (r *Route) Number() int {
	i, _ := letterNumber(r.ID)
	return i
}

// RouteAt finds a route by what lasts: its letter, or else the name by which an earlier program led to it.
func (e *Exercise) RouteAt(ref string) (*Route, error) {
	for _, r := range e.Routes {
		if r.ID == ref {
			return r, nil
		}
	}
	for _, r := range e.Routes {
		if strings.EqualFold(r.Name, ref) || strings.EqualFold(r.ID, ref) {
			return r, nil
		}
	}
	return nil, fmt.Errorf("there is no route %s; it may have been removed", ref)
}

// giveLetter gives a new route the next letter, which no other has or had.
func (e *Exercise) giveLetter(r *Route) {
	r.ID = routeLetter(e.Letters)
	e.Letters++
}

// giveLetters gives letters to the routes of an earlier file, in which none has one: those called by a letter that one,
// so that their addresses stay, and the rest the letters after them.
func (e *Exercise) giveLetters() {
	e.Letters = 0
	for _, r := range e.Routes {
		if i, ok := letterNumber(r.Name); ok && i < maxRoutes {
			r.ID, e.Letters = r.Name, max(e.Letters, i+1)
		}
	}
	for _, r := range e.Routes {
		if r.ID == "" {
			e.giveLetter(r)
		}
	}
}

// checkLetters checks the letters that a file gives.
func (e *Exercise) checkLetters() error {
	if e.Letters > maxLetters {
		return fmt.Errorf("letters: %d given; %d are the most", e.Letters, maxLetters)
	}
	seen := map[string]*Route{}
	for _, r := range slices.Concat(e.Routes, e.Removed) {
		i, ok := letterNumber(r.ID)
		if !ok {
			return fmt.Errorf("route %s: id: %q; a letter, as A or B2, is right", r.Name, r.ID)
		}
		if other := seen[r.ID]; other != nil {
			return fmt.Errorf("route %s: id: %q, which route %s has", r.Name, r.ID, other.Name)
		}
		if i >= e.Letters {
			return fmt.Errorf("letters: %d given, but route %s has the letter %s", e.Letters, r.Name, r.ID)
		}
		seen[r.ID] = r
	}
	return nil
}

// Fresh is the same deal with nothing decided yet: one empty route.
func (e *Exercise) Fresh() *Exercise {
	fresh := *e
	fresh.Routes, fresh.Removed, fresh.Letters = nil, nil, 0
	fresh.firstRoute()
	return &fresh
}

func (e *Exercise) firstRoute() {
	r := &Route{Name: FirstRoute, Seat: e.Seat}
	e.giveLetter(r)
	e.Routes = []*Route{r}
}
