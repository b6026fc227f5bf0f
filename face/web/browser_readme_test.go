package web_test

import (
	"flag"
	"path/filepath"
	"testing"

	"secondpass/internal/browser"
)

var readme = flag.Bool("readme", false, "write the pictures of the README anew")

// The pictures of the README are of the pages as they are. With -readme they are written to docs/pictures; else they are made and have to be
// as large as those there, within what a sentence more or less would change.
func TestReadmePictures(t *testing.T) {
	t.Parallel()
	b := open(t)
	kept, dir := filepath.Join("..", "..", "docs", "pictures"), t.TempDir()
	if *readme {
		dir = kept
	}
	p := b.see(browser.Desk, "/exercises/1")
	p.Picture(filepath.Join(dir, "sheet.png"))
	step := b.deal("seed", "7", "jokers", "1..2", "name", "A first lesson")
	b.stepOnce(step)
	p.Go(b.address + step)
	p.Click(".hands.near li:nth-child(2) .pinning button")
	p.Until("the plan", `document.querySelector(".plan-head")`)
	choose(p, 2)
	browser.Eval[int](p, `(document.activeElement.blur(), 0)`)
	p.Picture(filepath.Join(dir, "pass.png"))
	for _, name := range []string{"sheet.png", "pass.png"} {
		old, now := readPicture(t, filepath.Join(kept, name)).Bounds(), readPicture(t, filepath.Join(dir, name)).Bounds()
		if off := now.Dy() - old.Dy(); old.Dx() != now.Dx() || off*off > 100*100 {
			t.Errorf("docs/pictures/%s is %v and the page is %v: go test ./face/web -run TestReadmePictures -readme", name, old.Size(), now.Size())
		}
	}
}
