package wording

import (
	"fmt"
	"strings"

	"secondpass/engine/stat"
)

// Share is a proportion in per cent with its interval: "41.2 % (40.2 to 42.2)".
func Share(i stat.Interval) string {
	return fmt.Sprintf("%.1f %% (%.1f to %.1f)", 100*i.Value, 100*i.Low, 100*i.High)
}

// Mean is a mean with its interval.
func Mean(i stat.Interval) string {
	if !i.Bounded() {
		return number(i.Value, 2) + " (too few games)"
	}
	return fmt.Sprintf("%s (%s to %s)", number(i.Value, 2), number(i.Low, 2), number(i.High, 2))
}

// Shown says whether a difference was: its interval leaves 0 out.
func Shown(i stat.Interval) string {
	if i.Holds(0) {
		return ", no difference shown"
	}
	return ""
}

// ChancePoints is a difference of chances in points of per cent with its interval.
func ChancePoints(i stat.Interval) string {
	if !i.Bounded() {
		return Plus(100*i.Value, 1)
	}
	return fmt.Sprintf("%s (%s to %s)", Plus(100*i.Value, 1), Plus(100*i.Low, 1), Plus(100*i.High, 1))
}

// Plus is a number with its sign, and never "-0.0".
func Plus(x float64, digits int) string {
	text := fmt.Sprintf("%+.*f", digits, x)
	if strings.Trim(text, "-0.") == "" {
		return "+" + text[1:]
	}
	return text
}

// number is a number without a plus sign, and never "-0.0".
func number(x float64, digits int) string { return strings.TrimPrefix(Plus(x, digits), "+") }

// Signed is a difference of means with its interval and its sign.
func Signed(i stat.Interval) string {
	if !i.Bounded() {
		return Plus(i.Value, 2) + " (too few games)"
	}
	return fmt.Sprintf("%s (%s to %s)", Plus(i.Value, 2), Plus(i.Low, 2), Plus(i.High, 2))
}

// FineChancePoints is a difference of shares in points of a hundred.
func FineChancePoints(i stat.Interval) string {
	if !i.Bounded() {
		return Plus(100*i.Value, 2) + " (too few games)"
	}
	return fmt.Sprintf("%s (%s to %s)", Plus(100*i.Value, 2), Plus(100*i.Low, 2), Plus(100*i.High, 2))
}

// Points is points a game.
func Points(i stat.Interval) string {
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
