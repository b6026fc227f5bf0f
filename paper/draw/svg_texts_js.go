package draw

import "fmt"

// defined is nothing: texts stay texts.
type defined struct{}

func (w *svgWriter) glyphs() {}

// families are the fonts of the faces, by class, as the page calls them.
var families = map[string]string{
	"sn": `font-family="Atkinson Hyperlegible Next, sans-serif"`,
	"sb": `font-family="Atkinson Hyperlegible Next, sans-serif" font-weight="700"`,
	"sf": `font-family="Source Serif 4, serif" font-weight="600"`,
	"si": `font-family="Source Serif 4, serif" font-style="italic"`,
}

// standing draws a text in a file that stands alone, in the room that it was given whatever font the program has that shows it.
func (w *svgWriter) standing(t *Text, f *face) {
	text := f.clean(t.Text)
	fmt.Fprintf(&w.out, `<text x="%s" y="%s" font-size="%s" %s fill="%s" textLength="%s" lengthAdjust="spacingAndGlyphs" xml:space="preserve">%s</text>`, Number(t.left()), Number(t.Y), Number(t.Size),
		families[f.class], hex(w.theme.rgb(t.Tone, 1)), Number(f.width(text)*t.Size), xmlText(text))
}
