package draw

import (
	"fmt"
	"image/color"
)

// Tone is a colour by what it stands for; a Theme says which colour that is.
type Tone uint8

// The tones. None draws nothing.
const (
	None Tone = iota
	Paper
	Ink
	Ink2 // captions
	Line // edges
	Rule // ornament only
	RouteA
	RouteB
	RouteC
	Bam
	Crak
	Dot
	FlowerTone
	TileFace
	TileEdge
	Sunk // the face of a passed tile
	Mark // yours or chosen

	tones
)

// variables are the names of the tones as custom properties of a web page.
var variables = [tones]string{
	Paper: "paper", Ink: "ink", Ink2: "ink-2", Line: "line", Rule: "rule", RouteA: "a", RouteB: "b", RouteC: "c",
	Bam: "bam", Crak: "crak", Dot: "dot", FlowerTone: "flower", TileFace: "tile", TileEdge: "tile-edge", Sunk: "sunk", Mark: "mark",
}

// Theme gives every tone a colour, as 0xRRGGBB.
type Theme [tones]uint32

// The themes: light and dark for screens, Print for printers without colour.
var (
	Light = Theme{
		Paper: 0xFDFDFC, Ink: 0x17202E, Ink2: 0x445061, Line: 0x6F7E90, Rule: 0xC9D5E1, RouteA: 0x1D4C9E, RouteB: 0xAD2B1C, RouteC: 0x55606E,
		Bam: 0x0F6438, Crak: 0xA3241A, Dot: 0x1B4B9B, FlowerTone: 0x74378A, TileFace: 0xFFFFFF, TileEdge: 0x4A5666, Sunk: 0xE6EBF1, Mark: 0xFFEFB0,
	}
	Dark = Theme{
		Paper: 0x18202A, Ink: 0xECEFF3, Ink2: 0xB4BFCC, Line: 0x7C8B9D, Rule: 0x2E3B4A, RouteA: 0x8FBAFF, RouteB: 0xFF9D8C, RouteC: 0xB8C2CE,
		Bam: 0x74D6A0, Crak: 0xFF9F94, Dot: 0x94C0FF, FlowerTone: 0xE0ABF0, TileFace: 0x222C38, TileEdge: 0x9AA8B8, Sunk: 0x141B24, Mark: 0x4D4212,
	}
	Print = Theme{
		Paper: 0xFFFFFF, Ink2: 0x222222, Line: 0x444444, Rule: 0x999999,
		TileFace: 0xFFFFFF, Sunk: 0xE6E6E6, Mark: 0xFFFFFF,
	}
)

// rgb is the colour of a tone, let fade into the paper: tint 1 is the colour itself, 0 the paper.
func (t *Theme) rgb(tone Tone, tint float64) color.NRGBA {
	full, paper := t[tone], t[Paper]
	channel := func(shift uint) uint8 {
		a, b := float64(full>>shift&255), float64(paper>>shift&255)
		return uint8(a*tint + b*(1-tint) + .5)
	}
	return color.NRGBA{channel(16), channel(8), channel(0), 255}
}

// hex writes a colour as in CSS.
func hex(c color.NRGBA) string { return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B) }
