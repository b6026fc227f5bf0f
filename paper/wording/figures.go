package wording

import (
	"fmt"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// Share is a proportion in per cent with its interval: "41.2 % (40.2 to 42.2)".
func Share(i stat.Interval[unit.Chance]) string {
	return fmt.Sprintf("%.1f %% (%.1f to %.1f)", 100*i.Value, 100*i.Low, 100*i.High)
}

// counted is a number of tiles or of other things, or a ratio of numbers.
type counted interface {
	unit.Tiles | unit.Count | unit.Ratio
}

// Mean is a mean number, or a ratio, with its interval.
func Mean[U counted](i stat.Interval[U]) string { return MeanTo(i, 2) }

// MeanTo is that with so many digits after the point.
func MeanTo[U counted](i stat.Interval[U], digits int) string {
	if !i.Bounded() {
		return number(i.Value, digits) + " (too few games)"
	}
	return fmt.Sprintf("%s (%s to %s)", number(i.Value, digits), number(i.Low, digits), number(i.High, digits))
}

// Shown says whether a difference was: its interval leaves 0 out.
func Shown[U unit.Unit](i stat.Interval[U]) string {
	if i.Holds(0) {
		return ", no difference shown"
	}
	return ""
}

// ChancePoints is a difference of chances in percentage points with its interval.
func ChancePoints(i stat.Interval[unit.ChanceDifference]) string {
	if !i.Bounded() {
		return Plus(100*i.Value, 1)
	}
	return fmt.Sprintf("%s (%s to %s)", Plus(100*i.Value, 1), Plus(100*i.Low, 1), Plus(100*i.High, 1))
}

// Plus is a number with its sign, and never "-0.0".
func Plus[U unit.Unit](x U, digits int) string {
	text := fmt.Sprintf("%+.*f", digits, float64(x))
	if strings.Trim(text, "-0.") == "" {
		return "+" + text[1:]
	}
	return text
}

// number is a number without a plus sign, and never "-0.0".
func number[U unit.Unit](x U, digits int) string { return strings.TrimPrefix(Plus(x, digits), "+") }

// Signed is a difference of means with its interval and its sign.
func Signed[U counted](i stat.Interval[U]) string {
	if !i.Bounded() {
		return Plus(i.Value, 2) + " (too few games)"
	}
	return fmt.Sprintf("%s (%s to %s)", Plus(i.Value, 2), Plus(i.Low, 2), Plus(i.High, 2))
}

// FineChancePoints is a difference of shares in percentage points, to two digits.
func FineChancePoints(i stat.Interval[unit.ChanceDifference]) string {
	if !i.Bounded() {
		return Plus(100*i.Value, 2) + " (too few games)"
	}
	return fmt.Sprintf("%s (%s to %s)", Plus(100*i.Value, 2), Plus(100*i.Low, 2), Plus(100*i.High, 2))
}

// Points is net points a game with their interval.
func Points(i stat.Interval[unit.NetPoints]) string {
	if !i.Bounded() {
		return Plus(i.Value, 1) + " (too few games)"
	}
	return fmt.Sprintf("%s (%s to %s)", Plus(i.Value, 1), Plus(i.Low, 1), Plus(i.High, 1))
}

// Capital writes a sentence's first letter, of the English alphabet, large.
func Capital(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
