package sheet

import (
	"slices"

	"secondpass/exercise"
)

// Looks says how routes side by side, MostRoutes at most, are drawn: 0, 1 or 2, by colour and pattern. A route looks the
// same wherever it stands, after its letter, unless one before it looks so: then it takes the first look that is free.
func Looks(routes []*exercise.Route) []int {
	var looks []int
	for _, r := range routes {
		look := r.Number() % MostRoutes
		for n := 0; n < MostRoutes && slices.Contains(looks, look); n++ {
			look = n
		}
		looks = append(looks, look)
	}
	return looks
}

// looksOf is the looks of the routes of columns.
func looksOf(columns []exercise.Column) []int {
	var routes []*exercise.Route
	for i := range columns {
		routes = append(routes, columns[i].Route)
	}
	return Looks(routes)
}
