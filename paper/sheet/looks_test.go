package sheet

import (
	"slices"
	"testing"

	"secondpass/exercise"
)

// A route keeps its look when others stand beside it, are removed or come in another order; two side by side differ.
func TestLooksLast(t *testing.T) {
	for _, test := range []struct {
		letters string
		want    []int
	}{
		{"A", []int{0}}, {"C", []int{2}}, {"ABC", []int{0, 1, 2}}, {"CA", []int{2, 0}}, {"BD", []int{1, 0}},
		{"AD", []int{0, 1}}, {"ADG", []int{0, 1, 2}}, {"BE", []int{1, 0}}, {"EHB", []int{1, 0, 2}}, {"ABCDEF", []int{0, 1, 2, 0, 1, 2}}, {"ADGJB", []int{0, 1, 2, 0, 1}},
	} {
		var routes []*exercise.Route
		for _, letter := range test.letters {
			routes = append(routes, &exercise.Route{ID: string(letter)})
		}
		if got := Looks(routes); !slices.Equal(got, test.want) {
			t.Errorf("%s: %v, wanted %v", test.letters, got, test.want)
		}
	}
}
