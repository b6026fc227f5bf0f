package exercise

import (
	"fmt"
	"slices"
	"strings"
)

// removedKept is how many removed routes can be brought back.
const removedKept = 50

// RemoveRoute takes a route away; the last one stays. It can be brought back.
func (e *Exercise) RemoveRoute(name string) error {
	r, err := e.Route(name)
	if err != nil {
		return err
	}
	if len(e.Routes) == 1 {
		return fmt.Errorf("route %s is the only one; an exercise keeps one at least", r.Name)
	}
	e.Routes = slices.DeleteFunc(e.Routes, func(other *Route) bool { return other == r })
	e.Removed = append(e.Removed, r)
	if len(e.Removed) > removedKept {
		e.forget(e.Removed[0])
	}
	return nil
}

// forget lets a removed route go for good.
func (e *Exercise) forget(r *Route) {
	e.Removed = slices.DeleteFunc(e.Removed, func(other *Route) bool { return other == r })
	for _, other := range slices.Concat(e.Routes, e.Removed) {
		if other.From == r.ID {
			other.From, other.At = "", 0
		}
	}
}

// RestoreRoute brings a removed route back, by its letter or its name; "" is the one removed last. It has its letter, its place
// among the letters and all its steps; only a name that another route has got meanwhile gives way to the next letter.
func (e *Exercise) RestoreRoute(ref string) (*Route, error) {
	if len(e.Removed) == 0 {
		return nil, fmt.Errorf("no route was removed")
	}
	r := e.Removed[len(e.Removed)-1]
	if ref != "" {
		if r = e.removed(ref); r == nil {
			return nil, fmt.Errorf("no removed route %q; those that can be brought back are %s", ref, strings.Join(e.RemovedNames(), ", "))
		}
	}
	if len(e.Routes) == maxRoutes {
		return nil, fmt.Errorf("the exercise has %d routes, which is the most", maxRoutes)
	}
	name, err := e.freeName(r.Name)
	if err != nil {
		if name, err = e.freeName(""); err != nil {
			return nil, err
		}
	}
	r.Name = name
	e.Removed = slices.DeleteFunc(e.Removed, func(other *Route) bool { return other == r })
	e.Routes = append(e.Routes, r)
	slices.SortStableFunc(e.Routes, func(a, b *Route) int { return a.Number() - b.Number() })
	return r, nil
}

// removed finds a removed route by its letter or name, the last one first; nil for none.
func (e *Exercise) removed(ref string) *Route {
	for _, fits := range []func(*Route) bool{
		func(r *Route) bool { return r.ID == ref },
		func(r *Route) bool { return strings.EqualFold(r.Name, ref) || strings.EqualFold(r.ID, ref) },
	} {
		for _, r := range slices.Backward(e.Removed) {
			if fits(r) {
				return r
			}
		}
	}
	return nil
}

// RemovedNames are the names of the routes that can be brought back, the one removed last first.
func (e *Exercise) RemovedNames() []string {
	var names []string
	for _, r := range slices.Backward(e.Removed) {
		names = append(names, r.Name)
	}
	return names
}
