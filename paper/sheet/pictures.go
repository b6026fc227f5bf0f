package sheet

import (
	"fmt"
	"math"
	"strings"

	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/paper/draw"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
)

// Shape is the size of a picture.
type Shape uint8

// The shapes: as large as the drawing is, for a slide or video frame (1920 by 1080), or square (1080 by
// 1080). In a shape with a size the drawing stands in the middle, as large as it can.
const (
	Natural Shape = iota
	Widescreen
	Square
)

// size is the width and height of a shape.
func (s Shape) size() (width, height float64) {
	if s == Widescreen {
		return 1920, 1080
	}
	return 1080, 1080
}

// Margins round a drawing: in units for the natural size, else a share of the shorter side.
const (
	naturalMargin = 24
	shapeMargin   = .04
	// mostEnlarged bounds how much a small drawing grows to fill a shape.
	mostEnlarged = 4
)

// framed is the drawing in a shape, laid out in the one of several ways that comes out largest. layouts
// gives layout n from 1, nil when there are no more. The first is the one for the natural size.
func framed(shape Shape, layouts func(n int) *draw.Scene) *draw.Scene {
	first := layouts(1)
	if shape == Natural {
		first.Background = draw.Paper
		return first.Padded(naturalMargin)
	}
	width, height := shape.size()
	best, largest := first, 0.
	for n := 1; ; n++ {
		scene := layouts(n)
		if scene == nil {
			break
		}
		if scale := min(width/scene.Width, height/scene.Height); scale > largest {
			best, largest = scene, scale
		}
	}
	best.Background = draw.Paper
	return best.Fit(width, height, shapeMargin, mostEnlarged)
}

// Rack is a picture of a rack with a heading above and a caption below, both of which may be empty.
func Rack(heading string, tiles []Tile, caption string, shape Shape) *draw.Scene {
	return framed(shape, func(rows int) *draw.Scene {
		if rows > 1 && rows > len(tiles)/3 {
			return nil
		}
		const width = faceWidth
		s := &draw.Scene{Title: strings.TrimSpace(heading + " " + describe(tiles))}
		parts := splitRows(tiles, rows)
		for _, part := range parts {
			s.Width = max(s.Width, StripWidth(part, width))
		}
		s.Width = max(s.Width, 5*width)
		y := s.Paragraph(0, 0, s.Width, heading, draw.Serif, draw.TitleSize, draw.Ink)
		if heading != "" {
			y += 8
		}
		for _, part := range parts {
			y += width * above
			if anyChosen(part) {
				y += width * raised
			}
			Strip(s, 0, y, width, part)
			y += width * (tileHeight + below + .1)
		}
		s.Height = s.Paragraph(0, y+4, s.Width, caption, draw.Sans, draw.BodySize, draw.Ink2)
		return s
	})
}

func anyChosen(tiles []Tile) bool {
	for i := range tiles {
		if tiles[i].Chosen {
			return true
		}
	}
	return false
}

// splitRows divides a strip into rows of about the same length, at gaps where one is near.
func splitRows(tiles []Tile, rows int) [][]Tile {
	var out [][]Tile
	from := 0
	for r := 1; r <= rows; r++ {
		to := len(tiles) * r / rows
		for _, off := range []int{0, 1, -1} {
			if at := to + off; r < rows && at > from && at < len(tiles) && tiles[at].Gap {
				to = at
				break
			}
		}
		out = append(out, tiles[from:to])
		from = to
	}
	return out
}

// Pass is a picture of one step of a route: what was kept, passed and came, and how the rack then stands.
// It shows the step to which snapshot n of the column belongs.
func Pass(c *exercise.Column, n int, shape Shape) *draw.Scene {
	rows := stepsOf(c)
	for _, r := range rows {
		if n < r.first || n > r.last {
			continue
		}
		return framed(shape, func(layout int) *draw.Scene {
			// Below each other, side by side, and with what was kept in two rows.
			if layout > 3 {
				return nil
			}
			cell, room := cellOf(c, r), 0.
			switch layout {
			case 2:
				room = 24 * faceWidth
			case 3:
				cell.pack = stacked
			}
			part := drawCell(cell, faceWidth, room)
			s := &draw.Scene{Width: part.Width, Title: r.key.label() + ", route " + c.Route.Name}
			y := s.Paragraph(0, 0, s.Width, r.key.label(), draw.Serif, draw.TitleSize, draw.Ink) + 12
			s.Place(part, 0, y, 1)
			s.Height = y + part.Height
			return s
		})
	}
	return framed(shape, func(layout int) *draw.Scene {
		if layout > 1 {
			return nil
		}
		s := &draw.Scene{Width: 400, Height: 40, Title: "no such step"}
		s.Write(draw.Text{Y: 28, Text: "This route has no such step.", Size: draw.BodySize})
		return s
	})
}

// RouteStrip is a picture of a whole route as one band: the deal and what was passed and came at each step, from left to right, and the rack at
// the end; to lie over a video it is made without a background.
func RouteStrip(e *exercise.Exercise, c *exercise.Column, shape Shape) *draw.Scene {
	const tile, between = 33., 34.
	return framed(shape, func(layout int) *draw.Scene {
		if layout > 3 {
			return nil
		}
		s := &draw.Scene{Title: e.Name + ", route " + c.Route.Name}
		perRow := []int{1: 5, 2: 4, 3: 3}[layout]
		x, y, tallest, n := 0., 0., 0., 0
		add := func(label string, part *draw.Scene) {
			if n > 0 && n%perRow == 0 {
				x, y, tallest = 0, y+tallest+between, 0
			}
			n++
			s.Write(draw.Text{X: x, Y: y + 14, Text: label, Font: draw.Bold, Size: draw.BodySize})
			s.Place(part, x, y+26, 1)
			x += max(part.Width, 100) + between
			s.Width, tallest = max(s.Width, x-between), max(tallest, part.Height+26)
			s.Height = max(s.Height, y+tallest)
		}
		rack := func(tiles []Tile) *draw.Scene {
			part := &draw.Scene{Width: StripWidth(tiles, tile), Height: tile * (tileHeight + above + below)}
			Strip(part, 0, tile*above, tile, tiles)
			return part
		}
		add("Dealt", rack(Tiles(e.Deal)))
		for _, r := range stepsOf(c) {
			cell := cellOf(c, r)
			if len(cell.passed)+len(cell.came) == 0 {
				continue
			}
			part := &draw.Scene{}
			part.Width, part.Height = drawMoves(part, &cell, 0, 0, tile), captions(tile)*1.2+tile*(above+tileHeight+below)
			add(r.key.label(), part)
		}
		end := Tiles(c.Trail.Now.Rack())
		MarkSpare(end, c.End().Spare())
		add("At the end", rack(end))
		return s
	})
}

// cell is what one step of a route shows.
type cell struct {
	kept, passed, came []Tile
	// passedWords and cameWords are captions, words is a sentence for a step at which nothing was passed.
	passedWords, cameWords, words string
	account                       *exercise.Account
	pack                          packing
}

// packing is how the tiles of a cell, or of a rack, stand where they find no room side by side.
type packing uint8

const (
	// oneRow: what was kept stands in one row, what was passed and came below it.
	oneRow packing = iota
	// flowing: what was kept, passed and came stands in two rows of about the same length; a rack too.
	flowing
	// stacked: what was kept stands in two rows, what was passed and came below them.
	stacked
)

// flow is how many of the tiles kept stand in the first of two rows so that the longer one, the other tiles in the second, is as
// short as can be, and how long that is.
func (c *cell) flow(u float64) (first int, width float64) {
	moves := drawMoves(&draw.Scene{}, c, 0, 0, u)
	width = math.Inf(1)
	for n := range len(c.kept) + 1 {
		second := moves
		if n < len(c.kept) {
			second += StripWidth(c.kept[n:], u) + u*.6
		}
		if longer := max(StripWidth(c.kept[:n], u), second); longer < width {
			first, width = n, longer
		}
	}
	return first, width
}

// captions is the size of captions beside tiles of a width.
func captions(width float64) float64 { return max(draw.CaptionSize, width*.36) }

// rowKey names a row of a sheet: a step, and the vote that follows the first left as a row of its own.
type rowKey struct {
	step charleston.Step
	vote bool
}

// label is the row's name, as in "1 First right".
func (k rowKey) label() string {
	if k.vote {
		return "Stop or go on"
	}
	return capital(wording.Step(k.step))
}

// capital sets the first letter of a text in upper case, also behind a number.
func capital(text string) string {
	for i, r := range text {
		if r >= 'a' && r <= 'z' {
			return text[:i] + strings.ToUpper(text[i:i+1]) + text[i+1:]
		}
		if r > '9' {
			break
		}
	}
	return text
}

// rowSpan is a row's decisions in one route: snapshots first to last.
type rowSpan struct {
	key         rowKey
	first, last int
}

// stepsOf groups the decisions of a route by row.
func stepsOf(c *exercise.Column) []rowSpan {
	var out []rowSpan
	for i := range c.Trail.Snapshots {
		d := &c.Trail.Snapshots[i].Decision
		key := rowKey{d.Step, d.Phase == charleston.Voting}
		if len(out) == 0 || out[len(out)-1].key != key {
			out = append(out, rowSpan{key: key, first: i})
		}
		out[len(out)-1].last = i
	}
	return out
}

// cellOf is what a row shows of a route.
func cellOf(c *exercise.Column, r rowSpan) cell {
	out := cell{account: &c.Accounts[r.last+1]}
	for i := r.first; i <= r.last; i++ {
		shot := &c.Trail.Snapshots[i]
		d := &shot.Decision
		if d.Own.Len() == 0 && (d.Phase != charleston.Passing || d.Count == 0) {
			out.words = capital(wording.Decision(*d)) + "."
			if d.Phase == charleston.Voting {
				out.words = voteWords(d)
			}
			continue
		}
		out.words = ""
		out.kept = Tiles(shot.Before.Minus(d.Own.Rack()))
		out.passed = List(d.Own.Tiles())
		if d.Phase == charleston.Passing {
			for range d.Count {
				out.passed = append(out.passed, Tile{Unseen: true, Gap: true})
			}
		}
		for j := range out.passed {
			out.passed[j].Passed = d.Step.Direction()
		}
		out.passedWords = "passed " + d.Step.Direction().String()
		if d.Phase == charleston.Passing && d.Count > 0 {
			out.passedWords += ", " + wording.Numeral(d.Count) + " unseen"
		}
		out.cameWords = "came"
		out.came = List(d.Came.Tiles())
		for j := range out.came {
			out.came[j].Came = true
		}
	}
	if out.passed == nil {
		out.kept = nil
		if r.key.vote {
			out.account = nil
		}
	}
	return out
}

func voteWords(d *exercise.Decision) string {
	switch {
	case d.Stop:
		return "Stops. The second Charleston falls away."
	case d.OthersStop:
		return "Goes on, but another seat stops. The second Charleston falls away."
	}
	return "Goes on."
}

// drawCell draws a cell with tiles of a width: side by side where that is no wider than room, else what
// was passed and came below what was kept.
func drawCell(c cell, u, room float64) *draw.Scene {
	s := &draw.Scene{}
	size := captions(u)
	y := 0.
	if c.words != "" {
		s.Width = max(room, 330)
		y = s.Paragraph(0, 2, s.Width, c.words, draw.Sans, max(draw.BodySize, size), draw.Ink) + 4
	}
	if len(c.passed) > 0 {
		y = drawCellTiles(s, &c, y, u, room)
	}
	if c.account != nil {
		s.Width = max(s.Width, drawTally(s, 0, y+size, size, c.account))
		y += tallyHeight(size, c.account)
	}
	s.Height = y
	return s
}

// drawCellTiles draws the tiles of a cell and returns where it goes on below them.
func drawCellTiles(s *draw.Scene, c *cell, y, u, room float64) float64 {
	capHeight := captions(u)*1.2 + u*above
	kept := StripWidth(c.kept, u)
	if kept+drawMoves(&draw.Scene{}, c, 0, 0, u)+u*.6 <= room {
		Strip(s, 0, y+capHeight, u, c.kept)
		s.Width = max(s.Width, drawMoves(s, c, kept+u*.6, y, u))
		return y + capHeight + u*(tileHeight+below) + 4
	}
	if c.pack == flowing {
		first, _ := c.flow(u)
		Strip(s, 0, y+2, u, c.kept[:first])
		y += u*tileHeight + 5
		kept := 0.
		if rest := c.kept[first:]; len(rest) > 0 {
			Strip(s, 0, y+capHeight, u, rest)
			kept = StripWidth(rest, u) + u*.6
		}
		s.Width = max(s.Width, StripWidth(c.kept[:first], u), drawMoves(s, c, kept, y, u))
		return y + capHeight + u*(tileHeight+below) + 4
	}
	rows := 1
	if c.pack == stacked {
		rows = 2
	}
	y += 2
	for _, part := range splitRows(c.kept, rows) {
		Strip(s, 0, y, u, part)
		s.Width = max(s.Width, StripWidth(part, u))
		y += u*tileHeight + 6
	}
	s.Width = max(s.Width, drawMoves(s, c, 0, y, u))
	return y + capHeight + u*(tileHeight+below) + 4
}

// drawMoves draws what was passed and what came, each under its caption, and returns where it ends.
func drawMoves(s *draw.Scene, c *cell, x, y, u float64) float64 {
	size := captions(u)
	for _, part := range []struct {
		words string
		tiles []Tile
	}{{c.passedWords, c.passed}, {c.cameWords, c.came}} {
		if len(part.tiles) == 0 {
			continue
		}
		s.Write(draw.Text{X: x, Y: y + size*.85, Text: part.words, Size: size, Tone: draw.Ink2})
		Strip(s, x, y+size*1.2+u*above, u, part.tiles)
		x += max(StripWidth(part.tiles, u), draw.Measure(part.words, draw.Sans, size)) + u*.7
	}
	return x - u*.7
}

// drawTally writes how a rack stands, a line for the nearest hand and one for that of the plan where it is another, and
// returns how far it reaches to the right.
func drawTally(s *draw.Scene, x, y, size float64, a *exercise.Account) float64 {
	right := drawNear(s, x, y, size, "", &a.Nearest)
	if plan := a.PlanApart(); plan != nil {
		right = max(right, drawNear(s, x, y+size*draw.LineHeight, size, "plan ", plan))
	}
	return right
}

// tallyHeight is the room that drawTally takes.
func tallyHeight(size float64, a *exercise.Account) float64 {
	if a.PlanApart() != nil {
		return size * (1.5 + draw.LineHeight)
	}
	return size * 1.5
}

// drawNear writes how far a hand is and what is spare for it, and returns where it ends.
func drawNear(s *draw.Scene, x, y, size float64, before string, r *fit.Reading) float64 {
	name, away, _ := strings.Cut(wording.Near(r), ": ")
	for _, piece := range []draw.Text{
		{Text: before + name + ": ", Tone: draw.Ink2}, {Text: away, Font: draw.Bold, Tone: draw.Ink}, {Text: fmt.Sprintf(", %d spare", r.Spare.Size()), Tone: draw.Ink2},
	} {
		piece.X, piece.Y, piece.Size = x, y, size
		s.Write(piece)
		x += draw.Measure(piece.Text, piece.Font, size)
	}
	return x
}
