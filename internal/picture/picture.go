// Package picture looks at drawings for tests: it reads PDFs with poppler, compares pictures, and keeps them for people
// to look at. Only tests import it.
package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"image"
	"image/draw"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
)

// Looking skips a test that only writes pictures for people, unless they are asked for:
// go test ./paper/sheet -artifacts -outputdir DIR.
func Looking(t *testing.T) {
	t.Helper()
	if f := flag.Lookup("test.artifacts"); f == nil || f.Value.String() != "true" {
		t.Skip("writes pictures to look at, with -artifacts")
	}
}

// Keep writes a file into the test's artifacts.
func Keep(t *testing.T, name string, data []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(t.ArtifactDir(), name), data, 0o600); err != nil {
		t.Fatal(err)
	}
}

// Poppler runs a program of the Debian package poppler-utils, an independent reader of PDF, and is what it prints.
func Poppler(t *testing.T, program string, args ...string) string {
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

// PDFFile writes a PDF where poppler can read it, and is its path.
func PDFFile(t *testing.T, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "out.pdf")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// OfPDF is the first page of a PDF as poppler draws it, in pixels.
func OfPDF(t *testing.T, data []byte, width, height int) image.Image {
	t.Helper()
	base := filepath.Join(t.TempDir(), "page")
	Poppler(t, "pdftoppm", "-scale-to-x", strconv.Itoa(width), "-scale-to-y", strconv.Itoa(height), "-png", "-singlefile", PDFFile(t, data), base)
	png, err := os.ReadFile(base + ".png")
	if err != nil {
		t.Fatal(err)
	}
	return OfPNG(t, png)
}

// OfPNG is a PNG as an image.
func OfPNG(t *testing.T, data []byte) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// LooksAlike fails the test unless two pictures of the same thing are alike: they may differ by a third of what the
// first differs from itself moved by three pixels.
func LooksAlike(t *testing.T, name string, a, b, moved image.Image) {
	t.Helper()
	got, scale := Difference(a, b), Difference(a, moved)
	t.Logf("%-12s mean difference %.4f of full scale; moved by three pixels it would be %.4f", name, got, scale)
	if got > scale/3 {
		t.Errorf("%s: the pictures differ by %.4f; moved by three pixels it would be %.4f", name, got, scale)
	}
}

// Difference is the mean difference, 0..1, of the mean grey levels of blocks of four by four pixels, so that
// it does not count how a rasteriser places edges within a pixel.
func Difference(a, b image.Image) float64 {
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

// WellFormed reads a text as XML to its end.
func WellFormed(text []byte) error {
	decoder := xml.NewDecoder(bytes.NewReader(text))
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}
