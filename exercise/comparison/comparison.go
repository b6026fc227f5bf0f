// Package comparison is how routes stand side by side: rows of measures with a value for each route. It says what is
// measured, of what, and what is compared, in one place; the terminal, the page, pictures, paper and machine-readable
// output go through the rows and know no measure by name. It words nothing but the names of the measures and draws nothing.
// Faces and paper may call it.
package comparison

import (
	"fmt"

	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/rules/tile"
)

// Value is what a measure has for a route: one of hands, tiles, a number or a verdict. The zero Value is none: the route has
// not come there, or has no plan.
type Value struct {
	// Hands are hands beside the rack, best first.
	Hands []fit.Reading
	// Tiles are tiles of the rack, HasTiles says that there may be some.
	Tiles    tile.Rack
	HasTiles bool
	// Count is a number of what the measure counts, HasCount says that there is one.
	Count    int
	HasCount bool
	// Clean is a verdict on the Charleston, nil while it goes on.
	Clean *bool
}

// None says that there is nothing.
func (v *Value) None() bool {
	return v.Hands == nil && !v.HasTiles && !v.HasCount && v.Clean == nil
}

// number is what a value is compared by; ok is false where it is by none.
func (v *Value) number() (n int, ok bool) {
	switch {
	case len(v.Hands) > 0:
		return v.Hands[0].Away, true
	case v.HasTiles:
		return v.Tiles.Size(), true
	}
	return v.Count, v.HasCount
}

// Part is what a measure belongs to: measures of one part stand together.
type Part string

// The parts of an account, in their order.
const (
	OfNearest Part = "the nearest hand"
	OfPlan    Part = "the plan"
	OfRack    Part = "the rack"
)

// Parts are all of them.
var Parts = []Part{OfNearest, OfPlan, OfRack}

// Measure is one measure of a rack.
type Measure struct {
	// Key is its name in machine-readable output, Label and Note what it is and of what, for people.
	Key, Label, Note string
	// Part is what of the rack it belongs to.
	Part Part
	// Unit is what a Count counts, in the singular.
	Unit string
	// Less and More are what a smaller and a greater number than another route's is called; "" where none is better.
	Less, More string
	// Groups says that the groups of the hand belong to the measure; Many that Hands may be several.
	Groups, Many bool
	// Verdict says that it is yes or no.
	Verdict bool
	// Left says that the tiles are left over.
	Left bool
	// AtEach says that it is shown at every step and not only at the end.
	AtEach bool
	// OfAim says that at a step it is shown only of routes with an aim.
	OfAim bool

	of func(a *exercise.Account, over bool) Value
}

// Value reads a measure off an account; over says that the passing is over.
func (m *Measure) Value(a *exercise.Account, over bool) Value { return m.of(a, over) }

var atMost = fmt.Sprintf(": %d spare at most", exercise.CleanSpares)

// Measures are all measures, in the order in which they are shown.
var Measures = []Measure{
	{Key: "nearest", Part: OfNearest, Label: "Nearest", Note: "hand of the whole card", Less: "nearer", More: "further", Groups: true, AtEach: true,
		of: func(a *exercise.Account, _ bool) Value { return Value{Hands: []fit.Reading{a.Nearest}} }},
	{Key: "spare_best", Part: OfNearest, Label: "Spare", Note: "for the nearest hand", Less: "fewer", More: "more", Left: true, AtEach: true,
		of: func(a *exercise.Account, _ bool) Value { return tiles(a.SpareBest) }},
	{Key: "clean_best", Part: OfNearest, Label: "Clean", Verdict: true, Note: "for the nearest hand" + atMost,
		of: func(a *exercise.Account, over bool) Value { return clean(a.CleanBest(), over) }},
	{Key: "plan", Part: OfPlan, Label: "Plan", Note: "the hands of the aim that are nearest", Less: "nearer", More: "further", Groups: true, Many: true, AtEach: true, OfAim: true,
		of: func(a *exercise.Account, _ bool) Value { return Value{Hands: a.Plan} }},
	{Key: "spare_plan", Part: OfPlan, Label: "Spare", Note: "for the plan", Less: "fewer", More: "more", Left: true, AtEach: true, OfAim: true,
		of: func(a *exercise.Account, _ bool) Value { return tiles(a.SparePlan) }},
	{Key: "clean_plan", Part: OfPlan, Label: "Clean", Verdict: true, Note: "for the plan" + atMost,
		of: func(a *exercise.Account, over bool) Value { return clean(a.CleanPlan(), over) }},
	{Key: "options", Part: OfRack, Label: "Options", Note: "hands at most one further than the nearest", Unit: "hand", Less: "fewer", More: "more", AtEach: true,
		of: func(a *exercise.Account, _ bool) Value { return Value{Count: a.Options, HasCount: true} }},
	{Key: "multiples", Part: OfRack, Label: "Multiples", Note: "two or more of a kind",
		of: func(a *exercise.Account, _ bool) Value { return tiles(a.Rack.Only(a.Rack.Multiples())) }},
	{Key: "gaps", Part: OfNearest, Label: "Gaps", Note: "of the nearest hand",
		of: func(a *exercise.Account, _ bool) Value { return tiles(tile.RackOf(a.Nearest.Gaps()...)) }},
}

func tiles(r tile.Rack) Value { return Value{Tiles: r, HasTiles: true} }

func clean(clean, over bool) Value {
	if !over {
		return Value{}
	}
	return Value{Clean: &clean}
}

// Row is a measure of several routes.
type Row struct {
	*Measure
	Values []Value
}

// AtEnd are the measures of routes at their ends, a value for each in their order.
func AtEnd(columns []exercise.Column) []Row {
	rows := make([]Row, len(Measures))
	for i := range rows {
		rows[i].Measure = &Measures[i]
		for c := range columns {
			rows[i].Values = append(rows[i].Values, Measures[i].Value(columns[c].End(), columns[c].Over()))
		}
	}
	return rows
}

// Compared is how much more route n has of a measure than the first one; ok is false where the measure compares nothing.
func (r *Row) Compared(n int) (more int, ok bool) {
	a, okA := r.Values[0].number()
	b, okB := r.Values[n].number()
	return b - a, r.Less != "" && okA && okB
}
