package exercises

import (
	"bytes"
	"encoding/json"
	"fmt"

	"secondpass/exercise"
	"secondpass/exercise/comparison"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

type compared struct {
	Card     string             `json:"card"`
	House    house.House        `json:"house"`
	Seed     uint64             `json:"seed"`
	Seat     string             `json:"seat"`
	Deal     string             `json:"deal"`
	Incoming exercise.Incoming  `json:"incoming"`
	Players  string             `json:"players,omitempty"`
	Routes   []comparedRoute    `json:"routes"`
	Parts    []part             `json:"parts"`
	Repeated *exercise.Repeated `json:"repeated,omitempty"`
	// Saved is the exercise that --save has kept.
	Saved *command.Made `json:"saved,omitempty"`
	// Outlook and OutlookGaps are there with --games.
	Outlook     []outlookJSON    `json:"outlook,omitempty"`
	OutlookGaps []outlookGapJSON `json:"outlook_gaps,omitempty"`
}

type comparedRoute struct {
	Route string    `json:"route"`
	Aim   []string  `json:"aim"`
	Start standing  `json:"start"`
	Steps []stepped `json:"steps"`
	// End is how the route stands as far as it goes.
	End standing `json:"end"`
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

// object is a JSON object with its fields in order.
type object []field

// standing is how a rack stands, stepped a decision and how it stands after it.
type (
	standing struct{ object }
	stepped  struct{ object }
)

type field struct {
	name  string
	value any
}

// MarshalJSON writes the fields in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	for i, f := range o {
		b.WriteByte("{,"[min(i, 1)])
		value, err := json.Marshal(f.value)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&b, "%q:%s", f.name, value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
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

func compareJSON(e *exercise.Exercise, columns []exercise.Column, repeated *exercise.Repeated) compared {
	c := compared{Card: e.Card.Name, House: e.House, Seed: e.Seed, Seat: e.Seat.String(), Deal: e.Deal.String(), Incoming: e.Incoming,
		Players: e.Players, Parts: []part{}, Repeated: repeated}
	for i := range columns {
		col := &columns[i]
		r := comparedRoute{Route: col.Route.Name, Aim: append([]string{}, col.Route.Aim()...), Start: standing{standingOf(&col.Accounts[0], false)}, Steps: []stepped{}, End: standing{standingOf(col.End(), col.Over())}}
		for n, s := range col.Trail.Snapshots {
			r.Steps = append(r.Steps, stepped{stepJSON(s.Decision, &col.Accounts[n+1])})
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

// stepJSON is a decision and how the rack stands after it.
func stepJSON(d exercise.Decision, a *exercise.Account) object {
	o := object{{"step", d.Step.Key()}}
	tiles := func(name, text string) {
		if text != "" {
			o = append(o, field{name, text})
		}
	}
	switch d.Phase {
	case charleston.Passing:
		tiles("passed", d.Own.String())
		if d.Count > 0 {
			o = append(o, field{"blind", d.Count})
		}
		tiles("came", d.Came.String())
	case charleston.Voting:
		o = append(o, field{"stop", d.Stop})
	case charleston.Naming:
		o = append(o, field{"offer", d.Count}, field{"exchanged", d.Exchanged})
	case charleston.Giving:
		tiles("passed", d.Own.String())
		tiles("came", d.Came.String())
	}
	return append(o, standingOf(a, false)...)
}

// standingOf is how a rack stands: every measure that it has.
func standingOf(a *exercise.Account, over bool) object {
	o := object{{"rack", a.Rack.String()}}
	for i := range comparison.Measures {
		m := &comparison.Measures[i]
		if v := m.Value(a, over); !v.None() {
			o = append(o, field{m.Key, measured(m, &v)})
		}
	}
	return o
}

// measured is a value as it is written in JSON.
func measured(m *comparison.Measure, v *comparison.Value) any {
	switch {
	case v.HasTiles:
		return v.Tiles.String()
	case v.HasCount:
		return v.Count
	case v.Clean != nil:
		return *v.Clean
	}
	hands := make([]nearest, len(v.Hands))
	for i := range v.Hands {
		r := &v.Hands[i]
		hands[i] = nearest{r.OnCard().Name, wording.GroupList(r.Groups()), r.Away}
	}
	if !m.Many {
		return hands[0]
	}
	return hands
}
