package sheet

import (
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/internal/picture"
	"secondpass/paper/draw"
	"secondpass/rules/tile"
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
		"rack":       Rack("A rack", Tiles(e.Deal), "Which three go?", Square),
	}
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
	for _, columns := range [][]exercise.Column{routes, routes[:1]} {
		for _, paper := range []draw.PaperSize{draw.Letter, draw.A4} {
			for n, page := range RoutesDocument(e, columns, nil, paper).Pages() {
				img := raster(t, page, int(math.Round(page.Width)))
				const margin = 17*draw.Millimetre - 3
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

// TestPrintedSheet checks that every page of rows names its routes, and that the comparison and its lines
// stand on one page.
// Two routes of full length take two pages at most on either paper, whatever is simulated of them.
func TestTwoRoutesOnTwoPages(t *testing.T) {
	for _, figures := range [][]Figure{nil, sampleFigures} {
		e, columns := walked(t, "", "")
		for _, paper := range []draw.PaperSize{draw.Letter, draw.A4} {
			if n := len(RoutesDocument(e, columns, figures, paper).Pages()); n > 2 {
				t.Errorf("paper %v with %d figures: %d pages", paper, len(figures), n)
			}
		}
	}
}

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
