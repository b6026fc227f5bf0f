package draw

import (
	"embed"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// Font is one of the faces that texts are set in.
type Font uint8

// The faces: Atkinson Hyperlegible Next for all text, Source Serif 4 for headings and its italic for
// remarks. Both are under the SIL Open Font License, see fonts/.
const (
	Sans Font = iota
	Bold
	Serif
	Italic

	fonts
)

//go:embed fonts/*.ttf
var fontFiles embed.FS

// face is a font read, with the glyphs asked for so far. It may be used by several goroutines.
type face struct {
	// files are looked through in turn for a character: Latin, then extended Latin.
	files [2]string
	// family and style are its name in a PDF, class that in a web page.
	family, style, class string

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

var faces = [fonts]*face{
	Sans:   {files: [2]string{"AtkinsonHyperlegibleNext-Regular-Latin", "AtkinsonHyperlegibleNext-Regular-Ext"}, family: "sans", class: "sn"},
	Bold:   {files: [2]string{"AtkinsonHyperlegibleNext-Bold-Latin", "AtkinsonHyperlegibleNext-Bold-Ext"}, family: "sans", style: "B", class: "sb"},
	Serif:  {files: [2]string{"SourceSerif4-SemiBold-Latin", "SourceSerif4-SemiBold-Ext"}, family: "serif", style: "B", class: "sf"},
	Italic: {files: [2]string{"SourceSerif4-Italic-Latin", "SourceSerif4-Italic-Ext"}, family: "serif", style: "I", class: "si"},
}

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

// noBreak is a blank at which no line is broken.
const noBreak = '\u00a0'

// clean is a text in characters that the font has: composed, breaks and controls as blanks, invisible
// format characters left out, and whatever else is lacking visibly replaced.
func (f *face) clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == noBreak:
			return r
		case unicode.IsSpace(r) || unicode.IsControl(r):
			return ' '
		case unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r):
			return -1
		case f.glyph(r) == nil:
			return unicode.ReplacementChar
		}
		return r
	}, norm.NFC.String(text))
}

// width is the width of a cleaned text at size 1. There is no kerning, here or in any back end, so that
// all draw the same.
func (f *face) width(text string) float64 {
	var sum float64
	for _, r := range text {
		if g := f.glyph(r); g != nil {
			sum += g.advance
		}
	}
	return sum
}

// Measure is the width of a text in a font and size.
func Measure(text string, font Font, size float64) float64 {
	f := faces[font]
	return f.width(f.clean(text)) * size
}

// Wrap breaks a text into lines no wider than width: at blanks (U+00A0 is none), and within a word only
// where it alone is too wide. An empty text has no lines.
func Wrap(text string, font Font, size, width float64) []string {
	f := faces[font]
	var lines []string
	line := ""
	for word := range strings.SplitSeq(f.clean(text), " ") {
		if word == "" {
			continue
		}
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if f.width(longer)*size <= width {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for f.width(word)*size > width {
			head := f.fitting(word, width/size)
			lines = append(lines, head)
			word = word[len(head):]
		}
		line = word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fitting is the longest beginning of a word within a width, one character at least.
func (f *face) fitting(word string, width float64) string {
	var sum float64
	for i, r := range word {
		sum += f.width(string(r))
		if i > 0 && sum > width {
			return word[:i]
		}
	}
	return word
}

// Clip shortens a text to a width with an ellipsis, where it is too wide.
func Clip(text string, font Font, size, width float64) string {
	f := faces[font]
	text = f.clean(text)
	if f.width(text)*size <= width {
		return text
	}
	return strings.TrimRight(f.fitting(text, width/size-f.width("…")), " ") + "…"
}
