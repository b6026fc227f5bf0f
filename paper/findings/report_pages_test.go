package findings_test

import (
	"encoding/xml"
	"fmt"
	"strings"
	"testing"

	"secondpass/cardmaking/compose"
	"secondpass/engine/player"
	"secondpass/internal/picture"
	"secondpass/paper/draw"
	"secondpass/paper/findings"
	"secondpass/research/cardreport"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// laidOut is what pdftotext -bbox-layout (Poppler) finds on the pages of a PDF, in points.
type laidOut struct {
	Pages []struct {
		Height float64 `xml:"height,attr"`
		Lines  []struct {
			Top   float64 `xml:"yMin,attr"`
			Foot  float64 `xml:"yMax,attr"`
			Words []struct {
				Top  float64 `xml:"yMin,attr"`
				Foot float64 `xml:"yMax,attr"`
				Text string  `xml:",chardata"`
			} `xml:"word"`
		} `xml:"flow>block>line"`
	} `xml:"body>doc>page"`
}

// Points: heading is less than the height of a line in a heading and more than that of any other line; belowHeading what a heading with
// the beginning of what it is about takes, and more than with a paragraph alone that leads to it.
const heading, belowHeading = 18, 75

// No page of a report on paper is half empty, but for the last, and no heading stands at the foot of a
// page without what it is about, whatever the card.
func TestReportPagesAreFull(t *testing.T) {
	t.Parallel()
	for _, of := range []struct {
		character compose.Character
		paper     draw.PaperSize
		deals     int
	}{{"", draw.Letter, 3000}, {"", draw.A4, 2000}, {compose.Clumsy, draw.Letter, 3000}, {compose.Orderly, draw.A4, 2000}} {
		t.Run(fmt.Sprint(of.character, of.paper), func(t *testing.T) {
			c := card.Practice()
			if of.character != "" {
				text, err := compose.DrawCharacter(1, of.character, "")
				if err != nil {
					t.Fatal(err)
				}
				if c, _, err = card.Read("drawn.card", []byte(text), tile.Usual); err != nil {
					t.Fatal(err)
				}
			}
			tuning, _ := player.TuningFor(c)
			s, err := cardreport.New(cardreport.Settings{Card: c, Tuning: tuning, House: house.Usual, Seed: 5, Deals: of.deals, Games: 200, Aimed: 1})
			if err != nil {
				t.Fatal(err)
			}
			var tally cardreport.Tally
			if err := s.Run(t.Context(), &tally, nil); err != nil {
				t.Fatal(err)
			}
			pdf, err := findings.ReportDocument(s.Report(&tally), c, of.paper).PDF(&draw.Print)
			if err != nil {
				t.Fatal(err)
			}
			picture.Keep(t, fmt.Sprintf("report-%s-%d.pdf", of.character, of.paper), pdf)
			var doc laidOut
			found := picture.Poppler(t, "pdftotext", "-bbox-layout", picture.PDFFile(t, pdf), "-")
			if err := xml.Unmarshal([]byte(found), &doc); err != nil {
				t.Fatal(err)
			}
			if len(doc.Pages) < 8 {
				t.Fatalf("%d pages found", len(doc.Pages))
			}
			figures := 0 // the page where all figures begin
			for n, page := range doc.Pages {
				foot, last, lastText := 0., 0., ""
				for _, line := range page.Lines {
					text := ""
					for _, w := range line.Words {
						text += w.Text + " "
					}
					if strings.HasPrefix(text, "All figures") {
						figures = n
					}
					if line.Top < page.Height*0.92 { // above the footer
						foot = max(foot, line.Foot)
					}
					if line.Foot-line.Top > heading && line.Top > last {
						last, lastText = line.Top, text
					}
				}
				if last > 0 && foot-last < belowHeading {
					t.Errorf("page %d ends with the heading %q, and what it is about stands on the next", n+1, lastText)
				}
				if foot < 0.15*page.Height {
					t.Errorf("page %d has a line or two alone", n+1)
				}
				if share := foot / page.Height; share < 0.5 && n < len(doc.Pages)-1 {
					t.Errorf("page %d is filled to %.0f %%", n+1, 100*share)
				}
			}
			if figures != 2 {
				t.Errorf("all figures begin on page %d", figures+1)
			}
		})
	}
}
