package web_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"image"
	_ "image/png"
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// The gallery shows every picture; its size is that of the file; all of them come in one archive.
func TestGallery(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, "/exercises/1/pictures?routes=A,B")
	browser.Eval[int](p, `(document.querySelectorAll(".thumb img").forEach(i => { i.loading = "eager" }), 0)`)
	p.Until("the thumbnails", `[...document.querySelectorAll(".thumb img")].every(i => i.complete)`)
	if n := browser.Eval[int](p, `[...document.querySelectorAll(".thumb img")].filter(i => i.naturalWidth === 0).length`); n > 0 || p.Count(".thumb img") < 10 {
		t.Errorf("%d of %d thumbnails are not drawn", n, p.Count(".thumb img"))
	}
	size := regexp.MustCompile(`(\d+) × (\d+) px`)
	for _, n := range []int{2, 3, 4} {
		item := fmt.Sprintf(".gallery > li:nth-child(%d)", n)
		said := size.FindStringSubmatch(p.Text(item))
		_, png := b.get(browser.Eval[string](p, fmt.Sprintf(`document.querySelector("%s .thumb").getAttribute("href")`, item)))
		c, _, err := image.DecodeConfig(strings.NewReader(png))
		if err != nil || said == nil || fmt.Sprint(c.Width) != said[1] || fmt.Sprint(c.Height) != said[2] {
			t.Errorf("%s: the page says %v, the file is %d x %d (%v)", p.Text(item+" b"), said, c.Width, c.Height, err)
		}
	}
	if n := p.Count("button[data-copy]:not([hidden])"); n != p.Count(".gallery > li") {
		t.Errorf("%d pictures can be copied of %d", n, p.Count(".gallery > li"))
	}
	code, archive := b.get("/exercises/1/pictures.zip?routes=A,B")
	z, err := zip.NewReader(bytes.NewReader([]byte(archive)), int64(len(archive)))
	if err != nil || code != http.StatusOK {
		t.Fatalf("the archive: %d, %v", code, err)
	}
	if want := p.Count(".gallery > li") + 2; len(z.File) != want { // two of them as slides too
		t.Errorf("%d files, wanted %d", len(z.File), want)
	}
	for _, f := range z.File[:4] {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		c, kind, err := image.DecodeConfig(bytes.NewReader(data))
		if slide := strings.Contains(f.Name, "slide"); err != nil || kind != "png" || slide != (c.Width == 1920 && c.Height == 1080) {
			t.Errorf("%s is %s, %d x %d (%v)", f.Name, kind, c.Width, c.Height, err)
		}
	}
}

// Print leads to the drawn sheet: two routes on two pages, on either paper.
func TestPrintIsTheDrawnSheet(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, "/exercises/1")
	p.Click(".printing summary")
	links := browser.Eval[[]string](p, `[...document.querySelectorAll(".printing a")].map(a => a.getAttribute("href")).filter(h => !h.includes("summary"))`)
	if len(links) != 4 {
		t.Fatalf("printed as %v", links)
	}
	for _, link := range links {
		_, pdf := b.get(link)
		if pages := browser.Rasterise(t, []byte(pdf), 20); len(pages) != 2 {
			t.Errorf("%s: %d pages, wanted 2", link, len(pages))
		}
	}
}
