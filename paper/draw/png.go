//go:build !js

package draw

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"

	"git.sr.ht/~sbinet/gg"
)

// MaxPixels is the most pixels, width times height, that a PNG may have.
const MaxPixels = 64 << 20

// PNG is the scene as a picture of a width in pixels, the height in proportion. It fails for widths
// under 1 and for pictures of more than MaxPixels.
func (s *Scene) PNG(theme *Theme, width int) ([]byte, error) {
	img, err := s.raster(theme, width)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.DefaultCompression}
	if err := encoder.Encode(&out, img); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// PNGHeight is how many pixels high a picture is that is so many wide.
func (s *Scene) PNGHeight(width int) int { return int(math.Round(s.Height * float64(width) / s.Width)) }

func (s *Scene) raster(theme *Theme, width int) (image.Image, error) {
	scale, height := float64(width)/s.Width, s.PNGHeight(width)
	if width < 1 || height < 1 || width > MaxPixels/height {
		return nil, fmt.Errorf("a picture of %d by %d pixels cannot be drawn: at least 1 by 1, at most %d pixels in all", width, height, MaxPixels)
	}
	r := raster{dc: gg.NewContext(width, height), theme: theme, scale: scale}
	if s.Background != None {
		r.dc.SetColor(theme.rgb(s.Background, 1))
		r.dc.Clear()
	}
	r.dc.SetLineJoinRound()
	for i := range s.items {
		switch it := &s.items[i]; it.kind {
		case shapeItem:
			r.shape(it.path.Moved(scale, scale, 0, 0), &it.style)
		case textItem:
			r.text(&it.text)
		}
	}
	return r.dc.Image(), nil
}

// raster draws into an image.
type raster struct {
	dc    *gg.Context
	theme *Theme
	scale float64
}

func (r *raster) trace(p Path) {
	r.dc.ClearPath()
	var start, at Point
	for _, s := range p {
		switch s.Verb {
		case moveTo:
			start = s.P[2]
			r.dc.MoveTo(start.X, start.Y)
		case lineTo:
			r.dc.LineTo(s.P[2].X, s.P[2].Y)
		case cubicTo:
			r.dc.CubicTo(s.P[0].X, s.P[0].Y, s.P[1].X, s.P[1].Y, s.P[2].X, s.P[2].Y)
		case closePath:
			// A closing line of no length would be drawn as a blot.
			if math.Hypot(at.X-start.X, at.Y-start.Y) > .02 {
				r.dc.LineTo(start.X, start.Y)
			}
		}
		at = s.P[2]
	}
}

func (r *raster) fill(p Path, c color.Color) {
	r.dc.SetColor(c)
	r.trace(p)
	r.dc.Fill()
}

func (r *raster) shape(p Path, s *Style) {
	if len(p) == 0 {
		return
	}
	if s.Fill != None {
		r.fill(p, r.theme.rgb(s.Fill, 1-s.Fade))
	}
	if s.Stroke == None || s.Width <= 0 {
		return
	}
	r.dc.SetColor(r.theme.rgb(s.Stroke, 1))
	r.dc.SetLineWidth(s.Width * r.scale)
	dash := make([]float64, len(s.Dash))
	for i, d := range s.Dash {
		// The rasteriser drops shorter pieces, and with them the dots of a dotted line.
		dash[i] = max(d*r.scale, .2)
	}
	r.dc.SetDash(dash...)
	if s.Round || len(dash) == 0 && p.cornered() {
		r.dc.SetLineCapRound()
	} else {
		r.dc.SetLineCapButt()
	}
	r.trace(p)
	r.dc.Stroke()
}

// cornered says that a closed outline begins at a corner, which only round ends close without a notch.
// One that begins on a straight line is better closed by flat ends.
func (p Path) cornered() bool {
	n := len(p)
	if n < 3 || p[n-1].Verb != closePath {
		return false
	}
	start, next, before := p[0].P[2], p[1].P[2], p[n-2].P[2]
	return math.Abs((next.X-start.X)*(start.Y-before.Y)-(next.Y-start.Y)*(start.X-before.X)) > 1e-6 && p[1].Verb == lineTo
}

func (r *raster) text(t *Text) {
	f := faces[t.Font]
	x, y, size := t.left()*r.scale, t.Y*r.scale, t.Size*r.scale
	ink := r.theme.rgb(t.Tone, 1)
	for _, char := range f.clean(t.Text) {
		g := f.glyph(char)
		if len(g.outline) > 0 {
			r.fill(g.outline.Moved(size, size, x, y), ink)
		}
		x += g.advance * size
	}
}
