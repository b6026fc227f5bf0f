package sheet

import (
	"fmt"

	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/paper/draw"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// labelRoom is the room of a label left of a strip, leastTile the smallest tile of a row that is not broken, in millimetres.
const (
	labelRoom = 150.
	leastTile = 6.
	labelSize = 15.
)

// AddRow adds tiles in one row, however many they are: each face of a width in millimetres, or as much smaller as it takes.
func AddRow(d *draw.Document, tiles []Tile, mm float64) {
	width := min(mm*draw.Millimetre, d.Width()/max(1, StripWidth(tiles, 1)))
	row := &draw.Scene{Height: width*(above+tileHeight+below) + 11}
	Strip(row, 0, width*above+3, width, tiles)
	d.Add(draw.Part{Scene: row, Scale: 1})
}

// labelled is one strip with the text before it.
type labelled struct {
	label string
	tiles []Tile
}

// addLabelled adds strips with their labels in rows, as many beside each other as there is room for.
func addLabelled(d *draw.Document, mm float64, parts ...labelled) {
	width, x := mm*draw.Millimetre, 0.
	row := &draw.Scene{}
	flush := func() {
		if x > 0 {
			row.Height = width*tileHeight + 9
			d.Add(draw.Part{Scene: row, Scale: 1})
		}
		row, x = &draw.Scene{}, 0
	}
	for _, p := range parts {
		for i, strip := range wrapStrip(p.tiles, width, d.Width()-labelRoom) {
			label := labelRoom
			if x > 0 { // beside another strip: no column is to be kept
				label = draw.Measure(p.label, draw.Sans, labelSize) + 8
			}
			room := label + StripWidth(strip, width) + 18
			if x+room-18 > d.Width() {
				label = labelRoom
				flush()
				room = label + StripWidth(strip, width) + 18
			}
			const top = 2
			if i == 0 {
				size := fitting(p.label, label-6)
				row.Write(draw.Text{X: x, Y: top + width*tileHeight/2 + size/3, Text: draw.Clip(p.label, draw.Sans, size, label-6), Size: size, Tone: draw.Ink2})
			}
			Strip(row, x+label, top, width, strip)
			x += room
		}
	}
	flush()
}

// fitting is the size at which a label fits into a width: the usual one, or three quarters of it at the least.
func fitting(label string, width float64) float64 {
	return labelSize * max(0.75, min(1, width/draw.Measure(label, draw.Sans, labelSize)))
}

// AddBoard adds a moment as the seat sees it: what was passed and came, or what lies open and was discarded, and the rack in
// one row. mm is the width of a tile of the rack; the others are smaller.
func AddBoard(d *draw.Document, b *exercise.Board, mm float64) {
	small := max(leastTile, mm*.5)
	for i := range b.Before {
		p := &b.Before[i]
		addLabelled(d, small, labelled{capital(p.Step.String()) + ": gave", PassedTiles(p)}, labelled{"came", List(p.Came.Tiles())})
	}
	if t := b.Table; t != nil {
		for _, seat := range seatsFrom(b.Seat) {
			if groups := t.Open[seat]; len(groups) > 0 {
				addLabelled(d, small, labelled{seat.Name() + " has open", OpenTiles(groups)})
			}
		}
		if len(t.Lying) > 0 {
			addLabelled(d, leastTile, labelled{fmt.Sprintf("Discards, wall %d", t.Wall), List(t.Lying)})
		} else {
			d.Caption(fmt.Sprintf("No discard lies on the table; %s left in the wall.", wording.Plural(t.Wall, "tile")))
		}
		if t.Waiting {
			addLabelled(d, mm, labelled{t.From.Name() + " discards", List([]tile.Kind{t.Discard})})
		}
	}
	AddRow(d, Tiles(b.Rack), mm)
}

// seatsFrom is the seats in the order of play, the seat itself first.
func seatsFrom(seat charleston.Seat) []charleston.Seat {
	seats := []charleston.Seat{seat}
	for next := charleston.Right.To(seat); next != seat; next = charleston.Right.To(next) {
		seats = append(seats, next)
	}
	return seats
}

// PassedTiles is what went, with those that nobody looked at.
func PassedTiles(p *exercise.Passed) []Tile {
	tiles := List(p.Gave.Tiles())
	for range p.Blind {
		tiles = append(tiles, Tile{Unseen: true, Gap: len(tiles) > 0})
	}
	return tiles
}

// OpenTiles is groups laid open, jokers last in each.
func OpenTiles(groups []table.Exposure) []Tile {
	var tiles []Tile
	for _, e := range groups {
		for i := range e.Size {
			k := e.Tile
			if i >= e.Naturals() {
				k = tile.Joker
			}
			tiles = append(tiles, Tile{Kind: k, Gap: i == 0})
		}
	}
	return tiles
}

// HandTiles is a hand of the card in the card's order of groups, what is missing drawn thin.
func HandTiles(r *fit.Reading) []Tile {
	var tiles []Tile
	held := r.Held()
	for g, group := range r.Groups() {
		for i := range group.Size {
			tiles = append(tiles, Tile{Kind: group.Kind, Gap: i == 0 && g > 0, Missing: i >= held[g]})
		}
	}
	return tiles
}

// AddTicked adds boxes to tick with tiles beside them, as many in a row as there is room for, each with its text for those
// who hear the page.
func AddTicked(d *draw.Document, choices ...[]Tile) {
	const box, mm = 18., 8.
	width, x := mm*draw.Millimetre, 0.
	row := &draw.Scene{}
	flush := func() {
		row.Height = width*tileHeight + 14
		d.Add(draw.Part{Scene: row, Scale: 1})
		row, x = &draw.Scene{}, 0
	}
	for _, tiles := range choices {
		room := box + 10 + StripWidth(tiles, width)
		if x > 0 && x+room > d.Width() {
			flush()
		}
		top := 2 + (width*tileHeight-box)/2
		row.Draw(draw.RoundRect(x, top, box, box, 1, 1), draw.Style{Fill: draw.Paper, Stroke: draw.Ink, Width: 1.8})
		Strip(row, x+box+10, 2, width, tiles)
		x += room + 34
	}
	if x > 0 {
		flush()
	}
}

// AddHand adds a hand beside a rack under its name: what is held and what is missing.
func AddHand(d *draw.Document, r *fit.Reading, label string) {
	addLabelled(d, leastTile, labelled{label, HandTiles(r)})
}
