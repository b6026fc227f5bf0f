package draw

import (
	"fmt"
	"html"
	"strconv"
	"strings"
	"unicode/utf8"
)

// SVG is the scene as a file of its own. Texts are drawn as outlines, so that it looks the same in every
// program; the title stays readable. Built for a browser texts stay texts, in fonts that the page has.
func (s *Scene) SVG(theme *Theme) []byte {
	w := svgWriter{scene: s, theme: theme}
	w.head(`xmlns="http://www.w3.org/2000/svg" width="` + Number(s.Width) + `" height="` + Number(s.Height) + `" `)
	w.glyphs()
	w.outlines()
	if s.Background != None {
		fmt.Fprintf(&w.out, `<rect width="%s" height="%s" fill="%s"/>`, Number(s.Width), Number(s.Height), hex(theme.rgb(s.Background, 1)))
	}
	w.items()
	w.out.WriteString("</svg>\n")
	return []byte(w.out.String())
}

// InlineSVG is the scene as an element to stand in a web page. Texts stay texts in the page's fonts, and
// colours are the page's custom properties (--ink, --a ...), so that it follows the page's theme; see
// InlineCSS. It is as wide as its place and carries no background and no inline style.
func (s *Scene) InlineSVG() string {
	w := svgWriter{scene: s}
	w.head(`class="drawing" `)
	w.items()
	w.out.WriteString("</svg>")
	return w.out.String()
}

// InlineCSS is the rules that InlineSVG needs: a fill and a stroke class for every tone, and the fonts,
// which it takes from --sans and --serif.
func InlineCSS() string {
	var b strings.Builder
	b.WriteString(".drawing{display:block;max-width:100%;height:auto;overflow:visible}.drawing text{stroke:none}\n")
	b.WriteString(".sn,.sb{font-family:var(--sans)}.sb{font-weight:700}.sf,.si{font-family:var(--serif)}.sf{font-weight:600}.si{font-style:italic}\n")
	for tone := Paper; tone < tones; tone++ {
		fmt.Fprintf(&b, ".fill-%[1]s{fill:var(--%[1]s)}.line-%[1]s{stroke:var(--%[1]s)}\n", variables[tone])
	}
	return b.String()
}

// svgWriter writes a scene; without a theme it writes for a page.
type svgWriter struct {
	out   strings.Builder
	scene *Scene
	theme *Theme
	defined
	// shapes are the ids of outlines that are drawn again and again, by their path data from their first point.
	shapes map[string]string
}

func (w *svgWriter) head(attributes string) {
	title := xmlText(w.scene.Title)
	fmt.Fprintf(&w.out, `<svg %sviewBox="0 0 %s %s" role="img" aria-label="%s"><title>%s</title>`, attributes, Number(w.scene.Width), Number(w.scene.Height), title, title)
}

// xmlText escapes a text, and replaces what XML does not allow at all.
func xmlText(text string) string {
	return html.EscapeString(strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case r < 0x20 || r == 0xFFFE || r == 0xFFFF:
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(text, string(utf8.RuneError))))
}

// leastShared is the length of path data from which an outline that is drawn more than once is shared.
const leastShared = 60

// outlines defines every outline that is drawn more than once, the strokes of tiles above all.
func (w *svgWriter) outlines() {
	seen, order := map[string]int{}, []string{}
	for i := range w.scene.items {
		if it := &w.scene.items[i]; it.kind == shapeItem && len(it.path) > 0 {
			if data := pathData(it.path.fromStart()); len(data) >= leastShared {
				if seen[data]++; seen[data] == 2 {
					order = append(order, data)
				}
			}
		}
	}
	if len(order) == 0 {
		return
	}
	w.shapes = map[string]string{}
	w.out.WriteString("<defs>")
	for n, data := range order {
		w.shapes[data] = fmt.Sprintf("p%d", n)
		fmt.Fprintf(&w.out, `<path id="p%d" d="%s"/>`, n, data)
	}
	w.out.WriteString("</defs>")
}

// fromStart is the path moved so that it begins at 0, 0.
func (p Path) fromStart() Path { return p.Moved(1, 1, -p[0].P[2].X, -p[0].P[2].Y) }

// shape draws a shape, by reference where its outline is shared.
func (w *svgWriter) shape(it *item) {
	if len(it.path) == 0 {
		return
	}
	if len(w.shapes) > 0 {
		if id, shared := w.shapes[pathData(it.path.fromStart())]; shared {
			start := it.path[0].P[2]
			fmt.Fprintf(&w.out, `<use href="#%s" x="%s" y="%s"%s/>`, id, Number(start.X), Number(start.Y), w.style(&it.style))
			return
		}
	}
	fmt.Fprintf(&w.out, `<path d="%s"%s/>`, pathData(it.path), w.style(&it.style))
}

func (w *svgWriter) items() {
	for i := range w.scene.items {
		switch it := &w.scene.items[i]; it.kind {
		case shapeItem:
			w.shape(it)
		case textItem:
			w.text(&it.text)
		case openItem:
			fmt.Fprintf(&w.out, `<g><title>%s</title>`, xmlText(it.text.Text))
		case closeItem:
			w.out.WriteString("</g>")
		}
	}
}

// style is the attributes of a shape.
func (w *svgWriter) style(s *Style) string {
	var classes, rest []string
	if w.theme == nil {
		if s.Fill != None {
			classes = append(classes, "fill-"+variables[s.Fill])
			if s.Fade > 0 {
				rest = append(rest, `fill-opacity="`+Number(1-s.Fade)+`"`)
			}
		}
		if s.Stroke != None {
			classes = append(classes, "line-"+variables[s.Stroke])
		}
		if len(classes) > 0 {
			rest = append(rest, `class="`+strings.Join(classes, " ")+`"`)
		}
	} else {
		if s.Fill != None {
			rest = append(rest, `fill="`+hex(w.theme.rgb(s.Fill, 1-s.Fade))+`"`)
		}
		if s.Stroke != None {
			rest = append(rest, `stroke="`+hex(w.theme.rgb(s.Stroke, 1))+`"`)
		}
	}
	if s.Fill == None {
		rest = append(rest, `fill="none"`)
	}
	if s.Stroke != None {
		rest = append(rest, `stroke-width="`+Number(s.Width)+`" stroke-linejoin="round"`)
		if s.Round {
			rest = append(rest, `stroke-linecap="round"`)
		}
		if len(s.Dash) > 0 {
			var dash []string
			for _, d := range s.Dash {
				dash = append(dash, Number(d))
			}
			rest = append(rest, `stroke-dasharray="`+strings.Join(dash, " ")+`"`)
		}
	}
	return " " + strings.Join(rest, " ")
}

func (w *svgWriter) text(t *Text) {
	f := faces[t.Font]
	if w.theme == nil {
		more := []string{Start: "", Middle: ` text-anchor="middle"`, End: ` text-anchor="end"`}[t.Anchor]
		if f.clean(t.Text) == t.Text {
			// Keeps the text in its room where the page's own font has not come.
			more += ` textLength="` + Number(f.width(t.Text)*t.Size) + `" lengthAdjust="spacingAndGlyphs"`
		}
		fmt.Fprintf(&w.out, `<text class="%s fill-%s" x="%s" y="%s" font-size="%s"%s>%s</text>`, f.class, variables[t.Tone], Number(t.X), Number(t.Y), Number(t.Size), more, xmlText(t.Text))
		return
	}
	w.standing(t, f)
}

// pathData writes a path as in SVG.
func pathData(p Path) string {
	var b strings.Builder
	for _, s := range p {
		switch s.Verb {
		case moveTo:
			fmt.Fprintf(&b, "M%s %s", Number(s.P[2].X), Number(s.P[2].Y))
		case lineTo:
			fmt.Fprintf(&b, "L%s %s", Number(s.P[2].X), Number(s.P[2].Y))
		case cubicTo:
			fmt.Fprintf(&b, "C%s %s %s %s %s %s", Number(s.P[0].X), Number(s.P[0].Y), Number(s.P[1].X), Number(s.P[1].Y), Number(s.P[2].X), Number(s.P[2].Y))
		case closePath:
			b.WriteByte('Z')
		}
	}
	return b.String()
}

// Number writes a coordinate of an SVG with two decimals at most.
func Number(x float64) string {
	text := strconv.FormatFloat(x, 'f', 2, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" || text == "" {
		return "0"
	}
	return text
}
