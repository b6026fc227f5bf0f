package draw

import (
	"bytes"
	"image"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"secondpass/internal/picture"
)

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
	out := picture.Poppler(t, "pdftotext", "-bbox", picture.PDFFile(t, pdf), "-")
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
		info := picture.Poppler(t, "pdfinfo", picture.PDFFile(t, pdf))
		if !strings.Contains(info, "Page size:       "+c.want+" pts") || !strings.Contains(info, "Pages:           "+strconv.Itoa(len(d.Pages()))+"\n") {
			t.Errorf("wanted %d pages of %s:\n%s", len(d.Pages()), c.want, info)
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
			if err := picture.WellFormed(svg); err != nil {
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

// scenes is one of everything that is drawn here.
func scenes() map[string]*Scene {
	out := charts(0)
	for _, page := range handout(A4, false).Pages() {
		out["page"] = page
	}
	return out
}

// TestPDFLooksLikePNG rasterises every PDF with poppler and compares it with the PNG of the same scene:
// two rasterisers that share no code, two ways to draw text.
func TestPDFLooksLikePNG(t *testing.T) {
	for name, s := range scenes() {
		pdf, err := s.PDF(&Light)
		if err != nil {
			t.Fatal(err)
		}
		width, height := int(math.Round(s.Width)), int(math.Round(s.Height))
		ours, err := s.raster(&Light, width)
		if err != nil {
			t.Fatal(err)
		}
		moved := &Scene{Width: s.Width, Height: s.Height, Background: s.Background}
		moved.Place(s, 3, 3, 1)
		other, err := moved.raster(&Light, width)
		if err != nil {
			t.Fatal(err)
		}
		picture.LooksAlike(t, name, ours, picture.OfPDF(t, pdf, width, height), other)
	}
}

// TestNothingLeavesItsPage checks that no block of a document stands below the footer's line, and that
// the documents have their text.
func TestNothingLeavesItsPage(t *testing.T) {
	for n, page := range append(handout(Letter, false).Pages(), handout(A4, true).Pages()...) {
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

func TestSVGIsWellFormed(t *testing.T) {
	for name, s := range scenes() {
		if err := picture.WellFormed(s.SVG(&Light)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		inline := s.InlineSVG()
		if err := picture.WellFormed([]byte(inline)); err != nil {
			t.Errorf("%s inline: %v", name, err)
		}
		if strings.Contains(inline, "style=") || strings.Contains(inline, "#") {
			t.Errorf("%s inline has a style or a colour of its own", name)
		}
	}
}

func TestSameSceneSameBytes(t *testing.T) {
	first, second := scenes(), scenes()
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
	s := charts(0)["bars"].Fit(1080, 1080, .04, 4)
	for _, width := range []int{1080, 300} {
		img, err := s.raster(&Light, width)
		if err != nil {
			t.Fatal(err)
		}
		if got := img.Bounds().Size(); got != (image.Point{X: width, Y: width}) {
			t.Errorf("%v, wanted %d by %d", got, width, width)
		}
	}
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
