package practice

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/work/queue"
)

// What is done with the drills of a card while somebody watches.
const (
	workFind  = "find"
	workKey   = "key"
	workRenew = "renew"
	workOwn   = "own"
)

var works = []string{workFind, workOwn, workKey, workRenew}

const (
	// searchDeals is how many deals one search looks through at most.
	searchDeals = 2000
	// mostWanted is the most drills that one search looks for, mostTimes how many times the games a key may be made again with.
	mostWanted, mostTimes = 500, 100
)

// workState is how far such work has come. What was published stays as it is.
type workState struct {
	what     string
	seed     uint64
	done, of int
	lines    []workLine
	// of a search: which drills are wanted
	drill.Filter
	deals uint64
	next  uint64 // the deal with which the next search goes on
	// of keys made again: with so many times the games; changed and spoilt count them
	times, changed, spoilt int
	// of drills renewed: for the card to; kept teach there, before were renewed earlier
	to            drillCard
	Cards, before int
	// of a teacher's own drill: the form, and why it could not be made
	typed   url.Values
	problem string
}

// workLine is a drill of which there is something to say.
type workLine struct {
	ID     int64
	Text   string
	Spoilt bool
}

// workPart is such work as the page shows it.
type workPart struct {
	What, Card string
	queue.Shown
	Started  bool
	Text     string
	Lines    []workLine
	Spoilt   []int64
	Done, Of int
	Seed     uint64
	Next     string // the page of the drills that were made
	Problem  string
}

func workKeyOf(what, card string) string { return "drills " + what + " " + card }

func (s *Area) workPart(what string, c *drillCard) workPart {
	return workPartOf(what, c, s.jobs.Now(workKeyOf(what, c.ID)))
}

func workPartOf(what string, c *drillCard, now queue.Shown) workPart {
	p := workPart{What: what, Card: c.ID, Shown: now, Started: now.State != ""}
	w, ok := now.Data.(*workState)
	if !ok {
		return p
	}
	p.Done, p.Of, p.Seed, p.Lines, p.Next = w.done, w.of, w.seed, w.lines, drillsPath(c.ID)
	switch what {
	case workFind:
		p.Next = suchDrillsPath(c.ID, w.Filter)
		p.Text = fmt.Sprintf("%d of %d found in %s, seed %d.", w.done, w.of, wording.Plural(int(w.deals), "deal"), w.seed)
	case workKey:
		p.Text = fmt.Sprintf("%d of %s made again with %d times the games, seed %d: %d changed, %d unchanged", w.done, wording.Plural(w.of, "key"), w.times, w.seed, w.changed, w.done-w.changed)
		if w.spoilt > 0 {
			p.Text += fmt.Sprintf(", %d teach nothing any more", w.spoilt)
		}
		p.Text += "."
	case workRenew:
		p.Next = drillsPath(w.to.ID)
		p.Text = fmt.Sprintf("%d of %s judged for the card %s, seed %d: %d teach there too", w.done, wording.Plural(w.of, "drill"), w.to.Name, w.seed, w.Cards)
		if w.before > 0 {
			p.Text += fmt.Sprintf("; %d had been renewed before", w.before)
		}
		p.Text += "."
	}
	if what == workOwn {
		p.Problem, p.Of, p.Done = w.problem, 0, 0
		switch {
		case w.problem != "":
			p.Text, p.Next = "No drill.", "/drills/new?again=yes&card="+url.QueryEscape(c.ID)
		case w.done > 0:
			p.Text = "Kept, with its key:"
		default:
			p.Text = fmt.Sprintf("The answers are played on from, seed %d; some seconds, in play longer.", w.seed)
		}
	}
	for _, l := range w.lines {
		if l.Spoilt {
			p.Spoilt = append(p.Spoilt, l.ID)
		}
	}
	return p
}

// liveDrillWork is the work as it goes on.
func (s *Area) liveDrillWork(w http.ResponseWriter, r *http.Request) error {
	what := r.FormValue("what")
	if !slices.Contains(works, what) {
		return page.NotFound("There is no work %q.", what)
	}
	c := drillCard{ID: r.FormValue("card")}
	j, err := s.jobs.Watched(workKeyOf(what, c.ID))
	if err != nil {
		return err
	}
	return page.Follow[queue.Shown](w, r, j, func(now queue.Shown) ([]byte, error) {
		return s.Text("drills", "work", workPartOf(what, &c, now))
	})
}

// startWork reads what all these forms have, stops the work if that is asked for, else starts what begin makes of the
// form: it gets the card and the seed.
func (s *Area) startWork(w http.ResponseWriter, r *http.Request, what string, begin func(f url.Values, c drillCard, seed uint64) (func(before any) queue.Work, error)) error {
	if err := page.Form(r); err != nil {
		return err
	}
	f := r.PostForm
	c, err := s.cardOfDrills(f.Get("card"))
	if err != nil {
		return err
	}
	key := workKeyOf(what, c.ID)
	if f.Get("act") == "stop" {
		s.jobs.Halt(key)
		return page.SeeOther(w, r, drillsPath(c.ID)+"#work-"+what)
	}
	seed := uint64(rand.Uint32())
	if text := strings.TrimSpace(f.Get("seed")); text != "" {
		if seed, err = strconv.ParseUint(text, 10, 64); err != nil {
			return page.Refused("Seed %q: a whole number from 0 on is right.", text)
		}
	}
	do, err := begin(f, c, seed)
	if err != nil {
		return err
	}
	if err := s.jobs.Start(key, func(_ int, before any) queue.Work { return do(before) }); err != nil {
		return err
	}
	return page.SeeOther(w, r, drillsPath(c.ID)+"#work-"+what)
}

// findDrills searches for drills and keeps each as it is found.
func (s *Area) findDrills(w http.ResponseWriter, r *http.Request) error {
	return s.startWork(w, r, workFind, func(f url.Values, c drillCard, seed uint64) (func(any) queue.Work, error) {
		state := workState{what: workFind, seed: seed}
		var err error
		if state.of, err = page.NumberOf(f, "count", "how many to find", 10, 1, mostWanted); err != nil {
			return nil, err
		}
		if state.Filter, err = filterOf(c.card, f); err != nil {
			return nil, err
		}
		if state.next, err = s.nextDeal(c.ID, &state); err != nil {
			return nil, err
		}
		return func(before any) queue.Work {
			state.goOn(before)
			return s.search(c.card, state)
		}, nil
	})
}

// nextDeal is the first deal of a seed behind those in which drills of the kinds looked for were found: nothing is to be
// found twice.
func (s *Area) nextDeal(id string, state *workState) (uint64, error) {
	kept, err := s.store.Drills(store.DrillFilter{Fingerprint: id})
	next := uint64(0)
	for _, d := range kept {
		if d.Origin.Seed == state.seed && (len(state.Kinds) == 0 || slices.Contains(state.Kinds, d.Kind)) {
			next = max(next, d.Origin.Deal+1)
		}
	}
	return next, err
}

// goOn begins behind an earlier search, if it was for the same drills: the deals that a search for other kinds has looked
// through may well hold some.
func (w *workState) goOn(before any) {
	if last, ok := before.(*workState); ok && last.seed == w.seed && reflect.DeepEqual(last.Filter, w.Filter) {
		w.next = max(w.next, last.next)
	}
}

func (s *Area) search(c *card.Card, state workState) queue.Work {
	return func(ctx context.Context, publish func(any)) error {
		show := func() {
			now := state
			publish(&now)
		}
		show()
		search, err := s.desk.DrillSearch(c, desk.DrillWish{Players: exercise.DefaultPlayers, Seed: state.seed, Filter: state.Filter, Count: state.of, From: state.next, Deals: searchDeals})
		if err != nil {
			return err
		}
		_, err = s.desk.FindDrills(ctx, c, search, func(f *drill.Found) {
			for _, d := range f.Drills[state.done:] {
				state.lines = append(state.lines, workLine{ID: d.ID, Text: wording.DrillKind(d.Kind) + ", " + view.StepName(d.Position.StepKey())})
			}
			state.done, state.deals, state.next = len(f.Drills), f.Deals, f.Next
			show()
		})
		show()
		return err
	}
}

// keyDrills makes the keys of a card's drills, or of one of them, again.
func (s *Area) keyDrills(w http.ResponseWriter, r *http.Request) error {
	return s.startWork(w, r, workKey, func(f url.Values, c drillCard, seed uint64) (func(any) queue.Work, error) {
		state := workState{what: workKey, seed: seed}
		var err error
		if state.times, err = page.NumberOf(f, "times", "times the games", 10, 1, mostTimes); err != nil {
			return nil, err
		}
		kept, err := s.store.Drills(store.DrillFilter{Fingerprint: c.ID})
		if err != nil {
			return nil, err
		}
		one := f.Get("drill")
		drills := slices.DeleteFunc(kept, func(d *drill.Drill) bool {
			return d.Key.Seed == seed || one != "" && one != strconv.Itoa(int(d.ID))
		})
		if len(drills) == 0 {
			return nil, page.Refused("There is no key to make again: no drill, or all their keys were made by seed %d. Choose another seed.", seed)
		}
		state.of = len(drills)
		return func(any) queue.Work { return s.remake(c.card, drills, state) }, nil
	})
}

func (s *Area) remake(c *card.Card, drills []*drill.Drill, state workState) queue.Work {
	return func(ctx context.Context, publish func(any)) error {
		show := func() {
			now := state
			publish(&now)
		}
		show()
		_, err := s.desk.RemakeKeys(ctx, c, drills, desk.KeyWish{Seed: state.seed, Times: state.times}, func(r drill.Remade) error {
			state.remade(&r)
			show()
			return nil
		})
		return err
	}
}

// remade takes down what became of a key.
func (w *workState) remade(r *drill.Remade) {
	w.done++
	if r.Changed() {
		w.changed++
		w.lines = append(w.lines, workLine{ID: r.Drill.ID, Text: fmt.Sprintf("right was %s; right is now %s", rightText(r.Drill, &r.Old), rightText(r.Drill, &r.New))})
	}
	if r.Why != nil {
		w.spoilt++
		w.lines = append(w.lines, workLine{ID: r.Drill.ID, Text: "teaches nothing any more: " + r.Why.Error(), Spoilt: true})
	}
}

// rightText is the right answers of a key.
func rightText(d *drill.Drill, k *drill.Key) string {
	var list []string
	for _, i := range k.Right() {
		list = append(list, wording.DrillChoice(d.Choices[i]))
	}
	return strings.Join(list, ", or ")
}

// renewDrills judges the drills of a card for another one.
func (s *Area) renewDrills(w http.ResponseWriter, r *http.Request) error {
	return s.startWork(w, r, workRenew, func(f url.Values, c drillCard, seed uint64) (func(any) queue.Work, error) {
		if f.Get("to") == "" || f.Get("to") == c.ID {
			return nil, page.Refused("Choose the new card: one with other hands than %s.", c.Name)
		}
		to, err := s.cardOfDrills(f.Get("to"))
		if err != nil {
			return nil, err
		}
		state := workState{what: workRenew, seed: seed, to: to}
		drills, err := s.store.Drills(store.DrillFilter{Fingerprint: c.ID})
		if err != nil {
			return nil, err
		}
		there, err := s.store.Drills(store.DrillFilter{Fingerprint: to.ID})
		if err != nil {
			return nil, err
		}
		have := map[sameDrill]bool{}
		for _, d := range there {
			have[sameDrill{d.Kind, d.Position}] = true
		}
		drills = slices.DeleteFunc(drills, func(d *drill.Drill) bool {
			known := have[sameDrill{d.Kind, d.Position}]
			state.before += view.Count(known)
			return known
		})
		if len(drills) == 0 {
			return nil, page.Refused("There is no drill of the card %s left to renew for %s.", c.Name, to.Name)
		}
		state.of = len(drills)
		return func(any) queue.Work { return s.renew(drills, state) }, nil
	})
}

func (s *Area) renew(drills []*drill.Drill, state workState) queue.Work {
	return func(ctx context.Context, publish func(any)) error {
		show := func() {
			now := state
			publish(&now)
		}
		show()
		_, err := s.desk.RenewDrills(ctx, drills, state.to.card, exercise.DefaultPlayers, state.seed, func(r drill.Renewed) error {
			state.done++
			if r.New == nil {
				state.lines = append(state.lines, workLine{ID: r.Old.ID, Text: wording.DrillKind(r.Old.Kind) + ": teaches nothing on the card " + state.to.Name})
			} else {
				state.Cards++
			}
			show()
			return nil
		})
		return err
	}
}
