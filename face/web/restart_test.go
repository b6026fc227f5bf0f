package web_test

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/url"
	"strings"
	"testing"

	"secondpass/face/web"
	"secondpass/internal/browser"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// serveAt serves the workbook of a data folder at an address until the returned function is called.
func serveAt(t *testing.T, dir, address, shelf string) (stop func()) {
	t.Helper()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	kept := files.In(dir, nil)
	kept.Shelf = files.Shelf(shelf) // what games show of the card is not played twice
	w, err := web.New(s, kept, dir, slog.New(slog.DiscardHandler))
	if err == nil {
		err = w.FirstStart()
	}
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan error, 1)
	go func() { over <- w.Serve(ctx, l) }()
	stopped := false
	stop = func() {
		if !stopped {
			stopped = true
			cancel()
			<-over
			s.Close()
		}
	}
	t.Cleanup(stop)
	return stop
}

// A workbook that is closed in the middle of simulations and opened again: open pages say so, find it again by themselves, and show
// what was played so far with its number of games. The step keeps the advice. It is closed for a restoring, whose page goes on to it by itself.
func TestRestartInTheMiddle(t *testing.T) {
	t.Parallel()
	dir, address, shelf := t.TempDir(), freeAddress(t), t.TempDir()
	stop := serveAt(t, dir, address, shelf)
	b := at(t, dir, "http://"+address)
	step := b.deal("seed", "36")
	outlook := b.see(browser.Desk, "/exercises/1")
	outlook.Follow(outlook.Named("Simulate chance and net points"))
	outlook.UntilText("#outlook", "games a route")
	advised := b.see(browser.Desk, step+"/advice")
	advised.Follow(advised.Named("Show the advice"))
	advised.Until("a first interval", fmt.Sprintf(showsInterval, ".cands tbody tr:first-child .cap"))
	games := count(outlook, "#outlook .live .num")
	b.post("/backups", nil)
	restoring := b.see(browser.Desk, "/backups")
	restoring.Click(restoring.Named("Restore"))
	restoring.Click(restoring.Named("Restore it"))
	restoring.UntilText("h1", "Restoring")
	judge(t, restoring, "restoring")
	stop()
	for _, p := range []*browser.Page{outlook, advised} {
		p.UntilText("#trouble", "The workbook does not answer")
	}
	serveAt(t, dir, address, shelf)
	restoring.UntilText("h1", "A new exercise")
	outlook.Until("the games from before the restart", fmt.Sprintf(`(() => { const f = document.querySelector("#outlook .live"); return f && !f.querySelector("[value=stop]") && parseInt(f.querySelector(".num")?.innerText) >= %d })()`, max(games, 1)))
	advised.Until("the advice from before the restart", `document.querySelector(".cands") && !document.querySelector("form.live [value=stop]") && /whole games of each/.test(document.querySelector("form.live").innerText)`)
	if text := advised.Text("form.live button"); !strings.HasPrefix(text, "Go on") {
		t.Errorf("the advice goes on by %q", text)
	}
	b.stepOnce(step)
	if _, text := b.get(step + "/steps/0"); !strings.Contains(text, "The advice that was asked for here") {
		t.Errorf("the step has not kept the advice: %s", shorten(text))
	}
	if _, text := b.get(parent(step) + "/file"); !strings.Contains(text, `"options": [`) {
		t.Error("the file has not the advice")
	}
}

// A pass of one's own is put into the advice before anything is decided.
func TestOwnPassInTheAdvice(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.post("/exercises", url.Values{"act": {"rack"}, "rack": {"123b 456c 789d NEWS"}})
	p := b.see(browser.Desk, step)
	for _, code := range []string{"1b", "5c", "W"} {
		p.Click(`.rack li[data-code="` + code + `"] input`)
	}
	p.Click(p.Named("Your three first"))
	p.Follow(p.Named("Judge what I chose too"))
	if got := browser.Eval[string](p, `document.querySelector("[name=own]").value`); got != "1b 5c W" {
		t.Errorf("the own pass is %q", got)
	}
	p.Follow(p.Named("Show the advice"))
	p.Until("the own pass among the others", `[...document.querySelectorAll(".cands tr")].some(tr => tr.innerText.includes("yours"))`)
	stop(p)
	for own, says := range map[string]string{"1b 5c": "takes 3 tiles, not 2", "9b 1b 5c": "9b is not in the rack", "xyz": "cannot be judged"} {
		if code, text := b.get(step + "/advice?at=0&own=" + url.QueryEscape(own)); code != 422 || !strings.Contains(text, says) {
			t.Errorf("own pass %q: %d, wanted 422 with %q", own, code, says)
		}
	}
}
