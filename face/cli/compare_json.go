package cli

import (
	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

type comparison struct {
	Card     string             `json:"card"`
	Seed     uint64             `json:"seed"`
	Seat     string             `json:"seat"`
	Deal     string             `json:"deal"`
	Incoming exercise.Incoming  `json:"incoming"`
	Players  string             `json:"players,omitempty"`
	Routes   []comparedRoute    `json:"routes"`
	Parts    []part             `json:"parts"`
	Repeated *exercise.Repeated `json:"repeated,omitempty"`
	// Outlook and OutlookGaps are there with --games.
	Outlook     []outlookJSON    `json:"outlook,omitempty"`
	OutlookGaps []outlookGapJSON `json:"outlook_gaps,omitempty"`
}

type comparedRoute struct {
	Route string         `json:"route"`
	Aim   []string       `json:"aim"`
	Start standing       `json:"start"`
	Steps []comparedStep `json:"steps"`
	// CleanBest and CleanPlan are there once the route has come to the end of the passing.
	CleanBest *bool `json:"clean_best,omitempty"`
	CleanPlan *bool `json:"clean_plan,omitempty"`
	// Ended is there once the game of the route is over.
	Ended *ended `json:"ended,omitempty"`
}

// ended is how a game ended; a wall game has its Ending alone.
type ended struct {
	// Ending is "self-drawn", "on-discard" or "wall-game".
	Ending    string         `json:"ending"`
	Winner    string         `json:"winner,omitempty"`
	Discarder string         `json:"discarder,omitempty"`
	Hand      string         `json:"hand,omitempty"`
	Points    int            `json:"points,omitempty"`
	Net       map[string]int `json:"net,omitempty"`
}

func endedJSON(e *exercise.Exercise, g *exercise.Game) *ended {
	if g == nil || !g.Over() {
		return nil
	}
	res := g.Result()
	if !res.Ending.Won() {
		return &ended{Ending: "wall-game"}
	}
	j := &ended{Ending: "self-drawn", Winner: res.Winner.String(), Points: res.Points, Net: map[string]int{},
		Hand: e.Card.Hands[e.Card.Variants[res.Variant].Hand].Name}
	if res.Ending == table.OnDiscard {
		j.Ending, j.Discarder = "on-discard", res.Discarder.String()
	}
	for seat, net := range res.Net {
		j.Net[charleston.Seat(seat).String()] = net
	}
	return j
}

type comparedStep struct {
	Step      string `json:"step"`
	Passed    string `json:"passed,omitempty"`
	Blind     int    `json:"blind,omitempty"`
	Came      string `json:"came,omitempty"`
	Stop      *bool  `json:"stop,omitempty"`
	Offer     *int   `json:"offer,omitempty"`
	Exchanged *int   `json:"exchanged,omitempty"`
	standing
}

type standing struct {
	Rack      string    `json:"rack"`
	Nearest   nearest   `json:"nearest"`
	Plan      []nearest `json:"plan"`
	SpareBest string    `json:"spare_best"`
	SparePlan string    `json:"spare_plan"`
	Options   int       `json:"options"`
	Multiples string    `json:"multiples"`
	Gaps      string    `json:"gaps"`
}

type nearest struct {
	Hand   string   `json:"hand"`
	Groups []string `json:"groups"`
	Away   int      `json:"away"`
}

type part struct {
	First  string `json:"first"`
	Second string `json:"second"`
	// Decision counts from 0; Step is "play" after the passing and "" when the routes never part.
	Decision int    `json:"decision"`
	Step     string `json:"step"`
}

func compareJSON(e *exercise.Exercise, columns []exercise.Column, repeated *exercise.Repeated) comparison {
	c := comparison{Card: e.Card.Name, Seed: e.Seed, Seat: e.Seat.String(), Deal: e.Deal.String(), Incoming: e.Incoming,
		Players: e.Players, Parts: []part{}, Repeated: repeated}
	for i := range columns {
		col := &columns[i]
		r := comparedRoute{Route: col.Route.Name, Aim: append([]string{}, col.Route.Aim...), Start: standingOf(&col.Accounts[0]), Steps: []comparedStep{}}
		for n, s := range col.Trail.Snapshots {
			r.Steps = append(r.Steps, stepJSON(s.Decision, &col.Accounts[n+1]))
		}
		if col.Over() {
			best, plan := col.End().CleanBest(), col.End().CleanPlan()
			r.CleanBest, r.CleanPlan = &best, &plan
		}
		r.Ended = endedJSON(e, col.Trail.Game)
		c.Routes = append(c.Routes, r)
		for j := range columns[:i] {
			n := exercise.PartsAt(columns[j].Route, col.Route)
			p := part{First: columns[j].Route.Name, Second: col.Route.Name, Decision: n}
			p.Step, _ = partPlace(&columns[j], col, n)
			c.Parts = append(c.Parts, p)
		}
	}
	return c
}

func stepJSON(d exercise.Decision, a *exercise.Account) comparedStep {
	s := comparedStep{Step: d.Step.Key(), standing: standingOf(a)}
	switch d.Phase {
	case charleston.Passing:
		s.Passed, s.Blind, s.Came = d.Own.String(), d.Count, d.Came.String()
	case charleston.Voting:
		s.Stop = &d.Stop
	case charleston.Naming:
		s.Offer, s.Exchanged = &d.Count, &d.Exchanged
	case charleston.Giving:
		s.Passed, s.Came = d.Own.String(), d.Came.String()
	}
	return s
}

func nearestOf(r *fit.Reading) nearest {
	return nearest{r.OnCard().Name, wording.GroupList(r.Groups()), r.Away}
}

func standingOf(a *exercise.Account) standing {
	s := standing{Rack: a.Rack.String(), SpareBest: a.SpareBest.String(), SparePlan: a.SparePlan.String(),
		Options:   a.Options,
		Multiples: wording.Multiples(a.Rack), Gaps: tile.List(a.Nearest.Gaps()), Nearest: nearestOf(&a.Nearest)}
	for i := range a.Plan {
		s.Plan = append(s.Plan, nearestOf(&a.Plan[i]))
	}
	return s
}
