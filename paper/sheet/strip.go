package sheet

import (
	"math"
	"strings"

	"secondpass/paper/draw"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Tile is one tile in a strip, with what is to be said about it.
type Tile struct {
	Kind tile.Kind
	// Unseen draws a tile that nobody looked at, Empty the place of one; Kind is then not read.
	Unseen, Empty bool
	// Gap leaves room before the tile, as between suits.
	Gap bool
	// Spare, Came and Chosen add a mark, Missing draws the tile in thin strokes.
	Spare, Came, Chosen, Missing bool
	// Passed is where the tile was passed, 0 for a tile that stays.
	Passed charleston.Direction
}

// Tiles is a rack as a strip in canonical order, with gaps between suits, winds, dragons, flowers and
// jokers.
func Tiles(rack tile.Rack) []Tile { return List(rack.Tiles()) }

// List is tiles in the order given, with a gap wherever a tile is of another sort than the one before.
func List(kinds []tile.Kind) []Tile {
	out := make([]Tile, len(kinds))
	for i, k := range kinds {
		out[i] = Tile{Kind: k, Gap: i > 0 && sortOf(k) != sortOf(kinds[i-1])}
	}
	return out
}

// sortOf numbers what stands together in a strip.
func sortOf(k tile.Kind) int {
	suit, ranked := k.Suit()
	switch {
	case ranked:
		return int(suit)
	case k <= tile.South:
		return tile.Suits
	case k <= tile.White:
		return tile.Suits + 1
	}
	return int(k)
}

// MarkSpare marks as many tiles of each kind as the spare rack holds, the last ones of a kind first.
func MarkSpare(tiles []Tile, spare tile.Rack) {
	for i := len(tiles) - 1; i >= 0; i-- {
		if t := &tiles[i]; !t.Unseen && !t.Empty && spare[t.Kind] > 0 {
			spare[t.Kind]--
			t.Spare = true
		}
	}
}

// Sizes of a strip, in widths of a tile.
const (
	tileHeight = float64(faceHeight) / faceWidth
	tileGap    = .04
	suitGap    = .2
	// above and below is the room for marks; raised is how much higher a chosen tile stands.
	above, below = 11. / faceWidth, 11. / faceWidth
	raised       = 12. / faceWidth
)

// SmallestTile is the width in units under which a tile is written as its code instead of drawn.
const SmallestTile = 22

// StripWidth is the width of a strip of tiles of a width.
func StripWidth(tiles []Tile, width float64) float64 {
	var x float64
	for i := range tiles {
		x += advance(tiles, i, width)
	}
	return max(0, x-tileGap*width)
}

// advance is the room that tile i takes, with the gap before it.
func advance(tiles []Tile, i int, width float64) float64 {
	if tiles[i].Gap && i > 0 {
		return width * (1 + tileGap + suitGap)
	}
	return width * (1 + tileGap)
}

// Strip draws tiles in a row, each face of the given width, the first face's upper left corner at x, y.
// Marks stand up to a fifth of a width above and below; a chosen tile is raised by another fifth.
// Tiles narrower than SmallestTile are written as codes.
func Strip(s *draw.Scene, x, y, width float64, tiles []Tile) {
	s.Open(describe(tiles))
	for i := range tiles {
		room := advance(tiles, i, width)
		left := x + room - width*(1+tileGap)
		if width < SmallestTile {
			s.Write(draw.Text{X: left + width/2, Y: y + width*tileHeight*.65, Text: code(&tiles[i]), Size: width * .8, Anchor: draw.Middle})
		} else {
			drawTile(s, left, y, width/faceWidth, &tiles[i])
		}
		x += room
	}
	s.Close()
}

// wrapStrip breaks a strip of tiles of a width into rows no wider than room, at a gap where one is near
// the end of a row, so that suits stay together.
func wrapStrip(tiles []Tile, width, room float64) [][]Tile {
	var rows [][]Tile
	for len(tiles) > 0 {
		n := len(tiles)
		for n > 1 && StripWidth(tiles[:n], width) > room {
			n--
		}
		for back := n; n < len(tiles) && back > max(1, n-4); back-- {
			if tiles[back].Gap {
				n = back
				break
			}
		}
		rows = append(rows, tiles[:n])
		tiles = tiles[n:]
	}
	return rows
}

// Widths of a printed tile in millimetres: beside text, and large enough to work with.
const (
	PrintTile   = 6.5
	HandoutTile = 12.
)

// mostShrunk is how far a strip may shrink to stay in one row.
const mostShrunk = .85

// AddStrip adds tiles to a document, each face of a width in millimetres: a little smaller where they then stand in one
// row, else in as many rows as they need.
func AddStrip(d *draw.Document, tiles []Tile, mm float64) {
	width := mm * draw.Millimetre
	if shrunk := d.Width() / StripWidth(tiles, 1); shrunk >= width*mostShrunk {
		width = min(width, shrunk)
	}
	for _, part := range wrapStrip(tiles, width, d.Width()) {
		top := width*above + 3
		if anyChosen(part) {
			top += width * raised
		}
		row := &draw.Scene{Height: top + width*(tileHeight+below) + 8}
		Strip(row, 0, top, width, part)
		d.Add(draw.Part{Scene: row, Scale: 1})
	}
}

// code is a tile in a few characters.
func code(t *Tile) string {
	switch {
	case t.Unseen:
		return "?"
	case t.Empty:
		return "–"
	}
	return t.Kind.String()
}

// describe is a strip in words for those who cannot see it.
func describe(tiles []Tile) string {
	var words []string
	for i := range tiles {
		t := &tiles[i]
		word := code(t)
		for _, state := range []struct {
			holds bool
			name  string
		}{{t.Spare, "spare"}, {t.Came, "came"}, {t.Chosen, "chosen"}, {t.Missing, "missing"}} {
			if state.holds {
				word += " " + state.name
			}
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

// drawTile draws one tile at a scale of 60 by 80 units.
func drawTile(s *draw.Scene, x, y, scale float64, t *Tile) {
	if t.Chosen {
		y -= raised * faceWidth * scale
	}
	drawFace(s, x, y, scale, t)
	parts := unseenParts
	switch {
	case t.Empty:
		return
	case !t.Unseen:
		parts = drawingOf(t.Kind)
	}
	for _, p := range parts {
		drawPart(s, x, y, scale, p, t.Missing)
	}
	for _, m := range marksOf(t) {
		for _, p := range m.parts {
			drawPart(s, x, y, scale, p, false)
		}
	}
}

// drawFace draws the tile's ground in its state.
func drawFace(s *draw.Scene, x, y, scale float64, t *Tile) {
	style := draw.Style{Fill: draw.TileFace, Stroke: draw.TileEdge, Width: 2}
	switch {
	case t.Empty || t.Missing:
		style.Fill, style.Dash = draw.None, []float64{5 * scale, 4 * scale}
	case t.Chosen:
		style.Fill, style.Stroke, style.Width = draw.Mark, draw.Ink, 4
	case t.Passed != 0:
		style.Fill = draw.Sunk
	}
	if t.Kind == tile.Joker && !t.Unseen && !t.Empty && !t.Missing {
		style.Fill, style.Stroke = draw.Ink, draw.Ink
	}
	style.Width *= scale
	inset := faceInset * scale
	s.Draw(draw.RoundRect(x+inset, y+inset, faceWidth*scale-2*inset, faceHeight*scale-2*inset, faceRadius*scale, faceRadius*scale), style)
}

// drawPart draws one part of a tile or mark, thin for a missing tile.
func drawPart(s *draw.Scene, x, y, scale float64, p part, thin bool) {
	tone := p.tone
	if thin && tone == draw.TileFace {
		tone = draw.Ink
	}
	width := map[penKind]float64{numeralPen: 6.4, letterPen: 4.4, footPen: 4.6, finePen: p.width}[p.pen]
	if thin {
		width = min(width, map[penKind]float64{numeralPen: 2.6, letterPen: 2.2, footPen: 2.2, finePen: 2.2}[p.pen])
	}
	if p.sx != 0 {
		width *= math.Sqrt(p.sx * p.sy)
	}
	style := draw.Style{Stroke: tone, Width: width * scale, Round: true}
	if p.pen == solid {
		style = draw.Style{Fill: tone}
	}
	s.Draw(p.path().Moved(scale, scale, x, y), style)
}

// marksOf is the marks of a tile's state.
func marksOf(t *Tile) []mark {
	var out []mark
	if t.Came {
		out = append(out, cameMark)
	}
	switch {
	case t.Passed == charleston.Right:
		out = append(out, rightMark)
	case t.Passed == charleston.Left:
		out = append(out, leftMark)
	case t.Passed == charleston.Across:
		out = append(out, acrossMark)
	case t.Chosen:
		out = append(out, chosenMark)
	case t.Spare:
		out = append(out, spareMark)
	}
	return out
}
