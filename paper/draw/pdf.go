//go:build !js

package draw

import (
	"bytes"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// pointsPerUnit is the PDF points in a unit of a scene: 72 points are 96 CSS pixels.
const pointsPerUnit = 0.75

// pdfDate is the date written into every PDF, so that the same scenes give the same bytes.
var pdfDate = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// PDF is the scene as a document of one page of its size.
func (s *Scene) PDF(theme *Theme) ([]byte, error) { return PDF(theme, s.Title, s) }

// PDF is a document with a page for each scene, in the scene's size. Texts are texts, in embedded fonts.
func PDF(theme *Theme, title string, pages ...*Scene) ([]byte, error) {
	doc := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: 595, Ht: 842}})
	doc.SetCreationDate(pdfDate)
	doc.SetModificationDate(pdfDate)
	doc.SetCatalogSort(true)
	doc.SetProducer("secondpass", false)
	doc.SetTitle(faces[Sans].clean(title), true)
	doc.SetLang("en-US")
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.SetCellMargin(0)
	w := pdfWriter{doc: doc, theme: theme, added: map[string]bool{}}
	for _, page := range pages {
		doc.AddPageFormat("P", fpdf.SizeType{Wd: page.Width * pointsPerUnit, Ht: page.Height * pointsPerUnit})
		doc.SetLineJoinStyle("round")
		w.page(page)
	}
	var out bytes.Buffer
	if err := doc.Output(&out); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// pdfWriter writes scenes as pages.
type pdfWriter struct {
	doc   *fpdf.Fpdf
	theme *Theme
	added map[string]bool
}

func (w *pdfWriter) page(s *Scene) {
	if s.Background != None && w.theme[s.Background] != 0xFFFFFF {
		w.shape(polygon(0, 0, s.Width, 0, s.Width, s.Height, 0, s.Height), &Style{Fill: s.Background})
	}
	for i := range s.items {
		switch it := &s.items[i]; it.kind {
		case shapeItem:
			w.shape(it.path, &it.style)
		case textItem:
			w.text(&it.text)
		}
	}
}

func (w *pdfWriter) trace(p Path) {
	for _, s := range p.Moved(pointsPerUnit, pointsPerUnit, 0, 0) {
		switch s.Verb {
		case moveTo:
			w.doc.MoveTo(s.P[2].X, s.P[2].Y)
		case lineTo:
			w.doc.LineTo(s.P[2].X, s.P[2].Y)
		case cubicTo:
			w.doc.CurveBezierCubicTo(s.P[0].X, s.P[0].Y, s.P[1].X, s.P[1].Y, s.P[2].X, s.P[2].Y)
		case closePath:
			w.doc.ClosePath()
		}
	}
}

func (w *pdfWriter) shape(p Path, s *Style) {
	if len(p) == 0 {
		return
	}
	how := ""
	if s.Fill != None {
		c := w.theme.rgb(s.Fill, 1-s.Fade)
		w.doc.SetFillColor(int(c.R), int(c.G), int(c.B))
		how += "F"
	}
	if s.Stroke != None && s.Width > 0 {
		c := w.theme.rgb(s.Stroke, 1)
		w.doc.SetDrawColor(int(c.R), int(c.G), int(c.B))
		w.doc.SetLineWidth(s.Width * pointsPerUnit)
		dash := make([]float64, len(s.Dash))
		for i, d := range s.Dash {
			dash[i] = d * pointsPerUnit
		}
		w.doc.SetDashPattern(dash, 0)
		if s.Round {
			w.doc.SetLineCapStyle("round")
		} else {
			w.doc.SetLineCapStyle("butt")
		}
		how += "D"
	}
	if how == "" {
		return
	}
	w.trace(p)
	w.doc.DrawPath(how)
}

// text writes a text in runs of one font file each.
func (w *pdfWriter) text(t *Text) {
	f := faces[t.Font]
	x := t.left()
	var run strings.Builder
	file, start := 0, x
	flush := func() {
		if run.Len() > 0 {
			w.run(t, file, start, run.String())
		}
		run.Reset()
		start = x
	}
	for _, char := range f.clean(t.Text) {
		g := f.glyph(char)
		if g.file != file {
			flush()
			file = g.file
		}
		if g.file == drawn {
			w.shape(g.outline.Moved(t.Size, t.Size, x, t.Y), &Style{Fill: t.Tone})
		} else {
			run.WriteRune(char)
		}
		x += g.advance * t.Size
		if g.file == drawn {
			start = x
		}
	}
	flush()
}

func (w *pdfWriter) run(t *Text, file int, x float64, text string) {
	f := faces[t.Font]
	family := f.family + string(rune('a'+file))
	if !w.added[family+f.style] {
		w.doc.AddUTF8FontFromBytes(family, f.style, f.data(file))
		w.added[family+f.style] = true
	}
	c := w.theme.rgb(t.Tone, 1)
	w.doc.SetTextColor(int(c.R), int(c.G), int(c.B))
	w.doc.SetFont(family, f.style, t.Size*pointsPerUnit)
	w.doc.Text(x*pointsPerUnit, t.Y*pointsPerUnit, text)
}

// PDF is the document as a file.
func (d *Document) PDF(theme *Theme) ([]byte, error) { return PDF(theme, d.title, d.Pages()...) }
