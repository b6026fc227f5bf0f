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

// Beside says how a route stands beside another one by a measure, in whole words: "B has two fewer".
func Beside(m *comparison.Measure, route, other string, n int) string {
	switch {
	case n == 0:
		return route + " and " + other + " alike"
	case m.Groups:
		return route + " is " + More(m, n)
	}
	return route + " has " + More(m, n)
}

// Verdicts says of which of two routes a verdict holds, as in "clean: only B".
func Verdicts(what, route, other string, of, ofOther bool) string {
	switch {
	case of && ofOther:
		return "both " + what
	case of:
		return "only " + route + " " + what
	case ofOther:
		return "only " + other + " " + what
	}
	return "neither " + what
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
