package cli

import (
	"secondpass/charleston"
	"secondpass/exercise"
)

type comparison struct {
	Card     string             `json:"card"`
	Seed     uint64             `json:"seed"`
	Seat     string             `json:"seat"`
	Deal     string             `json:"deal"`
	Incoming exercise.Incoming  `json:"incoming"`
	Routes   []comparedRoute    `json:"routes"`
	Parts    []part             `json:"parts"`
	Repeated *exercise.Repeated `json:"repeated,omitempty"`
}

type comparedRoute struct {
	Route string         `json:"route"`
	Aim   []string       `json:"aim"`
	Start standing       `json:"start"`
	Steps []comparedStep `json:"steps"`
	// CleanBest and CleanPlan are there once the route has come to the end of the passing.
	CleanBest *bool `json:"clean_best,omitempty"`
	CleanPlan *bool `json:"clean_plan,omitempty"`
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
	Nearest   []nearest `json:"nearest"`
	SpareBest string    `json:"spare_best"`
	SparePlan string    `json:"spare_plan"`
	Options   int       `json:"options"`
	Multiples []string  `json:"multiples"`
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
	// Decision counts from 0; Step is "" when the routes never part.
	Decision int    `json:"decision"`
	Step     string `json:"step"`
}

func compareJSON(e *exercise.Exercise, columns []exercise.Column, repeated *exercise.Repeated) comparison {
	c := comparison{Card: e.Card.Name, Seed: e.Seed, Seat: e.Seat.String(), Deal: e.Deal.String(), Incoming: e.Incoming,
		Parts: []part{}, Repeated: repeated}
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
		c.Routes = append(c.Routes, r)
		for j := range columns[:i] {
			n := exercise.PartsAt(columns[j].Route, col.Route)
			p := part{First: columns[j].Route.Name, Second: col.Route.Name, Decision: n}
			if step, ok := partStep(&columns[j], col, n); ok {
				p.Step = step.Key()
			}
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

func standingOf(a *exercise.Account) standing {
	s := standing{Rack: a.Rack.String(), SpareBest: a.SpareBest.String(), SparePlan: a.SparePlan.String(),
		Options:   a.Options,
		Multiples: groupStrings(a.Plan[0].Multiples()), Gaps: kindsText(a.Plan[0].Gaps())}
	for i := range a.Plan {
		s.Nearest = append(s.Nearest, nearest{a.Plan[i].OnCard().Name, groupStrings(a.Plan[i].Groups()), a.Plan[i].Away})
	}
	return s
}
