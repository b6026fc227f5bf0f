package wording

import "secondpass/exercise/comparison"

// Measured is a value of a comparison in words, a line for each hand; nothing where there is none. The number of tiles stands
// before them where it is what the measure compares.
func Measured(m *comparison.Measure, v *comparison.Value) []string {
	switch {
	case v.HasTiles && m.Less != "":
		return []string{Tiles(v.Tiles)}
	case v.HasTiles:
		return []string{OrNone(v.Tiles.String())}
	case v.HasCount:
		return []string{Plural(v.Count, m.Unit)}
	case v.Clean != nil:
		return []string{map[bool]string{true: "clean", false: "not clean"}[*v.Clean]}
	}
	var lines []string
	for i := range v.Hands {
		lines = append(lines, Near(&v.Hands[i]))
	}
	return lines
}

// More is how much more of a measure there is, as in "two fewer".
func More(m *comparison.Measure, n int) string {
	switch {
	case n < 0:
		return Numeral(-n) + " " + m.Less
	case n > 0:
		return Numeral(n) + " " + m.More
	}
	return "the same"
}
