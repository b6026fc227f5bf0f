package sheet

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// sampleFigures are rows of a comparison, made up for the picture.
var sampleFigures = []Figure{
	{Label: "Chance to win, scale 24 to 36 %", Words: []string{"27.8 % (26.9 to 28.7)", "31.3 % (30.4 to 32.2)"}, Less: "+3.5 (2.6 to 4.4): B wins more often", Spans: []Span{{27.8, 26.9, 28.7}, {31.3, 30.4, 32.2}}, Low: 24, High: 36},
	{Label: "Points a game", Words: []string{"+3.1 (1.9 to 4.3)", "+3.6 (2.4 to 4.8)"}, Less: "+0.5 (−0.9 to 1.9): no difference shown", Spans: []Span{{3.1, 1.9, 4.3}, {3.6, 2.4, 4.8}}, Low: -2, High: 8},
}

// looking skips a test that only writes pictures for people, unless they are asked for:
// go test ./sheet -artifacts -outputdir DIR.
func looking(t *testing.T) {
	t.Helper()
	if f := flag.Lookup("test.artifacts"); f == nil || f.Value.String() != "true" {
		t.Skip("writes pictures to look at, with -artifacts")
	}
}

// keep writes a file into the test's artifacts.
func keep(t *testing.T, name string, data []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(t.ArtifactDir(), name), data, 0o600); err != nil {
		t.Fatal(err)
	}
}

// keepPNG renders a scene for looking at.
func keepPNG(t *testing.T, name string, s *Scene, theme *Theme, width int) {
	t.Helper()
	data, err := s.PNG(theme, width)
	if err != nil {
		t.Fatal(err)
	}
	keep(t, name, data)
}

// everyTile shows every kind and every state.
func everyTile() *Scene {
	s := &Scene{Width: 1060, Height: 720, Title: "every tile", Background: Paper}
	for i, row := range []string{"123456789b", "123456789c", "123456789d", "NEWS RG0 F J"} {
		tiles := Tiles(tile.MustParse(row))
		if i == 3 {
			tiles = append(tiles, Tile{Unseen: true, Gap: true}, Tile{Empty: true, Gap: true})
		}
		s.Strip(30, 30+float64(i)*115, faceWidth, tiles)
	}
	kind := tile.Ranked(9, tile.Dots)
	s.Strip(30, 500, faceWidth, []Tile{
		{Kind: tile.Ranked(7, tile.Bams), Spare: true}, {Kind: kind, Passed: charleston.Right, Gap: true}, {Kind: kind, Passed: charleston.Left, Gap: true},
		{Kind: kind, Passed: charleston.Across, Gap: true}, {Kind: tile.Ranked(6, tile.Craks), Came: true, Gap: true}, {Kind: tile.East, Came: true, Spare: true, Gap: true},
		{Kind: tile.Ranked(2, tile.Bams), Chosen: true, Gap: true}, {Kind: tile.Ranked(8, tile.Bams), Missing: true, Gap: true}, {Kind: tile.Joker, Missing: true, Gap: true},
		{Kind: tile.Red, Missing: true, Gap: true}, {Kind: tile.Joker, Chosen: true, Gap: true},
	})
	s.Strip(30, 620, 33, Tiles(tile.MustParse("2234b 4c 5d NW R FF J")))
	s.Strip(500, 620, 22, Tiles(tile.MustParse("2234b 4c 5d NW R FF J")))
	s.Strip(30, 680, 18, Tiles(tile.MustParse("2234b 4c 5d NW R FF J")))
	s.Write(Text{X: 500, Y: 700, Text: "Ŵéłcome to 雀 \u0007 e\u0301 🀄 – 95 %", Size: 19})
	return s
}

// walked is an exercise with routes of up to three aims on the practice card; the second and third part
// from the first after the first pass.
func walked(t testing.TB, aims ...string) (*exercise.Exercise, []exercise.Column) {
	t.Helper()
	c := card.Practice()
	e, err := exercise.New("Flowers or the run?", c, exercise.UsualHouse, charleston.South, tile.MustParse("2238b 449c 15d W FF J"), exercise.MockPasses, 4711)
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
	var columns []exercise.Column
	for _, r := range e.Routes {
		column, err := e.Column(r)
		if err != nil {
			t.Fatal(err)
		}
		columns = append(columns, column)
	}
	return e, columns
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
	var columns []exercise.Column
	for _, r := range e.Routes {
		column, err := e.Column(r)
		if err != nil {
			t.Fatal(err)
		}
		columns = append(columns, column)
	}
	return e, columns
}

func TestPictures(t *testing.T) {
	looking(t)
	three, routes := forked(t)
	keepPNG(t, "three.png", Routes(three, routes, nil, Natural), &Light, 1500)
	keepPNG(t, "three-wide.png", Routes(three, routes, nil, Widescreen), &Dark, 1920)
	for n := range routes[0].Trail.Snapshots {
		keepPNG(t, fmt.Sprintf("pass-%d.png", n), Pass(&routes[0], n, Widescreen), &Light, 480)
		keepPNG(t, fmt.Sprintf("pass-square-%d.png", n), Pass(&routes[1], n, Square), &Light, 400)
	}
	keep(t, "three.svg", Routes(three, routes, nil, Natural).SVG(&Light))
	keepPNG(t, "one-square.png", Routes(three, routes[1:2], nil, Square), &Print, 1080)
	keepPNG(t, "tiles.png", everyTile(), &Light, 1060)
	keepPNG(t, "tiles-dark.png", everyTile(), &Dark, 1060)
	keepPNG(t, "tiles-print.png", everyTile(), &Print, 1060)
	keep(t, "tiles.svg", everyTile().SVG(&Light))
	e, columns := walked(t, "", "")
	keepPNG(t, "sheet.png", Routes(e, columns, sampleFigures, Natural), &Light, 1300)
	keepPNG(t, "sheet-wide.png", Routes(e, columns, sampleFigures, Widescreen), &Light, 1920)
	keepPNG(t, "comparison.png", Comparison(e.Name, columns, sampleFigures, Widescreen), &Light, 1920)
	keepPNG(t, "pass.png", Pass(&columns[0], 0, Natural), &Light, 900)
	keepPNG(t, "rack-square.png", Rack("After the first right", Tiles(e.Deal), "Two plans: Evens 1 and Runs 1.", Square), &Light, 1080)
	for name, d := range map[string]*Document{"print2": RoutesDocument(e, columns, sampleFigures, Letter), "print3": RoutesDocument(three, routes, nil, A4), "print1": RoutesDocument(three, routes[2:], nil, A4)} {
		pdf, err := d.PDF(&Print)
		if err != nil {
			t.Fatal(err)
		}
		keep(t, name+".pdf", pdf)
	}
	pdf, err := Routes(e, columns, nil, Natural).PDF(&Light)
	if err != nil {
		t.Fatal(err)
	}
	keep(t, "sheet.pdf", pdf)
	var page strings.Builder
	page.WriteString("<!doctype html><meta charset=utf-8><style>" + InlineCSS() + "</style><link rel=stylesheet href=tokens.css><link rel=stylesheet href=look.css><body style='background:var(--paper);margin:16px'>" + Sprite())
	for k := range tile.Kind(tile.Kinds) {
		page.WriteString(`<svg class="t" style="display:inline-block" viewBox="0 -11 60 102"><use href="#` + TileID(k) + `"/><use href="#` + SpareID + `"/></svg>`)
	}
	for _, id := range []string{UnseenID, EmptyID} {
		page.WriteString(`<svg class="t" style="display:inline-block" viewBox="0 -11 60 102"><use href="#` + id + `"/></svg>`)
	}
	for _, name := range slices.Sorted(maps.Keys(charts(0))) {
		page.WriteString(charts(0)[name].InlineSVG())
	}
	page.WriteString("<img src=tiles.svg>")
	keep(t, "page.html", []byte(page.String()))
}
