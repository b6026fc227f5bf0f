package web_test

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/face/reader"
	"secondpass/internal/browser"
	"secondpass/store/files"
)

var readerSpeed = flag.Bool("readerspeed", false, "measure a reader's page beside the program")

// How large a reader's page is, when its rack and its first look are there, and how fast it judges beside the program, both on all
// cores. Figures are printed; nothing is claimed of a machine that does something else meanwhile.
func TestReaderSpeed(t *testing.T) {
	if !*readerSpeed {
		t.Skip("run with -readerspeed")
	}
	b := open(t)
	step := b.deal("seed", "11", "name", "Speed")
	_, page := b.get(parent(step) + "/reader-page")
	file := filepath.Join(t.TempDir(), "speed.html")
	if err := os.WriteFile(file, []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
	given := stored(b, number(step))
	p := browser.Open(t, browser.Desk, "file://"+file)
	p.Until("the engine is there", `"ready" in document.documentElement.dataset`)
	ready := browser.Eval[float64](p, `performance.now() / 1000`)
	rack := browser.Eval[float64](p, `performance.getEntriesByName("first-contentful-paint")[0].startTime / 1000`)
	p.Click("details.closed summary")
	p.Click(`details.closed a.btn`)
	p.UntilText("h1", "Advice")
	begun := time.Now()
	p.Click(`#advice button[value=go]`)
	p.Until("the first look", `document.querySelector("#advice table.cands")`)
	look := time.Since(begun)
	p.Until("the judgement is over", `document.querySelector("#advice form.live")?.innerText.includes("Go on")`)
	inPage := time.Since(begun)
	heap := browser.Eval[float64](p, `performance.memory.usedJSHeapSize / 1e6`)

	d := &desk.Desk{Files: files.In(t.TempDir(), nil)}
	counsel, err := d.Counsel(given, desk.Judge{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := counsel.Shown(context.Background()); err != nil { // what the page has with it
		t.Fatal(err)
	}
	fresh := given.Fresh()
	trail, err := fresh.Replay(fresh.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	begun = time.Now()
	a, err := counsel.Advise(context.Background(), trail.Now.View(), nil, advice.Budget{Games: reader.UsualGames}, nil)
	if err != nil {
		t.Fatal(err)
	}
	native := time.Since(begun)
	t.Logf("%d bytes; rack after %.1f s, engine after %.1f s; first look after %.1f s, judgement after %.1f s (program %.1f s, %.1f times) of %d short games and %d whole ones of each; %.0f MB of script memory",
		len(page), rack, ready, look.Seconds(), inPage.Seconds(), native.Seconds(), inPage.Seconds()/native.Seconds(), a.Games, a.Whole, heap)
}
