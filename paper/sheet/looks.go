package sheet

import (
	"slices"

	"secondpass/exercise"
)

// lookCount is how many looks there are.
const lookCount = 3

// Looks says how routes side by side are drawn: 0, 1 or 2, by colour and pattern. A route looks the same wherever it stands, after
// its letter, unless one before it looks so: then it takes the first look that is free. Of more than three routes some look
// alike, no look more often than needed; their letters tell them apart.
func Looks(routes []*exercise.Route) []int {
	var looks []int
	var taken [lookCount]int
	for _, r := range routes {
		look, least := r.Number()%lookCount, slices.Min(taken[:])
		for n := 0; taken[look] > least; n++ {
			look = n
		}
		taken[look]++
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
