package view

import (
	"html/template"
	"slices"

	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/rules/tile"
)

// HandsPage is every hand of the card beside a rack, by section, the nearest section first.
type HandsPage struct {
	ID       int64
	Name     string
	Route    RouteHead
	Rack     template.HTML
	Sections []SectionHands
}

// NewHandsPage is all hands beside the rack of a route.
func NewHandsPage(x Exercise, index *fit.Index, route *exercise.Route, rack tile.Rack) (*HandsPage, error) {
	planned := map[int]bool{}
	if len(route.Aim()) > 0 {
		hands, err := exercise.Hands(x.Card, route.Aim())
		if err != nil {
			return nil, err
		}
		for _, h := range hands {
			planned[h] = true
		}
	}
	p := &HandsPage{ID: x.ID, Name: x.Exercise.Name, Rack: RackStrip("Rack", rack), Sections: make([]SectionHands, len(x.Card.Sections))}
	_, p.Route = HeadsOf(x.ID, x.Exercise, route.ID)
	for i, name := range x.Card.Sections {
		p.Sections[i].Name = name
	}
	all := index.Hands(rack)
	for i := range all {
		sec := &p.Sections[all[i].OnCard().Section]
		hand := NearOf(&all[i], nil, planned[all[i].Hand], 0)
		hand.pinnable(p.Route.Path, route.Aim())
		sec.Hands = append(sec.Hands, hand)
	}
	slices.SortStableFunc(p.Sections, func(a, b SectionHands) int { return leastAway(a) - leastAway(b) })
	return p, nil
}

// SectionHands is one section of the card read against the rack.
type SectionHands struct {
	Name  string
	Hands []NearHand
}

// leastAway is how far the nearest hand of a section is; those without hands come last.
func leastAway(s SectionHands) int {
	if len(s.Hands) == 0 {
		return tile.Kinds
	}
	return s.Hands[0].Away
}
