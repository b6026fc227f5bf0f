package draw

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"secondpass/internal/picture"
)

// handout is a document with every sort of block.
func handout(paper PaperSize, landscape bool) *Document {
	block := &Scene{Width: 400, Height: 60}
	block.Draw(RoundRect(1, 1, 398, 58, 6, 20), Style{Fill: Mark, Stroke: Ink, Width: 2})
	d := NewDocument("Flowers or the run?", "Exercise seed 4711. Answers on the answer sheet.", paper, landscape)
	d.Heading("Flowers or the run?")
	d.Fields("Name", "Date")
	d.Paragraph("You sit South. The card is Lantern 2026. This is your rack after the first right.")
	d.Drawing(block)
	d.Question("Circle the tiles that both plans use: Evens 1 and Runs 1.", nil)
	d.Question("Three go across. Write them in.", func() {
		d.Drawing(block)
	})
	d.Question("What does the rack need most, and can a joker supply it?", func() { d.Lines("", 2) })
	d.Question("After the first left you hold this. Which tiles are spare for Evens 1?", func() {
		d.Drawing(block)
		d.Lines("", 1)
	})
	d.Question("Stop or go on? Say why.", func() { d.Choices("stop", "go on"); d.Lines("", 1) })
	d.NewPage()
	d.Subheading("Figures")
	d.Caption("10,000 games each, 95 % intervals, seed 4711.")
	table := Table{Head: []string{"Pass", "Chance to win in %", "Against best", "Why"}, Right: []int{1, 2}}
	for i := range 45 {
		table.Rows = append(table.Rows, []string{fmt.Sprintf("%db 5c 9d", i%9+1), "26.2 (25.3 to 27.2)", fmt.Sprintf("−%d.5", i), "All three are spare for Evens 1, and they go in three suits, so that they help the left least."})
	}
	d.Table(table)
	d.Remark("A was clean after three passes and stopped. B gave up two flowers, went on, and ended one tile nearer. Worth repeating with simulated players: would the flowers come back?")
	d.Drawing(block)
	d.Drawing(block)
	d.Drawing(charts(d.Width())["dots"])
	d.Paragraph(strings.Repeat("Long text that runs over several lines of the page and on. ", 60))
	return d
}

func TestDocumentsToLookAt(t *testing.T) {
	picture.Looking(t)
	for name, d := range map[string]*Document{"letter": handout(Letter, false), "a4-landscape": handout(A4, true)} {
		pdf, err := d.PDF(&Print)
		if err != nil {
			t.Fatal(err)
		}
		picture.Keep(t, name+".pdf", pdf)
		keepPNG(t, name+".png", d.Pages()[0], &Print, int(d.page.Width+.5))
	}
}

// texts is the texts of a page in order.
func texts(page *Scene) []string {
	var out []string
	for _, it := range page.items {
		if it.kind == textItem {
			out = append(out, it.text.Text)
		}
	}
	return out
}

func TestDocumentKeepsTogetherWhatBelongsTogether(t *testing.T) {
	for lines := range 60 {
		d := NewDocument("t", "f", Letter, false)
		for range lines {
			d.Paragraph("filler")
		}
		d.Question("What now?", func() { d.Lines("", 2); d.Choices("stop", "go on") })
		d.Subheading("Section")
		d.Paragraph("Its first line.")
		for n, page := range d.Pages() {
			all := texts(page)
			if slices.Contains(all, "What now?") != slices.Contains(all, "go on") || slices.Contains(all, "What now?") != slices.Contains(all, "1") {
				t.Fatalf("after %d lines page %d tears a question apart", lines, n+1)
			}
			if slices.Contains(all, "Section") != slices.Contains(all, "Its first line.") {
				t.Fatalf("after %d lines page %d has a heading without its text", lines, n+1)
			}
		}
	}
}

// A chart of rows is cut where a page ends: every row is drawn once and in order, none few stand alone, and no part is higher than
// the page, wherever the chart begins.
func TestChartsAreCutBetweenRows(t *testing.T) {
	t.Parallel()
	for n := range 90 {
		chart := BarChart{ChartFrame: ChartFrame{Title: "Bars", Width: 500, Caption: "A caption."}, Axis: "tiles"}
		for i := range n {
			chart.Bars = append(chart.Bars, Bar{Label: fmt.Sprintf("row %d", i), Span: Span{Value: float64(i)}})
		}
		d := NewDocument("t", "f", Letter, false)
		for range n % 23 {
			d.Paragraph("filler")
		}
		d.Subheading("Section")
		AddRows(d, chart)
		row := 0
		for p, page := range d.Pages() {
			here, scale := 0, ""
			for _, it := range page.items {
				if it.kind != textItem {
					continue
				}
				if it.text.Text == fmt.Sprintf("row %d", row) {
					row, here = row+1, here+1
				}
				if it.text.Y > page.Height-d.margin {
					t.Errorf("%d rows: %q on page %d stands at %.0f", n, it.text.Text, p+1, it.text.Y)
				}
				scale += it.text.Text + " "
			}
			if heading := strings.Contains(scale, "Section "); here < min(n, leastRows) && (here > 0 || heading && n > 0) {
				t.Errorf("%d rows: %d on page %d", n, here, p+1)
			}
			if here > 0 && n > 81 && !strings.Contains(scale, " 0 50 100 ") {
				t.Errorf("%d rows: the part on page %d has another scale: %s", n, p+1, scale)
			}
		}
		if row != n {
			t.Errorf("%d of %d rows are drawn", row, n)
		}
	}
}

func TestTableRepeatsItsHead(t *testing.T) {
	d := NewDocument("t", "f", A4, false)
	table := Table{Head: []string{"Head", "Figure"}, Right: []int{1}}
	for i := range 120 {
		table.Rows = append(table.Rows, []string{fmt.Sprintf("row %d", i), "1"})
	}
	d.Table(table)
	pages, rows := d.Pages(), 0
	if len(pages) < 2 {
		t.Fatal("the table does not reach a second page")
	}
	for n, page := range pages {
		all := texts(page)
		if all[0] != "Head" {
			t.Errorf("page %d begins with %q", n+1, all[0])
		}
		for _, text := range all {
			if strings.HasPrefix(text, "row ") {
				rows++
			}
		}
	}
	if rows != len(table.Rows) {
		t.Errorf("%d rows, wanted %d", rows, len(table.Rows))
	}
}

// TestWidths checks that columns get what they need where there is room, and that all fit in any case.
func TestWidths(t *testing.T) {
	table := Table{Head: []string{"a", "b"}, Rows: [][]string{{"short", strings.Repeat("a long text ", 40)}, {"x", "y", "a third column"}}}
	for _, total := range []float64{120, 400, 10000} {
		widths := table.widths(total)
		sum := 0.
		for _, w := range widths {
			sum += w
		}
		if len(widths) != 3 || sum > total+1e-6 {
			t.Errorf("widths %v in %v", widths, total)
		}
		if total > 300 && widths[0] < Measure("short", Sans, paperSmall)+tablePadding {
			t.Errorf("a short column got %v of %v", widths[0], total)
		}
	}
}

// What is to stay together and is too much for a page goes on where it stands, and does not begin a page with every part.
func TestMoreThanAPageTogether(t *testing.T) {
	d := NewDocument("Long", "Long.", Letter, false)
	d.Paragraph("Before.")
	d.Together(func() {
		for range 30 {
			d.Space(12)
		}
	})
	if n := len(d.Pages()); n != 2 {
		t.Errorf("%d pages; 30 times 12 mm and a line fill two", n)
	}
}
