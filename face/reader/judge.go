package reader

import (
	"cmp"
	"context"
	"fmt"
	"net/url"
	"strconv"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/face/web/view"
	"secondpass/rules/charleston"
	"secondpass/work/queue"
)

// UsualGames is how many short games a first judgement plays: seconds on a telephone. Each "go on" has four times as many.
const UsualGames = 2000

// mostRounds is how often more games can be asked for.
const mostRounds = 4

// momentOf is the decision of a route that an address or a form asks about.
func (b *Book) momentOf(r *exercise.Route, f url.Values) (*view.Moment, error) {
	m := &view.Moment{Exercise: b.numbered(), Route: r, At: r.Len()}
	var err error
	if text := f.Get("at"); text != "" {
		if m.At, err = strconv.Atoi(text); err != nil || m.At < 0 || m.At > r.Len() {
			return nil, fmt.Errorf("route %s has no decision number %q", r.Name, text)
		}
	}
	cut := r.Upto(m.At)
	if m.Trail, err = b.x.Replay(&cut); err != nil {
		return nil, err
	}
	if m.Trail.Now.Phase() == charleston.Over {
		return nil, fmt.Errorf("nothing is to be decided here: the passing of the route is over; ask at one of its steps")
	}
	if m.At < r.Len() {
		c := r.Choice(m.At)
		m.Taken = &c
	}
	if m.Own, err = view.ReadOwnPass(f, m); err != nil {
		return nil, fmt.Errorf("your own pass cannot be judged: %w", err)
	}
	return m, nil
}

func (b *Book) advice(r *exercise.Route, query url.Values) (Answer, error) {
	m, err := b.momentOf(r, query)
	if err != nil {
		return Answer{}, err
	}
	p := view.NewAdvicePage(m)
	p.Live = view.NewAdvicePart(m, view.RecalledAdvice(m))
	a, err := b.page(m.Path()+"/advice?"+m.AdviceQuery(), "Advice: "+p.Heading, "advice", p)
	a.Wide = true
	if err == nil {
		a.HTML, err = b.with(a.HTML, "budget", b.games(m))
	}
	return a, err
}

// games is how many short games are played when the judgement of a moment is asked for: more than were, where it is kept.
func (b *Book) games(m *view.Moment) int {
	games, kept := UsualGames, m.Route.Note(m.At).Advice
	for round := 0; kept != nil && round < mostRounds && games < 2*kept.Games; round++ {
		games *= 4
	}
	return games
}

// judging begins or stops the judgement of a moment, which is played elsewhere: see [Book.Judge].
func (b *Book) judging(r *exercise.Route, f url.Values) (Answer, error) {
	m, err := b.momentOf(r, f)
	if err != nil {
		return Answer{}, err
	}
	a, err := b.advice(r, f)
	if f.Get("act") == "stop" {
		a.Halt = true
		return a, err
	}
	a.Judge = b.games(m)
	return a, err
}

// Judged is a judgement as far as it has come.
type Judged struct {
	// HTML is the part of the page that shows it; Over says that no more comes.
	HTML string `json:"html"`
	Over bool   `json:"over,omitempty"`
	// Book is what [Course.Take] takes: all that the reader did, with the judgement; "" where there are no figures yet.
	Book string `json:"book,omitempty"`
}

// judge plays the judgement of the moment at an address and tells how far it has come, and whether the copy of the book has changed.
func (b *Book) judge(ctx context.Context, parts []string, query url.Values, games int, told func(j Judged, changed bool)) error {
	if len(parts) < 2 {
		return errNowhere
	}
	r, err := b.x.RouteAt(parts[1])
	if err != nil {
		return err
	}
	m, err := b.momentOf(r, query)
	if err != nil {
		return err
	}
	players := exercise.DefaultPlayers
	if b.x.Incoming == exercise.TablePasses && b.x.Players != "" {
		players = b.x.Players
	}
	c, err := advice.NewCounsel(b.x.Card, b.x.House, b.tuning, players, b.x.Seed)
	if err != nil {
		return err
	}
	c.Shelf = b.shelf
	a, err := c.Advise(ctx, m.Trail.Now.View(), m.Named(), advice.Budget{Games: games}, func(a advice.Advice) { told(b.judged(m, &a, queue.Running)) })
	if err == nil {
		told(b.judged(m, &a, queue.Done))
	}
	return err
}

// judged is a judgement as the page shows it, which is noted in the book.
func (b *Book) judged(m *view.Moment, a *advice.Advice, state queue.State) (j Judged, changed bool) {
	j.Over = state == queue.Done
	part := view.NewAdvicePart(m, queue.Shown{State: state, Data: a})
	if !j.Over {
		part.Rest = nil // a hundred drawn lines that nobody opens meanwhile; a browser keeps each look for long
	}
	var err error
	if j.HTML, err = fill(b.templates, "advice-live", part); err != nil {
		j.HTML = ""
	}
	kept := a.Kept(b.x.Seed)
	return j, kept != nil && b.x.KeepAdvice(m.Route.Name, m.At, kept) == nil
}

// take takes over what a judgement in a copy of the book has noted, as far as the routes still go that way.
func (b *Book) take(judged []byte) {
	other := &Book{given: b.given}
	other.goOn(judged)
	if other.x == nil {
		return
	}
	for _, r := range other.x.Routes {
		own, err := b.x.RouteAt(r.ID)
		if err != nil {
			continue
		}
		for at := range r.Notes {
			if kept := r.Note(at).Advice; kept != nil && at <= own.Len() && !fuller(own.Note(at).Advice, kept) && sameUpto(own, r, at) {
				if b.x.KeepAdvice(own.Name, at, kept) != nil {
					continue // it is played again when it is asked for
				}
			}
		}
	}
}

// fuller says whether one judgement of a moment, which may be nil, has more games than another, as one that was stopped soon has not.
func fuller(a, b *exercise.Advised) bool {
	return a != nil && cmp.Or(cmp.Compare(a.Whole, b.Whole), cmp.Compare(a.Games, b.Games)) > 0
}

// sameUpto says whether two routes take the same first decisions.
func sameUpto(a, b *exercise.Route, n int) bool {
	return n <= a.Len() && n <= b.Len() && exercise.PartsAt(ptr(a.Upto(n)), ptr(b.Upto(n))) == n
}

func ptr(r exercise.Route) *exercise.Route { return &r }
