package compose

import (
	"slices"
	"testing"
)

func TestBuildWord(t *testing.T) {
	tests := []struct {
		sizes []int
		want  string
	}{
		{[]int{3}, alike},
		{[]int{4, 4, 4}, alike},
		{[]int{2, 4}, "growing"},
		{[]int{1, 2, 4}, "growing"},
		{[]int{4, 3, 1}, "shrinking"},
		{[]int{2, 4, 2}, "thick in the middle"},
		{[]int{3, 1, 1, 3}, "thick at the ends"},
		{[]int{1, 1, 3, 3}, "the second half thicker"},
		{[]int{4, 4, 4, 2, 2, 2}, "the first half thicker"},
		{[]int{1, 3, 1, 3}, "thin and thick by turns"},
		{[]int{3, 1, 3, 1}, "thick and thin by turns"},
		{[]int{1, 1, 1, 4}, "the last thicker"},
		{[]int{3, 3, 1}, "the last thinner"},
		{[]int{4, 2, 2}, "the first thicker"},
		{[]int{1, 3, 3}, "the first thinner"},
		{[]int{1, 3, 2}, "growing, then shrinking"},
		{[]int{1, 2, 4, 3}, "growing, then shrinking"},
		{[]int{2, 1, 3, 4}, "shrinking, then growing"},
		{[]int{1, 2, 2, 4}, "growing in steps"},
		{[]int{4, 3, 3, 1}, "shrinking in steps"},
		{[]int{1, 3, 2, 4}, ""},
		{[]int{2, 3, 3, 1}, ""},
		{[]int{1, 2, 1, 2, 1, 3}, ""},
		{[]int{1, 3, 2, 3, 1}, ""}, // mirrored, but up and down on the way
	}
	for _, tt := range tests {
		if got := buildWord(tt.sizes); got != tt.want {
			t.Errorf("sizes %v are %q, want %q", tt.sizes, got, tt.want)
		}
	}
}

// All twelve ways to make 8 of three groups of 1 to 4 have a word.
func TestBuilderList(t *testing.T) {
	var got [][]int
	for _, b := range (builder{}).list(buildKey{groups: 3, tiles: 8, least: 1, most: 4}) {
		got = append(got, b.sizes)
	}
	want := [][]int{{1, 3, 4}, {1, 4, 3}, {2, 2, 4}, {2, 3, 3}, {2, 4, 2}, {3, 1, 4}, {3, 2, 3}, {3, 3, 2}, {3, 4, 1}, {4, 1, 3}, {4, 2, 2}, {4, 3, 1}}
	if !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("builds %v, want %v", got, want)
	}
	if none := (builder{}).list(buildKey{groups: 3, tiles: 2, least: 1, most: 4}); len(none) > 0 {
		t.Errorf("2 tiles in 3 groups: %v", none)
	}
}
