package sheet

import (
	"fmt"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/internal/picture"
	"secondpass/paper/draw"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// sampleFigures are rows of a comparison, made up for the picture.
var sampleFigures = []Figure{
	{Label: "Chance to win, scale 24 to 36 %", Words: []string{"27.8 % (26.9 to 28.7)", "31.3 % (30.4 to 32.2)"}, Less: "+3.5 (2.6 to 4.4): B wins more often", Spans: []draw.Span{{Value: 27.8, Low: 26.9, High: 28.7}, {Value: 31.3, Low: 30.4, High: 32.2}}, Low: 24, High: 36},
	{Label: "Net points", Words: []string{"+3.1 (1.9 to 4.3)", "+3.6 (2.4 to 4.8)"}, Less: "+0.5 (−0.9 to 1.9): no difference shown", Spans: []draw.Span{{Value: 3.1, Low: 1.9, High: 4.3}, {Value: 3.6, Low: 2.4, High: 4.8}}, Low: -2, High: 8},
}

// keepPNG renders a scene for looking at.
func keepPNG(t *testing.T, name string, s *draw.Scene, theme *draw.Theme, width int) {
	t.Helper()
	data, err := s.PNG(theme, width)
	if err != nil {
		t.Fatal(err)
	}
	picture.Keep(t, name, data)
}

// everyTile shows every kind and every state.
func everyTile() *draw.Scene {
	s := &draw.Scene{Width: 1060, Height: 720, Title: "every tile", Background: draw.Paper}
	for i, row := range []string{"123456789b", "123456789c", "123456789d", "NEWS RG0 F J"} {
		tiles := Tiles(tile.MustParse(row))
		if i == 3 {
			tiles = append(tiles, Tile{Unseen: true, Gap: true}, Tile{Empty: true, Gap: true})
		}
		Strip(s, 30, 30+float64(i)*115, faceWidth, tiles)
	}
	kind := tile.Ranked(9, tile.Dots)
	Strip(s, 30, 500, faceWidth, []Tile{
		{Kind: tile.Ranked(7, tile.Bams), Spare: true}, {Kind: kind, Passed: charleston.Right, Gap: true}, {Kind: kind, Passed: charleston.Left, Gap: true},
		{Kind: kind, Passed: charleston.Across, Gap: true}, {Kind: tile.Ranked(6, tile.Craks), Came: true, Gap: true}, {Kind: tile.East, Came: true, Spare: true, Gap: true},
		{Kind: tile.Ranked(2, tile.Bams), Chosen: true, Gap: true}, {Kind: tile.Ranked(8, tile.Bams), Missing: true, Gap: true}, {Kind: tile.Joker, Missing: true, Gap: true},
		{Kind: tile.Red, Missing: true, Gap: true}, {Kind: tile.Joker, Chosen: true, Gap: true},
	})
	Strip(s, 30, 620, 33, Tiles(tile.MustParse("2234b 4c 5d NW R FF J")))
	Strip(s, 500, 620, 22, Tiles(tile.MustParse("2234b 4c 5d NW R FF J")))
	Strip(s, 30, 680, 18, Tiles(tile.MustParse("2234b 4c 5d NW R FF J")))
	s.Write(draw.Text{X: 500, Y: 700, Text: "Ŵéłcome to 雀 \u0007 e\u0301 🀄 – 95 %", Size: 19})
	return s
}

// walked is an exercise with routes of up to three aims on the practice card; the second and third part
// from the first after the first pass.
func walked(t testing.TB, aims ...string) (*exercise.Exercise, []exercise.Column) {
	t.Helper()
	c := card.Practice()
	e, err := exercise.New("Flowers or the run?", c, house.Usual, charleston.South, tile.MustParse("2238b 449c 15d W FF J"), exercise.MockPasses, 4711)
	if err != nil {
		t.Fatal(err)
	}
	for i := range aims {
		aim := []string{c.Sections[i%len(c.Sections)]}
		if aims[i] != "" {
			aim = []string{aims[i]}
		}
		if _, err := e.WalkAll([][]string{aim}); err != nil {
			t.Fatal(err)
		}
	}
	return e, columnsOf(t, e)
}

// columnsOf is all routes of an exercise.
func columnsOf(t testing.TB, e *exercise.Exercise) (columns []exercise.Column) {
	t.Helper()
	for _, r := range e.Routes {
		column, err := e.Column(r)
		if err != nil {
			t.Fatal(err)
		}
		columns = append(columns, column)
	}
	return columns
}

// forked is an exercise whose routes part at a step, at the vote and at the courtesy.
func forked(t testing.TB) (*exercise.Exercise, []exercise.Column) {
	t.Helper()
	e, _ := walked(t, "Evens")
	finish := func(name string, stop bool, offer, most int) {
		r, err := e.Route(name)
		if err != nil {
			t.Fatal(err)
		}
		for range most {
			trail, err := e.Replay(r)
			if err != nil {
				t.Fatal(err)
			}
			now := &trail.Now
			d := exercise.Decision{Step: now.Step(), Phase: now.Phase(), Stop: stop, Count: offer}
			tiles := 3
			switch now.Phase() {
			case charleston.Over:
				return
			case charleston.Passing:
				d.Count = 0
				if now.Step() == charleston.LastRight {
					d.Count, tiles = 1, 2
				}
			case charleston.Giving:
				tiles = now.Exchange()
			default:
				tiles = 0
			}
			all := now.Rack().Tiles()
			if d.Own, err = charleston.ParcelOf(all[:tiles]...); err != nil {
				t.Fatal(err)
			}
			if _, err := e.Do(name, d); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, f := range []struct {
		name  string
		keep  int
		stop  bool
		offer int
	}{{"Turn to the run, with a long name that has to be cut somewhere", 1, false, 2}, {"C", 3, false, 3}} {
		if _, err := e.Fork("A", f.keep, f.name); err != nil {
			t.Fatal(err)
		}
		finish(f.name, f.stop, f.offer, 12)
	}
	return e, columnsOf(t, e)
}

func TestPictures(t *testing.T) {
	picture.Looking(t)
	three, routes := forked(t)
	keepPNG(t, "three.png", Routes(three, routes, nil, Natural), &draw.Light, 1500)
	keepPNG(t, "three-wide.png", Routes(three, routes, nil, Widescreen), &draw.Dark, 1920)
	for n := range routes[0].Trail.Snapshots {
		keepPNG(t, fmt.Sprintf("pass-%d.png", n), Pass(&routes[0], n, Widescreen), &draw.Light, 480)
		keepPNG(t, fmt.Sprintf("pass-square-%d.png", n), Pass(&routes[1], n, Square), &draw.Light, 400)
	}
	picture.Keep(t, "three.svg", Routes(three, routes, nil, Natural).SVG(&draw.Light))
	keepPNG(t, "one-square.png", Routes(three, routes[1:2], nil, Square), &draw.Print, 1080)
	keepPNG(t, "tiles.png", everyTile(), &draw.Light, 1060)
	keepPNG(t, "tiles-dark.png", everyTile(), &draw.Dark, 1060)
	keepPNG(t, "tiles-print.png", everyTile(), &draw.Print, 1060)
	picture.Keep(t, "tiles.svg", everyTile().SVG(&draw.Light))
	e, columns := walked(t, "", "")
	keepPNG(t, "sheet.png", Routes(e, columns, sampleFigures, Natural), &draw.Light, 1300)
	keepPNG(t, "sheet-wide.png", Routes(e, columns, sampleFigures, Widescreen), &draw.Light, 1920)
	keepPNG(t, "comparison.png", Comparison(e.Name, columns, sampleFigures, Widescreen), &draw.Light, 1920)
	keepPNG(t, "pass.png", Pass(&columns[0], 0, Natural), &draw.Light, 900)
	keepPNG(t, "rack-square.png", Rack("After the first right", Tiles(e.Deal), "Two plans: Evens 1 and Runs 1.", Square), &draw.Light, 1080)
	for name, d := range map[string]*draw.Document{"print2": RoutesDocument(e, columns, sampleFigures, draw.Letter), "print3": RoutesDocument(three, routes, nil, draw.A4), "print1": RoutesDocument(three, routes[2:], nil, draw.A4)} {
		pdf, err := d.PDF(&draw.Print)
		if err != nil {
			t.Fatal(err)
		}
		picture.Keep(t, name+".pdf", pdf)
	}
	six, columns := walked(t, "", "", "", "", "", "")
	keepPNG(t, "six.png", Routes(six, columns, nil, Natural), &draw.Light, 2300)
	keepPNG(t, "six-wide.png", Routes(six, columns, nil, Widescreen), &draw.Light, 1920)
	keepPNG(t, "six-comparison.png", Comparison(six.Name, columns, nil, Widescreen), &draw.Light, 1920)
	for n := 4; n <= 6; n++ {
		pdf, err := RoutesDocument(six, columns[:n], nil, draw.Letter).PDF(&draw.Print)
		if err != nil {
			t.Fatal(err)
		}
		picture.Keep(t, fmt.Sprintf("print%d.pdf", n), pdf)
	}
	pdf, err := Routes(e, columns, nil, Natural).PDF(&draw.Light)
	if err != nil {
		t.Fatal(err)
	}
	picture.Keep(t, "sheet.pdf", pdf)
	var page strings.Builder
	page.WriteString("<!doctype html><meta charset=utf-8><style>" + draw.InlineCSS() + "</style><link rel=stylesheet href=tokens.css><link rel=stylesheet href=look.css><body style='background:var(--paper);margin:16px'>" + Sprite())
	for k := range tile.Kind(tile.Kinds) {
		page.WriteString(`<svg class="t" style="display:inline-block" viewBox="0 -11 60 102"><use href="#` + TileID(k) + `"/><use href="#` + SpareID + `"/></svg>`)
	}
	for _, id := range []string{UnseenID, EmptyID} {
		page.WriteString(`<svg class="t" style="display:inline-block" viewBox="0 -11 60 102"><use href="#` + id + `"/></svg>`)
	}
	page.WriteString("<img src=tiles.svg>")
	picture.Keep(t, "page.html", []byte(page.String()))
}
