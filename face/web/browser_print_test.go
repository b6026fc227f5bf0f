package web_test

import (
	"image"
	_ "image/png"
	"os"
	"path/filepath"
	"testing"

	"secondpass/internal/browser"
)

// A sheet on paper: landscape, nothing in the margins where a printer would cut it, nothing that belongs to the screen.
func TestPrintedSheet(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Look{Dark: true, Still: true}, "/exercises/1")
	pdf := p.Print()
	if *pictures != "" {
		if err := os.WriteFile(filepath.Join(*pictures, "sheet.pdf"), pdf, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	const dpi = 60
	pages := browser.Rasterise(t, pdf, dpi)
	p.As(browser.Desk)
	light := browser.Rasterise(t, p.Print(), dpi)
	if len(pages) < 2 || len(pages) > 4 {
		t.Errorf("the sheet takes %d pages, wanted the steps on three at most and the comparison on its own", len(pages))
	}
	for n, file := range pages {
		img := readPicture(t, file)
		box := img.Bounds()
		if box.Dx() <= box.Dy() {
			t.Errorf("page %d is %d by %d: not landscape", n+1, box.Dx(), box.Dy())
		}
		const margin = dpi * 8 / 25 // 8 mm
		if ink := box.Sub(box.Min).Inset(margin); !inked(img).In(ink) {
			t.Errorf("page %d has ink in %v, which reaches beyond %v: something is cut", n+1, inked(img), ink)
		}
		if n < len(light) && !same(img, readPicture(t, light[n])) {
			t.Errorf("page %d is not the same from a dark screen as from a light one", n+1)
		}
	}
}

// A card on paper takes no more than two pages, and nothing of it is cut.
func TestPrintedCard(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, "/cards/Lantern")
	pdf := p.Print()
	if *pictures != "" {
		if err := os.WriteFile(filepath.Join(*pictures, "card.pdf"), pdf, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	const dpi = 60
	pages := browser.Rasterise(t, pdf, dpi)
	if len(pages) > 2 {
		t.Errorf("the practice card takes %d pages, wanted two at most", len(pages))
	}
	for n, file := range pages {
		img := readPicture(t, file)
		const margin = dpi * 8 / 25 // 8 mm
		if ink := img.Bounds().Inset(margin); !inked(img).In(ink) {
			t.Errorf("page %d has ink in %v, which reaches beyond %v: something is cut", n+1, inked(img), ink)
		}
	}
}

func readPicture(t *testing.T, file string) image.Image {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// inked is the smallest rectangle that holds all that is not white. A page dark all over would be inked to its edges.
func inked(img image.Image) image.Rectangle {
	box, found := img.Bounds(), image.Rectangle{}
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0xf000 {
				found = found.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return found
}

func same(a, b image.Image) bool {
	if a.Bounds() != b.Bounds() {
		return false
	}
	box := a.Bounds()
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if a.At(x, y) != b.At(x, y) {
				return false
			}
		}
	}
	return true
}
