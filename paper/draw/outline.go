//go:build !js

package draw

import (
	"embed"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

//go:embed fonts/*.ttf
var fontFiles embed.FS

// read is the files of a face, read, with the glyphs asked for so far.
type read struct {
	mutex  sync.Mutex
	fonts  [2]*sfnt.Font
	buffer sfnt.Buffer
	glyphs map[rune]*glyph
}

// glyph is a character's outline and advance, in units of the em with y down.
type glyph struct {
	advance float64
	outline Path
	// file is the place among the face's files; drawn for a glyph that is in none of them.
	file int
}

// drawn says that a glyph comes from no file.
const drawn = -1

// data is a file of the face.
func (f *face) data(file int) []byte {
	data, err := fontFiles.ReadFile("fonts/" + f.files[file] + ".ttf")
	if err != nil {
		panic("draw: embedded font: " + err.Error())
	}
	return data
}

// glyph is the glyph of a character, nil where the font has none. The replacement character is always
// there, as an empty box.
func (f *face) glyph(r rune) *glyph {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	if f.glyphs == nil {
		for i := range f.files {
			parsed, err := sfnt.Parse(f.data(i))
			if err != nil {
				panic("draw: embedded font: " + err.Error())
			}
			f.fonts[i] = parsed
		}
		f.glyphs = map[rune]*glyph{unicode.ReplacementChar: boxGlyph()}
	}
	if g, seen := f.glyphs[r]; seen {
		return g
	}
	g := f.load(r)
	f.glyphs[r] = g
	return g
}

// boxGlyph is the outline of an upright box.
func boxGlyph() *glyph {
	g := &glyph{advance: .62, file: drawn, outline: polygon(.08, 0, .54, 0, .54, -.7, .08, -.7)}
	g.outline = append(g.outline, polygon(.14, -.06, .14, -.64, .48, -.64, .48, -.06)...)
	return g
}

func (f *face) load(r rune) *glyph {
	for i, file := range f.fonts {
		index, err := file.GlyphIndex(&f.buffer, r)
		if err != nil || index == 0 {
			continue
		}
		units := float64(file.UnitsPerEm())
		em := fixed.I(int(units))
		advance, err := file.GlyphAdvance(&f.buffer, index, em, font.HintingNone)
		if err != nil {
			continue
		}
		segments, err := file.LoadGlyph(&f.buffer, index, em, nil)
		if err != nil {
			continue
		}
		return &glyph{advance: float64(advance) / 64 / units, outline: outlineOf(segments, units), file: i}
	}
	return nil
}

// outlineOf is a glyph's outline as a path.
func outlineOf(segments sfnt.Segments, units float64) Path {
	point := func(p fixed.Point26_6) Point {
		return Point{float64(p.X) / 64 / units, float64(p.Y) / 64 / units}
	}
	// third is two thirds of the way: the control of the cubic that is a quadratic curve.
	third := func(a, b Point) Point { return Point{a.X + (b.X-a.X)*2/3, a.Y + (b.Y-a.Y)*2/3} }
	var out Path
	var at Point
	for _, s := range segments {
		p := [3]Point{point(s.Args[0]), point(s.Args[1]), point(s.Args[2])}
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if len(out) > 0 {
				out.ClosePath()
			}
			out.MoveTo(p[0].X, p[0].Y)
			at = p[0]
		case sfnt.SegmentOpLineTo:
			out.LineTo(p[0].X, p[0].Y)
			at = p[0]
		case sfnt.SegmentOpQuadTo:
			out.CurveTo(third(at, p[0]), third(p[1], p[0]), p[1])
			at = p[1]
		case sfnt.SegmentOpCubeTo:
			out.CurveTo(p[0], p[1], p[2])
			at = p[2]
		}
	}
	if len(out) > 0 {
		out.ClosePath()
	}
	return out
}

// has says whether a face has a character, advance how far it moves on at size 1; 0 for one that it has not.
func (f *face) has(r rune) bool { return f.glyph(r) != nil }
func (f *face) advance(r rune) float64 {
	if g := f.glyph(r); g != nil {
		return g.advance
	}
	return 0
}

// composed is a text with letters and their accents in one, as fonts have them.
func composed(text string) string { return norm.NFC.String(text) }
