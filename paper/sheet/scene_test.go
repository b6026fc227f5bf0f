package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/draw"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"secondpass/rules/tile"
)

// poppler runs a program of the Debian package poppler-utils, an independent reader of PDF.
func poppler(t *testing.T, program string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		t.Fatalf("%s not found: install the Debian package poppler-utils, as ./check does", program)
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", program, args, err, out)
	}
	return string(out)
}

// pdfFile writes a PDF where poppler can read it.
func pdfFile(t *testing.T, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "out.pdf")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// scenes is one of everything that is drawn.
func scenes(t *testing.T) map[string]*Scene {
	out := charts(0)
	out["tiles"] = everyTile()
	e, columns := walked(t, "", "")
	out["sheet"] = Routes(e, columns, sampleFigures, Natural)
	out["wide"] = Routes(e, columns, sampleFigures, Widescreen)
	out["comparison"] = Comparison("Flowers or the run?", columns, sampleFigures, Square)
	out["pass"] = Pass(&columns[0], 0, Widescreen)
	out["rack"] = Rack("A rack", Tiles(e.Deal), "Which three go?", Square)
	for _, page := range handout(A4, false).Pages() {
		out["page"] = page
	}
	return out
}

// TestPDFLooksLikePNG rasterises every PDF with poppler and compares it with the PNG of the same scene:
// two rasterisers that share no code, two ways to draw text.
func TestPDFLooksLikePNG(t *testing.T) {
	all := scenes(t)
	delete(all, "wide")
	for name, s := range all {
		pdf, err := s.PDF(&Light)
		if err != nil {
			t.Fatal(err)
		}
		base := filepath.Join(t.TempDir(), "page")
		width, height := int(math.Round(s.Width)), int(math.Round(s.Height))
		poppler(t, "pdftoppm", "-scale-to-x", strconv.Itoa(width), "-scale-to-y", strconv.Itoa(height), "-png", "-singlefile", pdfFile(t, pdf), base)
		file, err := os.Open(base + ".png")
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := png.Decode(file)
		if err != nil {
			t.Fatal(err)
		}
		_ = file.Close()
		ours, err := s.raster(&Light, width)
		if err != nil {
			t.Fatal(err)
		}
		// For scale: how much the picture differs from itself moved by three pixels.
		moved := &Scene{Width: s.Width, Height: s.Height, Background: s.Background}
		moved.Place(s, 3, 3, 1)
		other, err := moved.raster(&Light, width)
		if err != nil {
			t.Fatal(err)
		}
		got, scale := difference(ours, theirs), difference(ours, other)
		t.Logf("%-12s mean difference %.4f of full scale; moved by three pixels it would be %.4f", name, got, scale)
		if got > scale/3 {
			t.Errorf("%s: PDF and PNG differ by %.4f; moved by three pixels it would be %.4f", name, got, scale)
		}
	}
}

// difference is the mean difference, 0..1, of the mean grey levels of blocks of four by four pixels, so that
// it does not count how a rasteriser places edges within a pixel.
func difference(a, b image.Image) float64 {
	const block = 4
	w, h := min(a.Bounds().Dx(), b.Bounds().Dx()), min(a.Bounds().Dy(), b.Bounds().Dy())
	greys := func(m image.Image) *image.Gray {
		out := image.NewGray(image.Rect(0, 0, w, h))
		draw.Draw(out, out.Rect, m, m.Bounds().Min, draw.Src)
		return out
	}
	grey := func(m *image.Gray, x0, y0 int) float64 {
		sum := 0
		for y := y0; y < y0+block; y++ {
			for x := x0; x < x0+block; x++ {
				sum += int(m.Pix[y*m.Stride+x])
			}
		}
		return float64(sum) / (255 * block * block)
	}
	first, second := greys(a), greys(b)
	sum, n := 0., 0
	for y := 0; y+block <= h; y += block {
		for x := 0; x+block <= w; x += block {
			sum += math.Abs(grey(first, x, y) - grey(second, x, y))
			n++
		}
	}
	return sum / float64(n)
}

// TestPDFTextIsWhereItWasMeasured compares the places and widths that poppler reads from the PDF with
// those measured from the fonts.
func TestPDFTextIsWhereItWasMeasured(t *testing.T) {
	s := &Scene{Width: 600, Height: 400, Background: Paper}
	words := []string{"Hamburgefonts", "0123456789", "Zażółć", "«Éclair»"}
	for i, word := range words {
		for font := Sans; font < fonts; font++ {
			s.Write(Text{X: 20 + 140*float64(font), Y: 40 + 60*float64(i), Text: word, Font: font, Size: 16})
		}
	}
	pdf, err := s.PDF(&Light)
	if err != nil {
		t.Fatal(err)
	}
	out := poppler(t, "pdftotext", "-bbox", pdfFile(t, pdf), "-")
	found := 0
	for _, m := range regexp.MustCompile(`<word xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)" yMax="[\d.]+">(.*)</word>`).FindAllStringSubmatch(out, -1) {
		low, _ := strconv.ParseFloat(m[1], 64)
		high, _ := strconv.ParseFloat(m[2], 64)
		font := Font(math.Round((low/pointsPerUnit - 20) / 140))
		if want := Measure(m[3], font, 16) * pointsPerUnit; math.Abs(high-low-want) > .05 {
			t.Errorf("%q in font %d: %.2f points wide in the PDF, measured %.2f", m[3], font, high-low, want)
		}
		if want := (20 + 140*float64(font)) * pointsPerUnit; math.Abs(low-want) > .05 {
			t.Errorf("%q begins at %.2f points, wanted %.2f", m[3], low, want)
		}
		found++
	}
	if want := len(words) * int(fonts); found != want {
		t.Errorf("found %d words in the PDF, wanted %d:\n%s", found, want, out)
	}
}

// TestPaperSizes reads the page sizes with poppler. Source: ANSI Letter is 8.5 by 11 inches, 612 by 792
// points; ISO 216 A4 is 210 by 297 mm, 595.28 by 841.89 points.
func TestPaperSizes(t *testing.T) {
	for _, c := range []struct {
		paper     PaperSize
		landscape bool
		want      string
	}{{Letter, false, "612 x 792"}, {Letter, true, "792 x 612"}, {A4, false, "595.28 x 841.89"}, {A4, true, "841.89 x 595.28"}} {
		d := handout(c.paper, c.landscape)
		pdf, err := d.PDF(&Print)
		if err != nil {
			t.Fatal(err)
		}
		info := poppler(t, "pdfinfo", pdfFile(t, pdf))
		if !strings.Contains(info, "Page size:       "+c.want+" pts") || !strings.Contains(info, "Pages:           "+strconv.Itoa(len(d.Pages()))+"\n") {
			t.Errorf("wanted %d pages of %s:\n%s", len(d.Pages()), c.want, info)
		}
	}
}

// TestNothingLeavesItsPage checks that no block of a document stands below the footer's line, and that
// the documents have their text.
func TestNothingLeavesItsPage(t *testing.T) {
	three, routes := forked(t)
	pages := append(handout(Letter, false).Pages(), RoutesDocument(three, routes, nil, Letter).Pages()...)
	for n, page := range append(pages, RoutesDocument(three, routes[:1], nil, A4).Pages()...) {
		for _, it := range page.items {
			for _, seg := range it.path {
				if p := seg.P[2]; seg.Verb != closePath && (p.X < paperMargin-1 || p.X > page.Width-paperMargin+1 || p.Y > page.Height-paperMargin+1) {
					t.Fatalf("page %d: a shape at %.0f, %.0f", n+1, p.X, p.Y)
				}
			}
			if it.kind == textItem && (it.text.left() < paperMargin-1 || it.text.left()+Measure(it.text.Text, it.text.Font, it.text.Size) > page.Width-paperMargin+1 || it.text.Y > page.Height-paperMargin+1) {
				t.Fatalf("page %d: %q at %.0f, %.0f", n+1, it.text.Text, it.text.X, it.text.Y)
			}
		}
	}
}

// wellFormed reads a text as XML to its end.
func wellFormed(text []byte) error {
	decoder := xml.NewDecoder(bytes.NewReader(text))
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

func TestSVGIsWellFormed(t *testing.T) {
	if err := wellFormed([]byte(Sprite())); err != nil {
		t.Errorf("sprite: %v", err)
	}
	for name, s := range scenes(t) {
		if err := wellFormed(s.SVG(&Light)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		inline := s.InlineSVG()
		if err := wellFormed([]byte(inline)); err != nil {
			t.Errorf("%s inline: %v", name, err)
		}
		if strings.Contains(inline, "style=") || strings.Contains(inline, "#") {
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

func TestSameSceneSameBytes(t *testing.T) {
	first, second := scenes(t), scenes(t)
	for name, s := range first {
		for format, write := range map[string]func(*Scene) ([]byte, error){
			"svg": func(s *Scene) ([]byte, error) { return s.SVG(&Light), nil },
			"png": func(s *Scene) ([]byte, error) { return s.PNG(&Light, 200) },
			"pdf": func(s *Scene) ([]byte, error) { return s.PDF(&Light) },
		} {
			a, err := write(s)
			if err != nil {
				t.Fatal(err)
			}
			b, err := write(second[name])
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(a, b) {
				t.Errorf("%s as %s differs from run to run", name, format)
			}
		}
	}
}

func TestSizes(t *testing.T) {
	e, columns := walked(t, "", "")
	for shape, want := range map[Shape]image.Point{Widescreen: {1920, 1080}, Square: {1080, 1080}} {
		for _, s := range []*Scene{Routes(e, columns, nil, shape), Pass(&columns[0], 0, shape), Rack("", Tiles(e.Deal), "", shape), Comparison("", columns, nil, shape)} {
			img, err := s.raster(&Light, want.X)
			if err != nil {
				t.Fatal(err)
			}
			if img.Bounds().Size() != want {
				t.Errorf("%v, wanted %v", img.Bounds().Size(), want)
			}
		}
	}
	s := Rack("", Tiles(e.Deal), "", Square)
	s.Background = None
	img, err := s.raster(&Light, 300)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, _, alpha := img.At(0, 0).RGBA(); alpha != 0 {
		t.Error("a picture without a background is not transparent")
	}
	if _, err := s.PNG(&Light, 0); err == nil {
		t.Error("a picture of no width was drawn")
	}
	if _, err := s.PNG(&Light, 1<<30); err == nil {
		t.Error("a picture of 2^30 pixels width was drawn")
	}
}

// TestAnyName draws whole sheets of exercises and routes with names in any Unicode.
func TestAnyName(t *testing.T) {
	e, columns := walked(t, "", "")
	for _, name := range []string{"", "雀 🀄 العربية", strings.Repeat("long", 200), "\x00\xff\u202e", strings.Repeat("word ", 100), "👩‍👩‍👧‍👦 e\u0301"} {
		e.Name, columns[1].Route.Name, columns[1].Route.Aim = name, name, []string{name}
		for _, s := range []*Scene{Routes(e, columns, nil, Natural), Routes(e, columns, nil, Widescreen), Comparison(name, columns, nil, Natural), Rack(name, nil, name, Square)} {
			if err := wellFormed(s.SVG(&Light)); err != nil {
				t.Errorf("%q: %v", name, err)
			}
			if _, err := s.PDF(&Light); err != nil {
				t.Errorf("%q: %v", name, err)
			}
		}
	}
}

// TestAnyText draws any Unicode in all ways; nothing may panic, every SVG is XML, and a text that is
// wrapped fits and loses nothing.
func TestAnyText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.StringOf(rapid.SampledFrom([]rune("aé\u0301 \u00a0\n\t雀🀄\u200d\ufeff\ufffe\uffff\U0010ffff\u202eŁ<&\"'"))), rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, 20), func(b []byte) string { return string(b) })).Draw(t, "text")
		font := Font(rapid.IntRange(0, int(fonts)-1).Draw(t, "font"))
		width := rapid.Float64Range(5, 300).Draw(t, "width")
		s := &Scene{Width: 300, Height: 60, Title: text, Background: Paper}
		s.Open(text)
		s.Write(Text{X: 10, Y: 40, Text: text, Font: font, Size: 16, Anchor: Anchor(len(text) % 3)})
		s.Write(Text{X: 10, Y: 40, Text: Clip(text, font, 16, width), Font: font, Size: 16})
		s.Close()
		for _, svg := range [][]byte{s.SVG(&Light), []byte(s.InlineSVG())} {
			if err := wellFormed(svg); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := s.raster(&Light, 100); err != nil {
			t.Fatal(err)
		}
		if _, err := s.PDF(&Light); err != nil {
			t.Fatal(err)
		}
		lines := Wrap(text, font, 16, width)
		for _, line := range lines {
			if len([]rune(line)) > 1 && Measure(line, font, 16) > width {
				t.Fatalf("%q is wider than %v", line, width)
			}
		}
		if got, want := strings.ReplaceAll(strings.Join(lines, ""), " ", ""), strings.ReplaceAll(faces[font].clean(text), " ", ""); got != want {
			t.Fatalf("wrapped to %q, wanted all of %q", got, want)
		}
	})
}
