package draw

import (
	"fmt"
	"strconv"
	"strings"
)

// Point is a place in a scene: x to the right, y down.
type Point struct{ X, Y float64 }

// verb says what a segment of a path does.
type verb uint8

const (
	moveTo verb = iota
	lineTo
	cubicTo
	closePath
)

// segment is one step of a path. P[2] is where it ends; P[0] and P[1] are the controls of a curve.
type segment struct {
	Verb verb
	P    [3]Point
}

// Path is an outline of straight lines and cubic curves.
type Path []segment

// MoveTo begins a line at a place.
func (p *Path) MoveTo(x, y float64) { *p = append(*p, segment{moveTo, [3]Point{2: {x, y}}}) }

// LineTo goes on in a straight line.
func (p *Path) LineTo(x, y float64) { *p = append(*p, segment{lineTo, [3]Point{2: {x, y}}}) }

// CurveTo goes on in a cubic curve with two controls.
func (p *Path) CurveTo(a, b, end Point) {
	*p = append(*p, segment{cubicTo, [3]Point{a, b, end}})
}

// ClosePath goes back to where the line began.
func (p *Path) ClosePath() { *p = append(*p, segment{Verb: closePath}) }

// Kappa is the length of the controls with which a cubic curve comes nearest to a quarter of a circle.
const Kappa = 0.5522847498

// Circle is a circle.
func Circle(x, y, r float64) Path {
	k := r * Kappa
	var p Path
	p.MoveTo(x+r, y)
	p.CurveTo(Point{x + r, y + k}, Point{x + k, y + r}, Point{x, y + r})
	p.CurveTo(Point{x - k, y + r}, Point{x - r, y + k}, Point{x - r, y})
	p.CurveTo(Point{x - r, y - k}, Point{x - k, y - r}, Point{x, y - r})
	p.CurveTo(Point{x + k, y - r}, Point{x + r, y - k}, Point{x + r, y})
	p.ClosePath()
	return p
}

// RoundRect is a rectangle whose upper and lower corners are rounded with radii of their own. It begins
// in the middle of its upper edge.
func RoundRect(x, y, w, h, top, bottom float64) Path {
	top, bottom = min(top, w/2, h/2), min(bottom, w/2, h/2)
	kt, kb := top*(1-Kappa), bottom*(1-Kappa)
	var p Path
	p.MoveTo(x+w/2, y)
	p.LineTo(x+w-top, y)
	p.CurveTo(Point{x + w - kt, y}, Point{x + w, y + kt}, Point{x + w, y + top})
	p.LineTo(x+w, y+h-bottom)
	p.CurveTo(Point{x + w, y + h - kb}, Point{x + w - kb, y + h}, Point{x + w - bottom, y + h})
	p.LineTo(x+bottom, y+h)
	p.CurveTo(Point{x + kb, y + h}, Point{x, y + h - kb}, Point{x, y + h - bottom})
	p.LineTo(x, y+top)
	p.CurveTo(Point{x, y + kt}, Point{x + kt, y}, Point{x + top, y})
	p.ClosePath()
	return p
}

// Polyline joins points given as x, y, x, y ...
func Polyline(xy ...float64) Path {
	var p Path
	for i := 0; i+1 < len(xy); i += 2 {
		if i == 0 {
			p.MoveTo(xy[0], xy[1])
		} else {
			p.LineTo(xy[i], xy[i+1])
		}
	}
	return p
}

// polygon is a closed Polyline.
func polygon(xy ...float64) Path {
	p := Polyline(xy...)
	p.ClosePath()
	return p
}

// moved is the path scaled by sx, sy and then moved by dx, dy.
func (p Path) Moved(sx, sy, dx, dy float64) Path {
	out := make(Path, len(p))
	for i, s := range p {
		for j := range s.P {
			s.P[j] = Point{s.P[j].X*sx + dx, s.P[j].Y*sy + dy}
		}
		out[i] = s
	}
	return out
}

// PathOf reads path data as in SVG: the commands M, L, H, V, C, S and Z, all absolute. It panics on
// anything else: it is for drawings that stand in the program.
func PathOf(data string) Path {
	var p Path
	var at, last Point
	in := pathReader{text: data}
	for command := in.command(0); command != 0; command = in.command(command) {
		control := at
		switch command {
		case 'M', 'L':
			at = in.point()
			p = append(p, segment{map[byte]verb{'M': moveTo, 'L': lineTo}[command], [3]Point{2: at}})
		case 'H':
			at.X = in.number()
			p.LineTo(at.X, at.Y)
		case 'V':
			at.Y = in.number()
			p.LineTo(at.X, at.Y)
		case 'C', 'S':
			first := Point{2*at.X - last.X, 2*at.Y - last.Y}
			if command == 'C' {
				first = in.point()
			}
			control = in.point()
			at = in.point()
			p.CurveTo(first, control, at)
		case 'Z':
			p.ClosePath()
		default:
			panic(fmt.Sprintf("draw: path command %q in %q", command, data))
		}
		last = control
		if command != 'C' && command != 'S' {
			last = at
		}
	}
	return p
}

// pathReader takes path data apart.
type pathReader struct {
	text string
	at   int
}

func (r *pathReader) skip() {
	for r.at < len(r.text) && strings.IndexByte(" ,", r.text[r.at]) >= 0 {
		r.at++
	}
}

// command is the next command; numbers without one repeat the last, after a move as lines. It is 0 at
// the end.
func (r *pathReader) command(last byte) byte {
	r.skip()
	if r.at == len(r.text) {
		return 0
	}
	if c := r.text[r.at]; c >= 'A' && c <= 'Z' {
		r.at++
		return c
	}
	if last == 'M' {
		return 'L'
	}
	return last
}

func (r *pathReader) number() float64 {
	r.skip()
	end := r.at
	for end < len(r.text) && (strings.IndexByte("0123456789.", r.text[end]) >= 0 || end == r.at && r.text[end] == '-') {
		end++
	}
	x, err := strconv.ParseFloat(r.text[r.at:end], 64)
	if err != nil {
		panic(fmt.Sprintf("draw: no number at %d in path %q", r.at, r.text))
	}
	r.at = end
	return x
}

func (r *pathReader) point() Point {
	x := r.number()
	return Point{x, r.number()}
}
