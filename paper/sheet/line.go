package sheet

import (
	"fmt"
	"strings"

	"secondpass/paper/draw"
	"secondpass/rules/tile"
)

// The tiles of a line of the card, whose suits are not settled: all in ink, suits told apart by a letter and by the style of
// the line at the foot. Colours are for racks and for variants.

// LineID is the id in the sprite of what a line of the card writes: a rank '1' to '9', an honour's letter, '0', or 'D'.
func LineID(symbol rune) string { return "l-" + string(symbol) }

// dragonLetter is the D of a dragon of an open suit, in the box of numerals.
const dragonLetter = "M3 1H11C21 1 26 9 26 21.5S21 42 11 42H3Z"

// lineSuits are the letters and feet of suits on a line: x has a single line, y a double one, z a dashed one.
var lineSuits = []mark{
	lineSuit("x", "M2 7 13 20M13 7 2 20", "M12 67H48"),
	lineSuit("y", "M2 7 7.8 15.5M13.5 7 5.5 20", "M12 62.5H48M12 72H48"),
	lineSuit("z", "M2.5 7H13L2.5 20H13.5", "M12 67H16.5M27.7 67H32.3M43.5 67H48"),
	{"b", inked(append([]part{suitLetter(suitLetters[tile.Bams])}, suitFeet[tile.Bams]...))},
	{"c", inked(append([]part{suitLetter(suitLetters[tile.Craks])}, suitFeet[tile.Craks]...))},
	{"d", inked(append([]part{suitLetter(suitLetters[tile.Dots])}, suitFeet[tile.Dots]...))},
}

func lineSuit(name, letter, foot string) mark {
	return mark{name, []part{suitLetter(letter), {pen: footPen, tone: draw.Ink, data: foot}}}
}

func suitLetter(data string) part {
	return part{pen: letterPen, tone: draw.Ink, data: data, sx: 1, sy: 1, dx: 40.4, dy: 32}
}

// inked is a drawing without its colours.
func inked(parts []part) []part {
	out := make([]part, len(parts))
	for i, p := range parts {
		p.tone = draw.Ink
		out[i] = p
	}
	return out
}

// writeLines writes the drawings of lines into the sprite.
func writeLines(b *strings.Builder) {
	numeral := func(data string) []part {
		return []part{{pen: numeralPen, tone: draw.Ink, data: data, sx: .93, sy: 1, dx: 6.6, dy: 8.5}}
	}
	for rank := 1; rank <= 9; rank++ {
		group(b, fmt.Sprintf("l-%d", rank), "tf", numeral(numerals[rank]))
	}
	group(b, LineID('D'), "tf", numeral(dragonLetter))
	for k := tile.North; k <= tile.Flower; k++ {
		group(b, "l-"+k.String(), "tf", inked(drawingOf(k)))
	}
	for _, m := range lineSuits {
		group(b, "m-"+m.name, "", m.parts)
	}
}
