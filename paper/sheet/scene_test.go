package sheet

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/internal/picture"
	"secondpass/paper/draw"
	"secondpass/rules/tile"
	"secondpass/teach/reply"
)

// scenes is one of everything that is drawn here.
func scenes(t *testing.T) map[string]*draw.Scene {
	e, columns := walked(t, "", "")
	return map[string]*draw.Scene{
		"tiles":      everyTile(),
		"sheet":      Routes(e, columns, sampleFigures, Natural),
		"wide":       Routes(e, columns, sampleFigures, Widescreen),
		"comparison": Comparison("Flowers or the run?", columns, sampleFigures, Square),
		"pass":       Pass(&columns[0], 0, Widescreen),
		"replies":    repliesPicture(t, Widescreen),
		"rack":       Rack("A rack", Tiles(e.Deal), "Which three go?", Square),
	}
}

// repliesPicture is what three readers did with the sample's deal, one of whom has a name in markup.
func repliesPicture(t *testing.T, shape Shape) *draw.Scene {
	t.Helper()
	e, _ := walked(t, "", "")
	var text strings.Builder
	for i, r := range e.Routes {
		code, err := reply.Code(e, r)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&text, "<b>Rosa %d</b>: %s\n", i, code)
	}
	replies := reply.Collect(e, text.String())
	tally, err := reply.Count(replies)
	if err != nil || tally.Readers != len(e.Routes) {
		t.Fatal(tally, err)
	}
	return Replies("What readers did", replies, tally, nil, shape)
}

// raster is a scene in pixels.
func raster(t *testing.T, s *draw.Scene, width int) image.Image {
	t.Helper()
	data, err := s.PNG(&draw.Light, width)
	if err != nil {
		t.Fatal(err)
	}
	return picture.OfPNG(t, data)
}

// texts is the words of a page as poppler reads them off its PDF.
func texts(t *testing.T, page *draw.Scene) string {
	t.Helper()
	pdf, err := page.PDF(&draw.Print)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(picture.Poppler(t, "pdftotext", "-layout", picture.PDFFile(t, pdf), "-")), " ")
}

// TestPDFLooksLikePNG rasterises every PDF with poppler and compares it with the PNG of the same scene.
func TestPDFLooksLikePNG(t *testing.T) {
	all := scenes(t)
	delete(all, "wide")
	for name, s := range all {
		pdf, err := s.PDF(&draw.Light)
		if err != nil {
			t.Fatal(err)
		}
		width, height := int(math.Round(s.Width)), int(math.Round(s.Height))
		moved := &draw.Scene{Width: s.Width, Height: s.Height, Background: s.Background}
		moved.Place(s, 3, 3, 1)
		picture.LooksAlike(t, name, raster(t, s, width), picture.OfPDF(t, pdf, width, height), raster(t, moved, width))
	}
}

// TestNothingLeavesItsPage checks that a printed sheet leaves the margins of its pages blank.
func TestNothingLeavesItsPage(t *testing.T) {
	e, routes := forked(t)
	for i, paper := range []draw.PaperSize{draw.Letter, draw.Letter, draw.A4} {
		columns := routes[:i+1]
		for n, page := range RoutesDocument(e, columns, nil, paper).Pages() {
			img := raster(t, page, int(math.Round(page.Width)))
			const margin = printedMargin*draw.Millimetre - 3
			blank := color.NRGBAModel.Convert(img.At(0, 0))
			for y := range img.Bounds().Dy() {
				for x := range img.Bounds().Dx() {
					inside := float64(x) > margin && float64(x) < page.Width-margin && float64(y) > margin && float64(y) < page.Height-margin
					if !inside && color.NRGBAModel.Convert(img.At(x, y)) != blank {
						t.Fatalf("%d routes, page %d: something at %d, %d", len(columns), n+1, x, y)
					}
				}
			}
		}
	}
}

func TestWellFormedAndTheSameAgain(t *testing.T) {
	if err := picture.WellFormed([]byte(Sprite())); err != nil {
		t.Errorf("sprite: %v", err)
	}
	again := scenes(t)
	for name, s := range scenes(t) {
		svg := s.SVG(&draw.Light)
		if err := picture.WellFormed(svg); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if string(svg) != string(again[name].SVG(&draw.Light)) {
			t.Errorf("%s differs from run to run", name)
		}
		if inline := s.InlineSVG(); strings.Contains(inline, "style=") || strings.Contains(inline, "#") {
			t.Errorf("%s inline has a style or a colour of its own", name)
		}
	}
}

func TestSpriteHasEveryTile(t *testing.T) {
	sprite := Sprite()
	ids := []string{UnseenID, EmptyID, CameID, RightID, LeftID, AcrossID, SpareID, ChosenID}
	for k := range tile.Kind(tile.Kinds) {
		ids = append(ids, TileID(k))
	}
	for _, id := range ids {
		if n := strings.Count(sprite, `id="`+id+`"`); n != 1 {
			t.Errorf("id %s stands %d times", id, n)
		}
	}
	if strings.Contains(sprite, "style=") {
		t.Error("the sprite has inline styles")
	}
}

// TestAnyName draws whole sheets of exercises and routes with names in any Unicode.
func TestAnyName(t *testing.T) {
	e, columns := walked(t, "", "")
	for _, name := range []string{"", "雀 🀄 العربية", strings.Repeat("long", 200), "\x00\xff\u202e", strings.Repeat("word ", 100), "👩‍👩‍👧‍👦 e\u0301"} {
		e.Name, columns[1].Route.Name, columns[1].Route.Notes = name, name, []exercise.Note{{Aim: []string{name}}}
		for _, s := range []*draw.Scene{Routes(e, columns, nil, Natural), Routes(e, columns, nil, Widescreen), Comparison(name, columns, nil, Natural), Rack(name, nil, name, Square)} {
			if err := picture.WellFormed(s.SVG(&draw.Light)); err != nil {
				t.Errorf("%q: %v", name, err)
			}
			if _, err := s.PDF(&draw.Light); err != nil {
				t.Errorf("%q: %v", name, err)
			}
		}
	}
}

// Two routes take two pages at most on either paper, whatever is simulated of them, and their tiles are 6 mm wide at least: also where both
// are walked through all seven steps.
func TestTwoRoutesOnTwoPages(t *testing.T) {
	e, columns := walked(t, "", "")
	long, routes := forked(t)
	for _, figures := range [][]Figure{nil, sampleFigures} {
		for _, paper := range []draw.PaperSize{draw.Letter, draw.A4} {
			for name, two := range map[string][]exercise.Column{"short": columns, "one long": routes[:2], "both long": routes[1:]} {
				x := long
				if name == "short" {
					x = e
				}
				if p, d := printedSheet(x, two, figures, paper); len(d.Pages()) > 2 || p.mm < 6 {
					t.Errorf("%s, paper %v with %d figures: %d pages, tiles of %.2f mm", name, paper, len(figures), len(d.Pages()), p.mm)
				}
			}
		}
	}
}

// Six routes are all drawn: in pictures, and on paper with tiles of 6 mm at least, each page under the heads of its routes.
func TestSixRoutes(t *testing.T) {
	e, columns := walked(t, "", "", "", "", "", "")
	if len(columns) != 6 {
		t.Fatalf("%d routes", len(columns))
	}
	for _, s := range []*draw.Scene{Routes(e, columns, nil, Natural), Comparison(e.Name, columns, nil, Widescreen)} {
		all := texts(t, s)
		for i := range columns {
			if aim := exercise.AimText(columns[i].Route.Aim()); !strings.Contains(all, aim) {
				t.Errorf("%q shows nothing of the route to %s", s.Title, aim)
			}
		}
	}
	p, d := printedSheet(e, columns, nil, draw.Letter)
	if p.mm < 6 {
		t.Errorf("tiles of %.2f mm", p.mm)
	}
	seen := map[string]bool{}
	pages := d.Pages()
	for n, page := range pages[:len(pages)-1] {
		all := texts(t, page)
		heads := 0
		for i := range columns {
			if strings.Contains(all, "Route "+columns[i].Route.Name) {
				seen[columns[i].Route.Name] = true
				heads++
			}
		}
		if heads == 0 {
			t.Errorf("page %d names no route", n+1)
		}
	}
	if len(seen) != 6 {
		t.Errorf("%d routes are printed", len(seen))
	}
}

// A branch has the look of the route it leads to, wherever that stands.
func TestBranchesLookLikeTheirRoutes(t *testing.T) {
	e, columns := forked(t)
	p := newRoutesSheet(e, columns[1:], nil, oneRow) // routes B and C
	s := &draw.Scene{Width: 2000, Height: 100}
	p.branch(s, 0, 1)
	want := &draw.Scene{Width: 2000, Height: 100}
	want.Draw(draw.Polyline(0, 0, 1, 0), routeStyle(2))
	stroke := regexp.MustCompile(`stroke="[^"]*"|stroke-dasharray="[^"]*"`)
	got, look := stroke.FindAllString(string(s.SVG(&draw.Light)), 2), stroke.FindAllString(string(want.SVG(&draw.Light)), 2)
	if len(look) != 2 || !slices.Equal(got, look) {
		t.Errorf("the branch to route C is drawn with %v, the route with %v", got, look)
	}
}

// TestPrintedSheet checks that every page of rows names its routes, and that the comparison and its lines
// stand on one page.
func TestPrintedSheet(t *testing.T) {
	e, columns := walked(t, "", "")
	for _, paper := range []draw.PaperSize{draw.Letter, draw.A4} {
		pages := RoutesDocument(e, columns, sampleFigures, paper).Pages()
		for n, page := range pages[:len(pages)-1] {
			if all := texts(t, page); !strings.Contains(all, "Route A") || !strings.Contains(all, "Route B") {
				t.Errorf("page %d does not name its routes", n+1)
			}
		}
		if all := texts(t, pages[len(pages)-1]); !strings.Contains(all, "Comparison") || !strings.Contains(all, "Remark") {
			t.Errorf("the last page has %q", all)
		}
	}
}

func TestSizes(t *testing.T) {
	e, columns := walked(t, "", "")
	for shape, want := range map[Shape]image.Point{Widescreen: {1920, 1080}, Square: {1080, 1080}} {
		for _, s := range []*draw.Scene{Routes(e, columns, nil, shape), Pass(&columns[0], 0, shape), Rack("", Tiles(e.Deal), "", shape), Comparison("", columns, nil, shape)} {
			if got := raster(t, s, want.X).Bounds().Size(); got != want {
				t.Errorf("%v, wanted %v", got, want)
			}
		}
	}
}
