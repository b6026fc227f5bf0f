package web_test

import (
	"encoding/json"
	"net/url"
	"strings"
	"testing"

	"secondpass/internal/browser"
	"secondpass/rules/card"
)

// counted counts a small report of the practice card.
func (b *book) counted(deals, games, aimed string) {
	b.t.Helper()
	b.post("/cards/Lantern/report", url.Values{"act": {"new"}, "deals": {deals}, "games": {games}, "aimed": {aimed}, "seed": {"5"}})
	b.watchWork("/cards/Lantern/report/live")
	if _, text := b.get("/cards/Lantern/report"); !strings.Contains(text, `id="neighbours"`) {
		b.t.Fatal("the report did not come to its end")
	}
}

func TestCardReport(t *testing.T) {
	t.Parallel()
	b := open(t)
	if code, _ := b.get("/cards/Lantern/report/report.json"); code != 404 {
		t.Errorf("a report that was not counted: %d", code)
	}
	b.counted("300", "6", "0")
	_, text := b.get("/cards/Lantern/report")
	for _, want := range []string{"300 random deals", "6 games of four strong players", "seed 5", "If you hold this, look here", "Compass 1", `id="passes"`} {
		if !strings.Contains(text, want) {
			t.Errorf("the report has no %q", want)
		}
	}
	_, text = b.get("/cards/Lantern/report/report.json")
	var r struct {
		Deals, Games int
		Seed         uint64
		Hands        []json.RawMessage
	}
	if err := json.Unmarshal([]byte(text), &r); err != nil || r.Deals != 300 || r.Games != 6 || r.Seed != 5 || len(r.Hands) != len(card.Practice().Hands) {
		t.Errorf("the JSON has %d deals, %d games, seed %d, %d hands: %v", r.Deals, r.Games, r.Seed, len(r.Hands), err)
	}
	for path, begin := range map[string]string{"report.pdf": "%PDF-", "report.pdf?paper=a4": "%PDF-", "plot?of=away&format=svg": "<svg", "plot?of=passes&format=png": "\x89PNG"} {
		if code, data := b.get("/cards/Lantern/report/" + path); code != 200 || !strings.Contains(data[:min(len(data), 120)], begin) {
			t.Errorf("%s: %d %q", path, code, data[:min(len(data), 60)])
		}
	}
	for path, want := range map[string]int{"/cards/nothing/report": 404, "/cards/Lantern/report/secret": 404, "/cards/Lantern/report/plot?of=x": 404, "/cards/Lantern/report/report.pdf?paper=a9": 422} {
		if code, _ := b.get(path); code != want {
			t.Errorf("%s: %d, wanted %d", path, code, want)
		}
	}
	for form, want := range map[string]string{"deals=x&games=1&aimed=1": "random deals", "deals=0&games=0&aimed=0": "nothing to count", "deals=1&games=-1&aimed=0": "games", "deals=1&games=1&aimed=0&seed=x": "seed"} {
		if code, text := b.send("POST", "/cards/Lantern/report", form); code != 422 || !strings.Contains(text, want) {
			t.Errorf("%s: %d, wanted 422 with %q", form, code, want)
		}
	}
	p := b.see(browser.Desk, "/cards/Lantern/report")
	judge(t, p, "card-report-counted")
}

// A report stopped and gone on with has the figures of one that was not.
func TestStoppedReport(t *testing.T) {
	t.Parallel()
	b, other := open(t), open(t)
	b.post("/cards/Lantern/report", url.Values{"act": {"new"}, "deals": {"4000"}, "games": {"6"}, "aimed": {"0"}, "seed": {"5"}})
	b.post("/cards/Lantern/report", url.Values{"act": {"stop"}})
	b.post("/cards/Lantern/report", url.Values{"act": {"go"}})
	other.counted("4000", "6", "0")
	b.watchWork("/cards/Lantern/report/live")
	_, text := b.get("/cards/Lantern/report/report.json")
	if !strings.Contains(text, `"stopped": false`) {
		t.Error("the report did not come to its end")
	}
	if _, whole := other.get("/cards/Lantern/report/report.json"); whole != text {
		t.Error("the report that was stopped has other figures")
	}
}
