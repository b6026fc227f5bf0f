package sheet

import (
	"fmt"
	"slices"
	"strings"

	"secondpass/exercise"
	"secondpass/paper/draw"
	"secondpass/paper/wording"
)

// MostRoutes is the most routes that stand side by side.
const MostRoutes = 6

// Routes is a picture of a whole exercise: steps as rows, one to six routes as columns, and below them
// the comparison with the figures given. Routes beyond the sixth are left out. A long sheet becomes
// several blocks side by side, racks stand in two rows, and the comparison stands beside it, where that makes it
// larger in the shape asked for. More than three routes have their racks in two rows in the natural shape; in a shape with a size only what
// LeavesOut names is drawn of them, with tiles that can be read on a slide.
func Routes(e *exercise.Exercise, columns []exercise.Column, figures []Figure, shape Shape) *draw.Scene {
	columns = columns[:min(len(columns), MostRoutes)]
	packings := []packing{oneRow, flowing, stacked}
	if len(columns) > mostWhole {
		packings = packings[1:]
		if shape != Natural {
			p := newRoutesSheet(e, columns, figures, oneRow)
			return framed(shape, func(perRow int) *draw.Scene {
				if perRow > mostWhole {
					return nil
				}
				return p.overview(perRow, shape)
			})
		}
	}
	return framed(shape, func(n int) *draw.Scene {
		way, blocks, beside := (n-1)/(2*mostBlocks), ((n-1)%(2*mostBlocks)+2)/2, n%2 == 0
		if way == len(packings) {
			return nil
		}
		return newRoutesSheet(e, columns, figures, packings[way]).draw(blocks, beside)
	})
}

// mostBlocks is the most blocks of rows that stand side by side.
const mostBlocks = 4

// Sizes of the sheet in units.
const (
	routeTile   = 33.
	labelWidth  = 128.
	lineIndent  = 46. // from a column's edge to its cells; the margin line stands in between
	columnGap   = 28.
	blockGap    = 56.
	lineWidth   = 4.
	headsHeight = 66.
	footColumn  = 250. // a column of a comparison that stands beside the rows
)

// routesSheet is the layout of a sheet.
type routesSheet struct {
	exercise *exercise.Exercise
	columns  []exercise.Column
	figures  []Figure
	looks    []int       // of each column, see Looks
	spans    [][]rowSpan // of each column
	// parts is the decision at which a column parts from its parent, an earlier column.
	parts, parent []int
	// active says which columns have come to stand apart by the row being laid out.
	active []bool
	// width is that of the cells of a column, room of a cell while the first column is alone.
	width, room float64
	pack        packing
}

// row is one row of the sheet. A row that keeps stays with the next; named says that it begins with the
// heads of its columns, active which columns have lines in it.
type row struct {
	height      float64
	keep, named bool
	active      []bool
	draw        func(s *draw.Scene, y float64)
}

func newRoutesSheet(e *exercise.Exercise, columns []exercise.Column, figures []Figure, pack packing) *routesSheet {
	p := &routesSheet{exercise: e, columns: columns, figures: figures, looks: looksOf(columns), pack: pack}
	for i := range columns {
		p.spans = append(p.spans, stepsOf(&columns[i]))
		parts, parent := 0, 0
		for j := range i {
			if at := exercise.PartsAt(columns[j].Route, columns[i].Route); j == 0 || at > parts {
				parts, parent = at, j
			}
		}
		p.parts, p.parent, p.active = append(p.parts, parts), append(p.parent, parent), append(p.active, i == 0)
		for j := range columns[i].Accounts {
			p.width = max(p.width, p.widthOf(&columns[i].Accounts[j]))
		}
		for _, span := range p.spans[i] {
			if c := cellOf(&columns[i], span); pack == flowing && len(c.passed) > 0 {
				_, width := c.flow(routeTile)
				p.width = max(p.width, width)
			}
		}
	}
	p.width += 12
	p.room = float64(len(columns))*(lineIndent+p.width+columnGap) - columnGap - lineIndent
	return p
}

// widthOf is the room that a rack takes, with what is written below it.
func (p *routesSheet) widthOf(a *exercise.Account) float64 {
	if p.pack == oneRow {
		return StripWidth(Tiles(a.Rack), routeTile)
	}
	width := max(drawTally(&draw.Scene{}, 0, 0, draw.CaptionSize, a), 2*StripWidth(make([]Tile, 3), routeTile)+routeTile*.7)
	for _, part := range splitRows(Tiles(a.Rack), 2) {
		width = max(width, StripWidth(part, routeTile))
	}
	return width
}

// padding is the room above and below the tiles of a row.
func (p *routesSheet) padding() float64 {
	if p.pack == oneRow {
		return 14
	}
	return 8
}

// rackRows is a rack in the rows in which it stands in a room.
func (p *routesSheet) rackRows(tiles []Tile, room float64) [][]Tile {
	if p.pack != oneRow && StripWidth(tiles, routeTile) > room {
		return splitRows(tiles, 2)
	}
	return [][]Tile{tiles}
}

// rackHeight is the height of a rack in rows, with its marks.
func rackHeight(rows int) float64 {
	return routeTile*(above+tileHeight+below) + float64(rows-1)*(routeTile*(tileHeight+below)+6)
}

// drawRack draws a rack in rows, the first face at y, and returns where the marks of the last row end.
func drawRack(s *draw.Scene, x, y float64, rows [][]Tile) float64 {
	for i, part := range rows {
		if i > 0 {
			y += routeTile*(tileHeight+below) + 6
		}
		Strip(s, x, y, routeTile, part)
	}
	return y + routeTile*(tileHeight+below)
}

// lineX is where a column's margin line runs, cellX where its cells begin.
func (p *routesSheet) lineX(column int) float64 {
	return labelWidth + float64(column)*(lineIndent+p.width+columnGap) + 17
}
func (p *routesSheet) cellX(column int) float64 { return p.lineX(column) - 17 + lineIndent }

// blockWidth is the width of one block of rows.
func (p *routesSheet) blockWidth() float64 {
	return max(p.cellX(len(p.columns)-1)+p.width, 720)
}

// draw lays the sheet out in a number of blocks, the comparison below the last or beside it.
func (p *routesSheet) draw(blocks int, beside bool) *draw.Scene {
	rows := p.rows()
	width := p.blockWidth()
	s := &draw.Scene{Title: p.title()}
	foot := drawComparison(p.columns, p.figures, width)
	if beside {
		foot = drawComparison(p.columns, p.figures, labelWidth+footColumn*float64(max(2, len(p.columns))))
	} else {
		rows = append(rows, footBelow(foot))
	}
	parts := blocksOf(rows, blocks)
	s.Width = float64(len(parts))*(width+blockGap) - blockGap
	if beside {
		s.Width += blockGap + foot.Width
	}
	top := p.heading(s)
	for b, part := range parts {
		x, y := float64(b)*(width+blockGap), top
		block := &draw.Scene{}
		if b > 0 && part[0].active != nil && !part[0].named {
			y = p.headsAgain(block, y, part[0].active)
		}
		for _, r := range part {
			r.draw(block, y)
			y += r.height
		}
		s.Place(block, x, 0, 1)
		s.Height = max(s.Height, y)
	}
	if beside {
		s.Place(foot, s.Width-foot.Width, top, 1)
		s.Height = max(s.Height, top+foot.Height)
	}
	return s
}

// headsAgain names the columns at the top of a further block.
func (p *routesSheet) headsAgain(s *draw.Scene, y float64, active []bool) float64 {
	p.lines(s, active, y+26, y+headsHeight)
	for i := range p.columns {
		if active[i] {
			p.heads(s, y, i)
		}
	}
	return y + headsHeight
}

// blocksOf divides rows into blocks of about the same height, none of them empty: few rows make fewer blocks. A row that
// keeps ends a block only as the last row of all.
func blocksOf(rows []row, blocks int) [][]row {
	var total float64
	for _, r := range rows {
		total += r.height
	}
	var out [][]row
	var height float64
	from := 0
	for i, r := range rows {
		height += r.height
		if rest := blocks - len(out); rest > 1 && !r.keep && i > from && i+1 < len(rows) && height+rows[i+1].height/2 > total/float64(rest) {
			out, total, height, from = append(out, rows[from:i+1]), total-height, 0, i+1
		}
	}
	return append(out, rows[from:])
}

func (p *routesSheet) title() string {
	var names []string
	for i := range p.columns {
		names = append(names, p.columns[i].Route.Name+" ("+exercise.AimText(p.columns[i].Route.Aim())+")")
	}
	return fmt.Sprintf("%s: routes %s", p.exercise.Name, strings.Join(names, ", "))
}

// heading writes the exercise's name and conditions, and returns where the rows begin.
func (p *routesSheet) heading(s *draw.Scene) float64 {
	e := p.exercise
	y := s.Paragraph(0, 0, s.Width, e.Name, draw.Serif, draw.LargeSize, draw.Ink) + 10
	deal := fmt.Sprintf("seed %d", e.Seed)
	if e.Condition != "" {
		deal = e.Condition + ", " + deal
	}
	incoming := map[exercise.Incoming]string{
		exercise.MockPasses: "mock passes, the same for all routes", exercise.EnteredPasses: "from a real table", exercise.TablePasses: "from simulated players: " + e.Players,
	}[e.Incoming]
	fields := [][2]string{{"Deal", deal}, {"Seat", e.Seat.Name()}, {"Card", strings.TrimSpace(e.Card.Name + " " + e.Card.Season)}, {"Incoming", incoming}}
	if rules := wording.Unusual(e.House); rules != "" {
		fields = append(fields, [2]string{"House rules", rules})
	}
	x := 0.
	for _, field := range fields {
		value := draw.Clip(field[1], draw.Bold, draw.BodySize, s.Width-24)
		width := max(draw.Measure(value, draw.Bold, draw.BodySize), draw.Measure(field[0], draw.Sans, draw.CaptionSize)) + 24
		if x > 0 && x+width > s.Width {
			x, y = 0, y+62
		}
		s.Write(draw.Text{X: x, Y: y + draw.CaptionSize, Text: field[0], Size: draw.CaptionSize, Tone: draw.Ink2})
		s.Write(draw.Text{X: x, Y: y + draw.CaptionSize + 25, Text: value, Font: draw.Bold, Size: draw.BodySize})
		s.Line(x, y+draw.CaptionSize+33, x+width, y+draw.CaptionSize+33, draw.Rule, 2)
		x += width + 24
	}
	return y + 72
}

// rows lays out every row from the deal to the end.
func (p *routesSheet) rows() []row {
	keys := p.keys()
	rows := []row{p.dealt()}
	for _, key := range keys {
		rows = append(p.forks(rows, func(i int) bool { return p.reaches(i, key) }), p.step(key))
	}
	rows = p.forks(rows, func(int) bool { return true })
	return append(rows, p.end())
}

// keys is the rows that any route has, in their order.
func (p *routesSheet) keys() []rowKey {
	var keys []rowKey
	for _, spans := range p.spans {
		for _, span := range spans {
			if !slices.Contains(keys, span.key) {
				keys = append(keys, span.key)
			}
		}
	}
	slices.SortFunc(keys, func(a, b rowKey) int {
		if a.step != b.step {
			return int(a.step) - int(b.step)
		}
		if b.vote {
			return -1
		}
		return 1
	})
	return keys
}

// reaches says whether a column has parted from its parent by the row of a key.
func (p *routesSheet) reaches(i int, key rowKey) bool {
	for _, column := range []int{i, p.parent[i]} {
		if span := p.span(column, key); span != nil && span.last >= p.parts[i] {
			return true
		}
	}
	return false
}

func (p *routesSheet) span(column int, key rowKey) *rowSpan {
	for i := range p.spans[column] {
		if p.spans[column][i].key == key {
			return &p.spans[column][i]
		}
	}
	return nil
}

// rule draws the thin line above a row.
func (p *routesSheet) rule(s *draw.Scene, y float64) {
	s.Line(0, y, p.blockWidth(), y, draw.Rule, 1.5)
}

// label writes the name of a row, with a caption.
func (p *routesSheet) label(s *draw.Scene, y float64, name, caption string) {
	y = s.Paragraph(0, y+6, labelWidth-14, name, draw.Bold, draw.BodySize, draw.Ink)
	s.Paragraph(0, y, labelWidth-14, caption, draw.Sans, draw.CaptionSize, draw.Ink2)
}

func (p *routesSheet) dealt() row {
	c := &p.columns[0]
	rack := c.Accounts[0].Rack
	rows := p.rackRows(Tiles(rack), p.room)
	height := 2*p.padding() + rackHeight(len(rows)) + tallyHeight(draw.CaptionSize, &c.Accounts[0])
	active := slices.Clone(p.active)
	head := 0.
	if len(p.columns) == 1 {
		head = 70
	}
	return row{height: height + head, named: true, active: active, draw: func(s *draw.Scene, y float64) {
		if head > 0 {
			p.heads(s, y, 0)
			y += head
		}
		top := y + p.padding() + routeTile*above
		p.lines(s, active, top+10, y+height)
		s.Draw(draw.Circle(p.lineX(0), top+10, 9), draw.Style{Fill: draw.Ink})
		p.label(s, y+2, "Dealt", fmt.Sprintf("%d tiles", rack.Size()))
		bottom := drawRack(s, p.cellX(0), top, rows)
		drawTally(s, p.cellX(0), bottom+draw.CaptionSize+2, draw.CaptionSize, &c.Accounts[0])
	}}
}

// heads writes the badge and name of a column.
func (p *routesSheet) heads(s *draw.Scene, y float64, column int) {
	r := p.columns[column].Route
	drawBadge(s, p.lineX(column), y+26, p.looks[column], r.ID)
	name, caption := r.Name, "plan: "+exercise.AimText(r.Aim())
	if len([]rune(name)) <= 2 {
		name = "Route " + name
	}
	if len(r.Aim()) == 0 {
		caption = "plan: the whole card"
	}
	s.Write(draw.Text{X: p.cellX(column), Y: y + 24, Text: draw.Clip(name, draw.Serif, draw.HeadSize, p.width), Font: draw.Serif, Size: draw.HeadSize})
	s.Write(draw.Text{X: p.cellX(column), Y: y + 48, Text: draw.Clip(caption, draw.Sans, draw.CaptionSize, p.width), Size: draw.CaptionSize, Tone: draw.Ink2})
}

// drawBadge draws the badge of a look: round, square or a shield, with a route's letter.
func drawBadge(s *draw.Scene, x, y float64, look int, letter string) {
	const r = 17
	tone := routeTone(look)
	style := draw.Style{Fill: draw.Paper, Stroke: tone, Width: 3}
	outline := draw.Circle(x, y, r)
	switch look {
	case 1:
		style.Dash = []float64{6, 3.6}
		outline = draw.RoundRect(x-r, y-r, 2*r, 2*r, 5, 5)
	case 2:
		style.Dash, style.Round = []float64{.1, 5}, true
		outline = draw.RoundRect(x-r, y-r, 2*r, 2*r, r, 5)
	}
	s.Draw(outline, style)
	s.Write(draw.Text{X: x, Y: y + 7, Text: letter, Font: draw.Bold, Size: 20, Anchor: draw.Middle, Tone: tone})
}

// step is the row of a step.
func (p *routesSheet) step(key rowKey) row {
	active := slices.Clone(p.active)
	alone := !slices.Contains(active[1:], true)
	cells := make([]*draw.Scene, len(p.columns))
	height, caption := 62., ""
	if !key.vote && key.step.BlindAllowed() {
		caption = "blind allowed"
	}
	for i := range p.columns {
		span := p.span(i, key)
		if !active[i] || span == nil {
			continue
		}
		room := p.width
		if alone {
			room = p.room
		}
		c := cellOf(&p.columns[i], *span)
		if p.pack == flowing || StripWidth(c.kept, routeTile) > room {
			c.pack = p.pack
		}
		cells[i] = drawCell(c, routeTile, room)
		height = max(height, cells[i].Height+2*p.padding())
	}
	return row{height: height, active: active, draw: func(s *draw.Scene, y float64) {
		p.rule(s, y)
		p.lines(s, active, y, y+height)
		p.label(s, y, key.label(), caption)
		for i, c := range cells {
			if c != nil {
				s.Place(c, p.cellX(i), y+p.padding()-4, 1)
			}
		}
	}}
}

// end is the row of the racks at the end, spare tiles marked.
func (p *routesSheet) end() row {
	active := slices.Clone(p.active)
	height, racks := 0., make([][][]Tile, len(p.columns))
	for i := range p.columns {
		account := p.columns[i].End()
		tiles := Tiles(account.Rack)
		MarkSpare(tiles, account.Spare())
		racks[i] = p.rackRows(tiles, p.width)
		height = max(height, rackHeight(len(racks[i]))+tallyHeight(draw.CaptionSize, account))
	}
	height += 2 * p.padding()
	return row{height: height, active: active, draw: func(s *draw.Scene, y float64) {
		p.rule(s, y)
		top := y + p.padding() + routeTile*above
		p.lines(s, active, y, top+22)
		name := "At the end"
		if slices.ContainsFunc(p.columns, func(c exercise.Column) bool { return !c.Over() }) {
			name = "So far"
		}
		p.label(s, y+2, name, "")
		for i := range p.columns {
			s.Line(p.lineX(i)-9, top+22, p.lineX(i)+9, top+22, routeTone(p.looks[i]), lineWidth)
			bottom := drawRack(s, p.cellX(i), top, racks[i])
			drawTally(s, p.cellX(i), bottom+draw.CaptionSize+4, draw.CaptionSize, p.columns[i].End())
		}
	}}
}

// footBelow is the comparison as the last row.
func footBelow(foot *draw.Scene) row {
	return row{height: foot.Height + 40, draw: func(s *draw.Scene, y float64) {
		s.Line(0, y+12, foot.Width, y+12, draw.Ink, 1.5)
		s.Line(0, y+16, foot.Width, y+16, draw.Ink, 1.5)
		s.Place(foot, 0, y+34, 1)
	}}
}
