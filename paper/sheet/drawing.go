package sheet

import (
	"secondpass/paper/draw"
	"secondpass/rules/tile"
)

// The drawings of tiles and marks, in units of a face of 60 by 80. Marks stand above and below it,
// from -11 to 91. A numeral, a suit letter and a foot are each drawn once here and put together by
// kind; Sprite, pictures and documents all take them from here.

// penKind says with what a part is drawn.
type penKind uint8

const (
	numeralPen penKind = iota // the large numeral or letter
	letterPen                 // the suit letter
	footPen                   // the band at the foot
	finePen                   // lines with a width of their own that stay as they are
	solid                     // filled, no line
)

// part is one stroke or filled shape of a drawing.
type part struct {
	pen  penKind
	tone draw.Tone
	// data is path data; circle is x, y, r where there is none.
	data   string
	circle [3]float64
	// sx, sy, dx, dy place the data: scaled, then moved. sx 0 is as it stands.
	sx, sy, dx, dy float64
	// width is that of a finePen.
	width float64
}

// path is the part's outline in tile units.
func (p part) path() draw.Path {
	if p.data == "" {
		return draw.Circle(p.circle[0], p.circle[1], p.circle[2])
	}
	if p.sx == 0 {
		return draw.PathOf(p.data)
	}
	return draw.PathOf(p.data).Moved(p.sx, p.sy, p.dx, p.dy)
}

// The face and its rounded edge.
const (
	faceWidth, faceHeight = 60, 80
	faceInset, faceRadius = 1.5, 7
	markTop, markBottom   = -11, 91
)

// numerals are the strokes of 1 to 9, in a box of 28 by 43.
var numerals = [10]string{
	1: "M6 9 15 1.5V42M5 42H25",
	2: "M3 12C3 5 8 1 14 1S25 5 25 12C25 19 19 23 14 28L3 42H26",
	3: "M3 7C5 3 9 1 13.5 1 20 1 24 5 24 10.5 24 16 20 20 12 20 21 20 26 24 26 30.5 26 37 21 42 13.5 42 8 42 4 40 2 36",
	4: "M20 43V1L2 30H28",
	5: "M23 1H6L4 19C7 17 10 16 13.5 16 21 16 26 21 26 28.5 26 37 21 42 13.5 42 8 42 4 40 2 36",
	6: "M22 2C11 6 3 16 3 28 3 37 8 42 14.5 42 21 42 26 37 26 29.5 26 22 21 18 15 18 8 18 3 22 3 29",
	7: "M2 1H26L11 43",
	8: "M14 20C8 20 4 16 4 10.5 4 5 8 1 14 1S24 5 24 10.5C24 16 20 20 14 20 7 20 2 24 2 31 2 38 7 42 14 42S26 38 26 31C26 24 21 20 14 20Z",
	9: "M6.5 41C17.5 37 25.5 27 25.5 15 25.5 6 20.5 1 14 1 7.5 1 2.5 6 2.5 13.5 2.5 21 7.5 25 13.5 25 20.5 25 25.5 21 25.5 14",
}

// suitLetters are b, c and d, in a box of 15 by 20.
var suitLetters = [tile.Suits]string{
	tile.Bams:  "M2 0V20M2 13.2C2 9.5 4.5 7 7.7 7 11 7 13.2 9.8 13.2 13.5S11 20 7.7 20C4.5 20 2 17.5 2 13.8",
	tile.Craks: "M13 9.5C11.8 7.9 10 7 8 7 4.5 7 2 9.8 2 13.5S4.5 20 8 20C10 20 11.8 19.1 13 17.5",
	tile.Dots:  "M13 0V20M13 13.2C13 9.5 10.5 7 7.3 7 4 7 1.8 9.8 1.8 13.5S4 20 7.3 20C10.5 20 13 17.5 13 13.8",
}

// suitTones are the suits' colours.
var suitTones = [tile.Suits]draw.Tone{tile.Bams: draw.Bam, tile.Craks: draw.Crak, tile.Dots: draw.Dot}

// suitFeet are the bands at the foot: four bars, a crack, three rings.
var suitFeet = [tile.Suits][]part{
	tile.Bams:  {{pen: footPen, tone: draw.Bam, data: "M14 61V73M24.7 61V73M35.3 61V73M46 61V73"}},
	tile.Craks: {{pen: footPen, tone: draw.Crak, data: "M11 71 17.3 63 23.7 71 30 63 36.3 71 42.7 63 49 71"}},
	tile.Dots: {
		{pen: footPen, tone: draw.Dot, circle: [3]float64{15, 67, 4.4}},
		{pen: footPen, tone: draw.Dot, circle: [3]float64{30, 67, 4.4}},
		{pen: footPen, tone: draw.Dot, circle: [3]float64{45, 67, 4.4}},
	},
}

// windDashes stand on both sides of a wind's pointer.
var windDashes = part{pen: finePen, tone: draw.Ink, data: "M10 67H15M45 67H50", width: 3.4}

// dragonFrame is the frame round a dragon's letter.
const dragonFrame = "M11.5 6.5H48.5C50.7 6.5 52.5 8.3 52.5 10.5V51.5C52.5 53.7 50.7 55.5 48.5 55.5H11.5C9.3 55.5 7.5 53.7 7.5 51.5V10.5C7.5 8.3 9.3 6.5 11.5 6.5Z"

// honours are the tiles that are no ranks.
var honours = map[tile.Kind][]part{
	tile.North: {letter("M2 42V1L27 42V1", draw.Ink, 1, 16, 8.5), {pen: solid, tone: draw.Ink, data: "M23 72 30 61 37 72Z"}, windDashes},
	tile.East:  {letter("M25 1H4V42H25M4 21H21", draw.Ink, 1, 16, 8.5), {pen: solid, tone: draw.Ink, data: "M24.5 60 35.5 67 24.5 74Z"}, windDashes},
	tile.West:  {letter("M1 1 9 42 17 8 25 42 33 1", draw.Ink, 1, 13, 8.5), {pen: solid, tone: draw.Ink, data: "M35.5 60 24.5 67 35.5 74Z"}, windDashes},
	tile.South: {letter("M25 7C23 3 19 1 14 1 8 1 3 5 3 11 3 17 8 19.5 14 21 21 23 26 25.5 26 32 26 38 21 42 14 42 8 42 4 40 2 36", draw.Ink, 1, 16, 8.5), {pen: solid, tone: draw.Ink, data: "M23 62 30 73 37 62Z"}, windDashes},
	tile.Red: {
		{pen: finePen, tone: draw.Crak, data: dragonFrame, width: 2.6},
		letter("M4 43V1H14C21 1 25 5 25 11.5S21 22 14 22H4M14 22 26 43", draw.Crak, .83, 18.5, 13.5),
		{pen: footPen, tone: draw.Crak, data: "M23 72 28 62 32 72 37 62"},
	},
	tile.Green: {
		{pen: finePen, tone: draw.Bam, data: dragonFrame, width: 2.6},
		letter("M25 8C22 3 18 1 14 1 6 1 2 9 2 21.5S7 42 14.5 42C19 42 23 40 25.5 37V23H15", draw.Bam, .83, 18.5, 13.5),
		{pen: footPen, tone: draw.Bam, data: "M30 61V73"},
	},
	tile.White: {
		{pen: finePen, tone: draw.Dot, data: dragonFrame, width: 2.6},
		letter("M14 1C21 1 26 9 26 21.5S21 42 14 42 2 34 2 21.5 7 1 14 1Z", draw.Dot, .83, 18.4, 13),
		{pen: footPen, tone: draw.Dot, circle: [3]float64{30, 67, 4.6}},
	},
	tile.Flower: {
		letter("M4 43V1H25M4 21H21", draw.FlowerTone, 1, 17, 8.5),
		{pen: finePen, tone: draw.FlowerTone, circle: [3]float64{30, 61.6, 3.5}, width: 2.6},
		{pen: finePen, tone: draw.FlowerTone, circle: [3]float64{35.14, 65.33, 3.5}, width: 2.6},
		{pen: finePen, tone: draw.FlowerTone, circle: [3]float64{33.17, 71.37, 3.5}, width: 2.6},
		{pen: finePen, tone: draw.FlowerTone, circle: [3]float64{26.83, 71.37, 3.5}, width: 2.6},
		{pen: finePen, tone: draw.FlowerTone, circle: [3]float64{24.86, 65.33, 3.5}, width: 2.6},
	},
	tile.Joker: {
		letter("M20 1V30C20 38 16 42 10.5 42 6 42 3 40 1 36", draw.TileFace, 1, 18, 8.5),
		{pen: finePen, tone: draw.TileFace, data: "M11.5 62V72", width: 3.6},
		{pen: finePen, tone: draw.TileFace, data: "M18.5 71 22 63.5 25.5 71 29 63.5", width: 3.6},
		{pen: finePen, tone: draw.TileFace, circle: [3]float64{48.4, 67, 3.8}, width: 3.6},
		{pen: finePen, tone: draw.TileFace, data: "M37.4 63.2V70.8M34.1 65.1 40.7 68.9M40.7 65.1 34.1 68.9", width: 2.2},
	},
}

// letter is a large letter of an honour, scaled and moved.
func letter(data string, tone draw.Tone, scale, dx, dy float64) part {
	return part{pen: numeralPen, tone: tone, data: data, sx: scale, sy: scale, dx: dx, dy: dy}
}

// unseenParts is the question mark of a tile that was not looked at.
var unseenParts = []part{{pen: finePen, tone: draw.Ink, data: "M22 27C22 21 25 18 30 18S38 21 38 26 30 32 30 39M30 50V50.5", width: 4.4}}

// drawingOf is what stands on the face of a kind.
func drawingOf(k tile.Kind) []part {
	suit, ranked := k.Suit()
	if !ranked {
		return honours[k]
	}
	return append([]part{
		{pen: numeralPen, tone: suitTones[suit], data: numerals[k.Rank()], sx: .93, sy: 1, dx: 6.6, dy: 8.5},
		{pen: letterPen, tone: suitTones[suit], data: suitLetters[suit], sx: 1, sy: 1, dx: 40.4, dy: 32},
	}, suitFeet[suit]...)
}

// mark is a sign above or below a tile.
type mark struct {
	name  string
	parts []part
}

// The marks, by the names they have in the sprite.
var (
	cameMark   = mark{"came", []part{{pen: solid, tone: draw.Ink, data: "M22-10H38L30-2Z"}}}
	rightMark  = mark{"right", []part{{pen: finePen, tone: draw.Ink, data: "M18 86H40M34 81.5 40.5 86 34 90.5", width: 3.6}}}
	leftMark   = mark{"left", []part{{pen: finePen, tone: draw.Ink, data: "M42 86H20M26 81.5 19.5 86 26 90.5", width: 3.6}}}
	acrossMark = mark{"across", []part{{pen: finePen, tone: draw.Ink, data: "M14 86H46M20 81.5 13.5 86 20 90.5M40 81.5 46.5 86 40 90.5", width: 3.6}}}
	spareMark  = mark{"spare", []part{{pen: finePen, tone: draw.Ink, circle: [3]float64{30, 86, 3.8}, width: 3}}}
	chosenMark = mark{"chosen", []part{{pen: finePen, tone: draw.Ink, data: "M21 86 27.5 91 40 81", width: 4.6}}}

	marks = []mark{cameMark, rightMark, leftMark, acrossMark, spareMark, chosenMark}
)
