package exercise

import (
	"slices"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Column is one route beside others: its account before the first decision and after each.
type Column struct {
	Route *Route
	Trail Trail
	// Accounts has one entry more than Trail.Snapshots: the deal first, then the rack after each decision, under the plan that
	// was pinned when it was taken.
	Accounts []Account

	end Account
}

// End is the account at the end of the route so far, under the plan that is pinned there.
func (c *Column) End() *Account { return &c.end }

// Over says whether the route has come to the end of the passing.
func (c *Column) Over() bool { return c.Trail.Now.Phase() == charleston.Over }

// Column replays a route and reads the rack at every step under the plan of that step.
func (e *Exercise) Column(r *Route) (Column, error) {
	t, err := e.Replay(r)
	if err != nil {
		return Column{}, err
	}
	c := Column{Route: r, Trail: t}
	var j *Accountant
	read := func(moment int, rack tile.Rack) Account {
		if aim := r.AimAt(moment); j == nil || !slices.Equal(j.Aim, aim) {
			if j, err = NewAccountant(e.Card, aim); err != nil {
				return Account{}
			}
		}
		a := j.Account(rack)
		a.Plan = slices.Clone(a.Plan)
		return a
	}
	c.Accounts = append(c.Accounts, read(0, e.Deal))
	for i := 0; i < len(t.Snapshots) && err == nil; i++ {
		c.Accounts = append(c.Accounts, read(i, t.Snapshots[i].After))
	}
	if err == nil {
		c.end = read(r.Len(), t.Now.Rack())
	}
	return c, err
}

// WalkAll adds a route for each aim, walked from the deal to the end of the passing by
// player.Steady, and returns them in the order of the aims. An exercise that has only
// its empty first route gives that one to the first aim.
func (e *Exercise) WalkAll(aims [][]string) ([]*Route, error) {
	var routes []*Route
	for _, aim := range aims {
		r := e.Routes[0]
		if len(routes) > 0 || len(e.Routes) > 1 || len(r.Decisions) > 0 {
			var err error
			if r, err = e.Fork(e.Routes[0].Name, 0, ""); err != nil {
				return nil, err
			}
		}
		if _, err := Hands(e.Card, aim); err != nil {
			return nil, err
		}
		r.set(Change{Aim: aim})
		if err := e.WalkOn(r.Name, 0); err != nil {
			return nil, err
		}
		routes = append(routes, r)
	}
	return routes, nil
}

// WalkOn lets player.Steady take the decisions of a route under its aim, as many as are given or, with 0, to the end of
// the passing.
func (e *Exercise) WalkOn(route string, decisions int) error {
	r, err := e.Route(route)
	if err != nil {
		return err
	}
	hands, err := Hands(e.Card, r.Aim())
	if err != nil {
		return err
	}
	p := player.NewSteady(e.Card, prepared.Of(e.Card).Aimed(hands))
	for taken := 0; decisions == 0 || taken < decisions; taken++ {
		t, err := e.Replay(r)
		if err != nil {
			return err
		}
		v := t.Now.View()
		if v.Phase == charleston.Over {
			return nil
		}
		a := sim.Decide(p, &v)
		if _, err := e.Do(r.Name, Decision{Own: a.Own, Count: a.Count, Stop: a.Stop}); err != nil {
			return err
		}
	}
	return nil
}
