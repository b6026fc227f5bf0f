package draw

import (
	"fmt"
	"sort"
)

// PaperSize is a sheet of paper.
type PaperSize uint8

// The paper sizes.
const (
	Letter PaperSize = iota // 8.5 by 11 inches
	A4                      // 210 by 297 mm, ISO 216
)

// Millimetre is a millimetre in units of a scene.
const Millimetre = 96 / 25.4

// Sizes of type on paper in units: 30, 23, 19, 16 and 13 units are 22.5, 17, 14, 12 and 10 points.
const (
	paperTitle   = 30
	paperHead    = 23
	paperSubhead = 19
	paperBody    = 16
	paperSmall   = 13
	paperMargin  = 17 * Millimetre
	footerRoom   = 8 * Millimetre
	indentWidth  = 42
)

// Document is text, tiles, tables and charts that flow over pages of paper. Make one with NewDocument,
// add to it in order, then take its Pages or PDF.
type Document struct {
	title, footer string
	page          Scene
	margin        float64
	indent        float64
	question      int
	blocks        []block
}

// block is something that is not split between pages. head, where there is one, is repeated above it
// when it begins a page; keep says that it stays with the next block; newPage that it begins a page.
// A block with rows is cut between them instead: part draws some, and height is the room that it needs to begin.
type block struct {
	height        float64
	draw          func(s *Scene, y float64)
	head          *block
	keep, newPage bool
	rows          int
	part          func(from, to int) (height float64, draw func(s *Scene, y float64))
}

// NewDocument is an empty document. The footer stands on every page beside its number.
func NewDocument(title, footer string, paper PaperSize, landscape bool) *Document {
	d := &Document{title: title, footer: footer, margin: paperMargin}
	d.page.Width, d.page.Height = 8.5*96, 11*96
	if paper == A4 {
		d.page.Width, d.page.Height = 210*Millimetre, 297*Millimetre
	}
	if landscape {
		d.page.Width, d.page.Height = d.page.Height, d.page.Width
	}
	return d
}

// SetMargin sets the margins, in millimetres, before anything is added: 17 where nothing is set. Printers leave about 6 blank (common practice,
// no source).
func (d *Document) SetMargin(mm float64) { d.margin = mm * Millimetre }

// Width is the room from margin to margin in units, less the indent within a question: the width to lay
// a chart out in.
func (d *Document) Width() float64 { return d.page.Width - 2*d.margin - d.indent }

func (d *Document) left() float64 { return d.margin + d.indent }

// BodyHeight is the room on a page above the footer.
func (d *Document) BodyHeight() float64 { return d.page.Height - 2*d.margin - footerRoom }

func (d *Document) add(height float64, draw func(s *Scene, y float64)) *block {
	d.blocks = append(d.blocks, block{height: height, draw: draw})
	return &d.blocks[len(d.blocks)-1]
}

// text adds a text, line by line where it may be split.
func (d *Document) text(text string, font Font, size float64, tone Tone, before, after float64, keep bool) {
	left := d.left()
	lines := Wrap(text, font, size, d.Width())
	for i, line := range lines {
		top, height := 0., size*LineHeight
		if i == 0 {
			top = before
		}
		height += top
		if i == len(lines)-1 {
			height += after
		}
		b := d.add(height, func(s *Scene, y float64) {
			s.Write(Text{X: left, Y: y + top + size, Text: line, Font: font, Size: size, Tone: tone})
		})
		// No line stands alone at the top or foot of a page.
		b.keep = keep || i == 0 && len(lines) > 1 || i == len(lines)-2
	}
}

// Heading adds the title of the document or of a part, Subheading that of a section. They stay with
// what follows.
func (d *Document) Heading(text string) { d.text(text, Serif, paperTitle, Ink, 0, 12, true) }

// Subheading adds the title of a section.
func (d *Document) Subheading(text string) { d.text(text, Serif, paperHead, Ink, 14, 6, true) }

// Paragraph adds a paragraph.
func (d *Document) Paragraph(text string) { d.text(text, Sans, paperBody, Ink, 0, 9, false) }

// Strong adds a paragraph in bold that stays with what follows.
func (d *Document) Strong(text string) { d.text(text, Bold, paperBody, Ink, 0, 5, true) }

// Caption adds a paragraph in small type.
func (d *Document) Caption(text string) { d.text(text, Sans, paperSmall, Ink2, 0, 9, false) }

// Remark adds a paragraph in italic: the teacher's words.
func (d *Document) Remark(text string) { d.text(text, Italic, paperSubhead, Ink, 4, 10, false) }

// Space leaves room, in millimetres.
func (d *Document) Space(mm float64) { d.add(mm*Millimetre, func(*Scene, float64) {}) }

// NewPage lets what follows begin a page.
func (d *Document) NewPage() { d.add(0, func(*Scene, float64) {}).newPage = true }

// Together adds what content adds and keeps it on one page where a page can hold it.
func (d *Document) Together(content func()) {
	from := len(d.blocks)
	content()
	for i := from; i < len(d.blocks)-1; i++ {
		d.blocks[i].keep = true
	}
}

// Keep lets what was added last stay with what follows.
func (d *Document) Keep() { d.blocks[len(d.blocks)-1].keep = true }

// Question adds a numbered question with what stands below it, indented and kept together. Numbers
// count up from 1 through the document.
func (d *Document) Question(text string, content func()) {
	d.question++
	number, left := fmt.Sprint(d.question), d.left()
	d.Together(func() {
		d.add(10, func(*Scene, float64) {})
		d.add(0, func(s *Scene, y float64) {
			s.Write(Text{X: left, Y: y + paperHead - 4, Text: number, Font: Serif, Size: paperHead})
		})
		d.Under(func() {
			d.Paragraph(text)
			if content != nil {
				content()
			}
		})
	})
}

// Under adds what content adds as far in as what stands below a question, for what need not stay on its page.
func (d *Document) Under(content func()) {
	d.indent += indentWidth
	content()
	d.indent -= indentWidth
}

// Drawing adds a scene, as wide as the page at most and no larger than it is.
func (d *Document) Drawing(drawing *Scene) {
	left := d.left()
	scale := min(1, d.Width()/drawing.Width, (d.BodyHeight()-20)/drawing.Height)
	d.add(drawing.Height*scale+14, func(s *Scene, y float64) { s.Place(drawing, left, y, scale) })
}

// How a chart of rows is cut: leastRows stand together on a page, above a cut and below it, and it begins where it stands whole, or where
// leastRoom of a page is left.
const (
	leastRows = 6
	leastRoom = .4
)

// rowsScale is that at which such charts are drawn, so that their type is as large as that of tables.
const rowsScale = float64(paperSmall) / CaptionSize

// Cuttable is a chart of rows that can be drawn in parts.
type Cuttable[Chart any] interface {
	Len() int
	Part(from, to int) Chart
	Scene() *Scene
}

// RowsWidth is the width to lay a chart out in that AddRows adds.
func (d *Document) RowsWidth() float64 { return d.Width() / rowsScale }

// AddRows adds a chart, as wide as the page at most, that is cut between rows where a page ends; each part has title, scale and caption.
func AddRows[Chart Cuttable[Chart]](d *Document, chart Chart) {
	left, width := d.left(), d.Width()
	b := block{rows: chart.Len(), part: func(from, to int) (float64, func(s *Scene, y float64)) {
		drawing := chart.Part(from, to).Scene()
		scale := min(rowsScale, width/drawing.Width)
		return drawing.Height*scale + 14, func(s *Scene, y float64) { s.Place(drawing, left, y, scale) }
	}}
	whole, _ := b.part(0, b.rows)
	few, _ := b.part(0, min(b.rows, leastRows))
	b.height = min(whole, max(few, leastRoom*d.BodyHeight()))
	d.blocks = append(d.blocks, b)
}

// fit is how many of the rows from..b.rows stand in a room, so that no few are left for the next page; 0 where there is too little room.
func (b *block) fit(from int, room float64) int {
	left := b.rows - from
	if from == 0 && room < b.height {
		return 0
	}
	n := sort.Search(left, func(n int) bool {
		height, _ := b.part(from, from+n+1)
		return height > room
	})
	if n < left {
		n = min(n, left-leastRows)
	}
	if n < min(left, leastRows) {
		return 0
	}
	return n
}

// Part is a drawing that is never split between pages.
type Part struct {
	Scene *Scene
	// Scale is how many times as large it is drawn.
	Scale float64
	// Keep says that it stays with what follows, Head what is drawn above it, at the same scale, where it begins a page.
	Keep bool
	Head *Scene
}

// Add adds a part at the left margin, as high as its scene.
func (d *Document) Add(p Part) {
	placed := func(part *Scene) *block {
		left := d.left()
		return &block{height: part.Height * p.Scale, draw: func(s *Scene, y float64) { s.Place(part, left, y, p.Scale) }}
	}
	b := placed(p.Scene)
	b.keep = p.Keep
	if p.Head != nil {
		b.head = placed(p.Head)
	}
	d.blocks = append(d.blocks, *b)
}

// Lines adds ruled lines to write on, 9 mm apart; label stands at the beginning of the first, "" for none.
func (d *Document) Lines(label string, n int) {
	left, width := d.left(), d.Width()
	for i := range n {
		const height = 9 * Millimetre
		d.add(height, func(s *Scene, y float64) {
			s.Line(left, y+height-1, left+width, y+height-1, Line, 1)
			if i == 0 && label != "" {
				s.Write(Text{X: left, Y: y + height - 6, Text: label, Font: Sans, Size: paperBody})
			}
		})
	}
	d.add(10, func(*Scene, float64) {})
}

// Fields adds labels side by side, each with a line to write on; the first has twice the room.
func (d *Document) Fields(labels ...string) {
	left, unit := d.left(), (d.Width()-16*float64(len(labels)-1))/float64(len(labels)+1)
	d.add(48, func(s *Scene, y float64) {
		x := left
		for i, label := range labels {
			width := unit
			if i == 0 {
				width *= 2
			}
			s.Write(Text{X: x, Y: y + 28, Text: Clip(label, Sans, paperBody, width), Size: paperBody})
			s.Line(x, y+34, x+width, y+34, Line, 1)
			x += width + 16
		}
	})
}

// Choices adds boxes to tick, in as many rows as they need.
func (d *Document) Choices(labels ...string) {
	x, left := 0., d.left()
	var row []Text
	flush := func() {
		texts := row
		d.add(32, func(s *Scene, y float64) {
			for _, t := range texts {
				s.Draw(polygon(t.X-26, y+5, t.X-8, y+5, t.X-8, y+23, t.X-26, y+23), Style{Fill: Paper, Stroke: Ink, Width: 1.8})
				t.Y = y + 20
				s.Write(t)
			}
		})
		row, x = nil, 0
	}
	for _, label := range labels {
		label = Clip(label, Sans, paperBody, d.Width()-30)
		width := 26 + Measure(label, Sans, paperBody)
		if len(row) > 0 && x+width > d.Width() {
			flush()
		}
		row = append(row, Text{X: left + x + 26, Text: label, Size: paperBody})
		x += width + 34
	}
	if len(row) > 0 {
		flush()
	}
}

// Pages is the document laid out, a scene for each page. There is one page at least.
func (d *Document) Pages() []*Scene {
	var pages []*Scene
	begin := func() float64 {
		pages = append(pages, &Scene{Width: d.page.Width, Height: d.page.Height, Title: d.title, Background: Paper})
		return d.margin
	}
	y, end := begin(), d.margin+d.BodyHeight()
	for i := 0; i < len(d.blocks); i++ {
		b := &d.blocks[i]
		if y > d.margin && (b.newPage || y+d.heldHeight(i) > end) {
			y = begin()
			if b.head != nil && !b.newPage {
				b.head.draw(pages[len(pages)-1], y)
				y += b.head.height
			}
		}
		if b.part == nil {
			b.draw(pages[len(pages)-1], y)
			y += b.height
			continue
		}
		for from := 0; from < b.rows; {
			n := b.fit(from, end-y)
			if n == 0 && y > d.margin {
				y = begin()
				continue
			}
			n = max(n, 1)
			height, draw := b.part(from, from+n)
			draw(pages[len(pages)-1], y)
			y, from = y+height, from+n
		}
	}
	for i, page := range pages {
		base := d.page.Height - d.margin
		page.Line(d.margin, base-20, d.page.Width-d.margin, base-20, Line, 1)
		number := fmt.Sprintf("%d of %d", i+1, len(pages))
		width := d.page.Width - 2*d.margin - Measure(number, Sans, paperSmall) - 16
		page.Write(Text{X: d.margin, Y: base, Text: Clip(d.footer, Sans, paperSmall, width), Size: paperSmall, Tone: Ink2})
		page.Write(Text{X: d.page.Width - d.margin, Y: base, Text: number, Size: paperSmall, Anchor: End, Tone: Ink2})
	}
	return pages
}

// heldHeight is the height of block i with the blocks that it is kept together with; where a page cannot hold them all, with
// the next one alone.
func (d *Document) heldHeight(i int) float64 {
	first, height := i, d.blocks[i].height
	for ; i+1 < len(d.blocks) && d.blocks[i].keep; i++ {
		height += d.blocks[i+1].height
	}
	if height > d.BodyHeight() && i > first {
		return d.blocks[first].height + d.blocks[first+1].height
	}
	return height
}
