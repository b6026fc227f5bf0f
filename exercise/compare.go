package exercise

import (
	"slices"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/rules/charleston"
)

// Column is one route beside others: its account before the first decision and after each.
type Column struct {
	Route *Route
	Trail Trail
	// Accounts has one entry more than Trail.Snapshots: the deal first, the end last.
	Accounts []Account
}

// End is the account at the end of the route so far.
func (c *Column) End() *Account { return &c.Accounts[len(c.Accounts)-1] }

// Over says whether the route has come to the end of the passing.
func (c *Column) Over() bool { return c.Trail.Now.Phase() == charleston.Over }

// Column replays a route and reads the rack at every step under the route's aim.
func (e *Exercise) Column(r *Route) (Column, error) {
	t, err := e.Replay(r)
	if err != nil {
		return Column{}, err
	}
	j, err := NewAccountant(e.Card, r.Aim)
	if err != nil {
		return Column{}, err
	}
	c := Column{Route: r, Trail: t}
	add := func(a Account) {
		a.Plan = slices.Clone(a.Plan)
		c.Accounts = append(c.Accounts, a)
	}
	add(j.Account(e.Deal))
	for _, s := range t.Snapshots {
		add(j.Account(s.After))
	}
	return c, nil
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
		if err := e.SetAim(r.Name, aim); err != nil {
			return nil, err
		}
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
	hands, err := Hands(e.Card, r.Aim)
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
