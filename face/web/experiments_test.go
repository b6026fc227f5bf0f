package web_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"secondpass/desk"
	"secondpass/engine/player"
	"secondpass/internal/browser"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store/files"
)

// quick is an experiment that takes a second or two.
func quick(fields ...string) url.Values {
	f := url.Values{"name": {"Flowers passed"}, "measure": {"passed"}, "tiles": {"F"}, "claim": {"more"}, "effect": {"0.1"}, "deals": {"256"}, "seed": {"7"},
		"others": {"nearest"}, "ways": {"2"}, "way1_name": {"kept"}, "way1_player": {"nearest"}, "way1_keep_flowers": {"yes"},
		"way2_name": {"given"}, "way2_player": {"nearest"}, "way2_give": {"F"}}
	for i := 0; i+1 < len(fields); i += 2 {
		f.Set(fields[i], fields[i+1])
	}
	return f
}

// played watches a result until it ends, and wants it to have as many deals as it was to have.
func (b *book) played(name string, deals int) *experiment.Result {
	b.t.Helper()
	b.watchWork("/experiments/" + name + "/live")
	r, err := files.In(b.dir, nil).Results.Read(name)
	if err != nil || r.Ended != experiment.AllPlayed || r.Deals != deals {
		b.t.Fatalf("the result %s was not played to its end: %v", name, err)
	}
	return r
}

// severalMeasures keeps a result of three ways and three measures, and is its page.
func severalMeasures(b *book) string {
	b.t.Helper()
	const text = `experiment "Several"
asks "What does a rule on passing do to the seat and to the others?"
others nearest ; random ; nearest
measure win
claim more by 0.5 %
also win of others ; less by 0.5 %
also passed F ; more by 0.1
compare all
way "near" nearest
way "flowers kept" nearest+keep-flowers
way "random" random
`
	s, c, err := experiment.Read("several", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		b.t.Fatal(err)
	}
	tuning, _ := player.TuningFor(c)
	r, err := experiment.Start(s, c, tuning, 7, 128, "test")
	if err == nil {
		err = r.Run(b.t.Context(), nil)
	}
	if err == nil {
		err = files.In(b.dir, nil).Results.Write("several", r)
	}
	if err != nil {
		b.t.Fatal(err)
	}
	return "/experiments/several"
}

// Each measure has its claim, its ways and its plots on the page, and each comparison its verdict, in the list too.
func TestSeveralMeasuresOnThePage(t *testing.T) {
	t.Parallel()
	b := open(t)
	_, page := b.get(severalMeasures(b))
	for want, times := range map[string]int{`<b class="verdict">`: 9, "The claim: win of others</h2>": 1, `id="ways-3"`: 1, "the intervals hold for all 9 comparisons": 3, "The seat itself: wins": 3} {
		if n := strings.Count(page, want); n != times {
			t.Errorf("%d times %q, wanted %d", n, want, times)
		}
	}
	if _, list := b.get("/experiments"); strings.Count(list, `<b class="verdict">`) != 9 || !strings.Contains(list, "win of others, random less near: ") {
		t.Error("the list does not have a verdict for each comparison")
	}
}

// An experiment put together by choosing is the experiment of the same text, and its result has the bytes that the command line's
// own way of running it gives.
func TestComposedExperiment(t *testing.T) {
	t.Parallel()
	b := open(t)
	if got := b.post("/experiments", quick()); got != "/experiments/flowers-passed-seed-7" {
		t.Fatalf("the experiment led to %s", got)
	}
	r := b.played("flowers-passed-seed-7", 256)
	const text = `experiment "Flowers passed"
others nearest
measure passed F
claim more by 0.1
deals 256
way "kept" nearest+keep-flowers
way "given" nearest+give=F
`
	s, c, err := experiment.Read("by hand", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		t.Fatal(err)
	}
	tuning, _ := player.TuningFor(c)
	again, err := experiment.Start(s, c, tuning, 7, 0, r.Program)
	if err == nil {
		err = again.Run(context.Background(), nil)
	}
	if err != nil || !bytes.Equal(again.Bytes(), r.Bytes()) {
		t.Errorf("the experiment by hand has other bytes (%v)", err)
	}
	code, page := b.get("/experiments/flowers-passed-seed-7")
	for _, want := range []string{"holds</b>; there is a difference this way", "256 of 256 deals", "seed 7", "secondpass experiment repeat", "<svg class=\"drawing\""} {
		if code != 200 || !strings.Contains(page, want) {
			t.Errorf("%d: the page of the result has no %q", code, want)
		}
	}
	if _, list := b.get("/experiments"); !strings.Contains(list, "Flowers passed") || !strings.Contains(list, "holds") {
		t.Error("the result is not in the list")
	}
	b.takenAway(r)
}

// takenAway looks at the files of a result.
func (b *book) takenAway(r *experiment.Result) {
	b.t.Helper()
	path := "/experiments/flowers-passed-seed-7"
	if _, text := b.get(path + "/file?as=result"); text != string(r.Bytes()) {
		b.t.Error("the result file taken away is another")
	}
	if _, text := b.get(path + "/file?as=experiment"); text != r.Experiment {
		b.t.Error("the experiment file taken away is another")
	}
	_, text := b.get(path + "/file?as=csv")
	if lines, err := csv.NewReader(strings.NewReader(text)).ReadAll(); err != nil || len(lines) < 4 {
		b.t.Errorf("the CSV has %d lines: %v", len(lines), err)
	}
	_, text = b.get(path + "/file?as=json")
	var answer struct{ Verdict string }
	if err := json.Unmarshal([]byte(text), &answer); err != nil || answer.Verdict != "holds" {
		b.t.Errorf("the JSON says %q: %v", answer.Verdict, err)
	}
	for format, begin := range map[string]string{"svg": "<svg", "png": "\x89PNG", "pdf": "%PDF-"} {
		if code, data := b.get(path + "/plot?of=differences&format=" + format); code != 200 || !strings.Contains(data[:min(len(data), 120)], begin) {
			b.t.Errorf("the plot as %s: %d %q", format, code, data[:min(len(data), 40)])
		}
	}
}

// The addresses that experiments had when they were called studies lead on, with what was asked and sent.
func TestEarlierAddresses(t *testing.T) {
	t.Parallel()
	b := open(t)
	path := b.post("/studies", quick())
	if path != "/experiments/flowers-passed-seed-7" {
		t.Fatalf("the form of an earlier page led to %s", path)
	}
	b.played("flowers-passed-seed-7", 256)
	for earlier, want := range map[string]string{
		"/studies": "Experiments</h1>", "/studies/new?as=text": "Paste an experiment file", "/studies/flowers-passed-seed-7": "Flowers passed",
		"/studies/flowers-passed-seed-7/file?as=study": `experiment "Flowers passed"`,
	} {
		if code, text := b.get(earlier); code != 200 || !strings.Contains(text, want) {
			t.Errorf("%s: %d, without %q", earlier, code, want)
		}
	}
	for _, away := range []string{"/studies//elsewhere.example", "/studies/%2felsewhere.example"} {
		if code, _ := b.get(away); code != 404 {
			t.Errorf("%s: %d, wanted 404", away, code)
		}
	}
}

// Stopped and gone on with, an experiment comes to the bytes of one run.
func TestStoppedExperiment(t *testing.T) {
	t.Parallel()
	b := open(t)
	path := b.post("/experiments", quick("deals", "1000000"))
	b.post(path, url.Values{"act": {"stop"}})
	kept := files.In(b.dir, nil).Results
	r, err := kept.Read("flowers-passed-seed-7")
	if err != nil {
		t.Fatal(err)
	}
	if r.Ended == experiment.AllPlayed {
		t.Fatal("a million deals were over before they could be stopped")
	}
	if _, page := b.get(path); !strings.Contains(page, "Stopped. What was played is kept.") || !strings.Contains(page, `value="go"`) {
		t.Error("the page does not say that it is stopped, or how to go on")
	}
	for _, more := range []int{100, 300} {
		b.post(path, url.Values{"act": {"more"}, "deals": {strconv.Itoa(r.Deals + more)}})
		if whole := b.played("flowers-passed-seed-7", r.Deals+more); more == 300 {
			if same, err := desk.RepeatExperiment(context.Background(), whole, nil); err != nil || !same {
				t.Errorf("in one run it has other bytes (%v)", err)
			}
		}
	}
	if code, text := b.send("POST", path, "act=more&deals=1"); code != 422 || !strings.Contains(text, "are played already") {
		t.Errorf("fewer deals than were played: %d", code)
	}
}

// A server that ends keeps what was played, and the next one goes on with it.
func TestExperimentOutlivesTheServer(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	t.Run("first", func(t *testing.T) { openIn(t, dir).post("/experiments", quick("deals", "100000")) })
	r, err := files.In(dir, nil).Results.Read("flowers-passed-seed-7")
	if err != nil {
		t.Fatal(err)
	}
	before := r.Deals
	b := openIn(t, dir)
	b.post("/experiments/flowers-passed-seed-7", url.Values{"act": {"go"}})
	b.watchUntil("/experiments/flowers-passed-seed-7/live", func(event string) bool {
		m := regexp.MustCompile(`<progress max="100000" value="(\d+)"`).FindStringSubmatch(event)
		if m == nil {
			return false
		}
		deals, _ := strconv.Atoi(m[1])
		return deals > before
	})
	b.post("/experiments/flowers-passed-seed-7", url.Values{"act": {"stop"}})
	if r, err = files.In(dir, nil).Results.Read("flowers-passed-seed-7"); err != nil || r.Deals <= before {
		t.Errorf("%d deals after %d: %v", r.Deals, before, err)
	}
}

func TestDeletedExperiment(t *testing.T) {
	t.Parallel()
	b := open(t)
	path := b.post("/experiments", quick())
	if got := b.post(path+"/delete", nil); got != "/experiments?deleted=flowers-passed-seed-7" {
		t.Errorf("deleting led to %s", got)
	}
	if code, _ := b.get(path); code != 404 {
		t.Errorf("a deleted result answers %d", code)
	}
	if _, err := os.Stat(filepath.Join(b.dir, "experiments", "flowers-passed-seed-7.json.deleted")); err != nil {
		t.Error(err)
	}
	if got := b.post(path+"/restore", nil); got != path {
		t.Errorf("bringing it back led to %s", got)
	}
}

func TestWrongExperiments(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, c := range []struct {
		field, value, says string
	}{
		{"name", "", "a short name"}, {"effect", "", "more by"}, {"effect", "a lot", "more by"}, {"effect", "0", "above 0"}, {"deals", "none", "whole number"}, {"deals", "0", "whole number"},
		{"tiles", "", "Of which tiles?"}, {"tiles", "Q", "tiles"}, {"way2_player", "champion", "no player is called"}, {"way2_give", "FQ", "rule"}, {"way2_name", "kept", "a second time"},
		{"seed", "x", "whole number"}, {"card", "Nobody", "no card"}, {"jokers", "9..1", "jokers 0..2"}, {"others", "x", "no player"}, {"way1_measure", "win", "one in tiles"},
		{"split", "luck", "one of"}, {"way2_aim", "Nothing", "Nothing"}, {"set-flowers", "x", "tiles 8 flowers"},
	} {
		code, text := b.send("POST", "/experiments", quick(c.field, c.value).Encode())
		if code != 422 || !strings.Contains(text, c.says) || !strings.Contains(text, `class="why"`) {
			t.Errorf("%s %q: %d, wanted 422 with %q: %s", c.field, c.value, code, c.says, shorten(text))
		}
		if code, part := b.send("POST", "/experiments/preview", quick(c.field, c.value).Encode()); code != 200 || !strings.Contains(part, c.says) {
			t.Errorf("%s %q in the preview: %d %s", c.field, c.value, code, part)
		}
	}
	pasted := "experiment \"x\"\nmeasure luck\nclaim more by 0.5\ndeals 20\nway \"a\" strong\nway \"b\" champion\n"
	code, text := b.send("POST", "/experiments", url.Values{"text": {pasted}}.Encode())
	if code != 422 || !strings.Contains(text, "Line 2, column 9") || !strings.Contains(text, "Line 6") {
		t.Errorf("pasted text with errors: %d %s", code, shorten(text))
	}
	if code, _ := b.send("POST", "/experiments", url.Values{"text": {" "}}.Encode()); code != 422 {
		t.Errorf("no text at all: %d", code)
	}
	// A population that no deal meets is seen when it is played, and is no failure of the program.
	rare := "experiment Rare\nmeasure away\npopulation jokers 6 ; pairs 7\nclaim more by 1\nway \"a\" nearest\nway \"b\" random\n"
	if code, text := b.send("POST", "/experiments", url.Values{"text": {rare}, "seed": {"1"}}.Encode()); code >= 400 {
		t.Errorf("a rare population: %d %s", code, shorten(text))
	}
	b.watchWork("/experiments/rare-seed-1/live")
	if _, text := b.get("/experiments/rare-seed-1"); !strings.Contains(text, "population jokers 6 ; pairs 7: too rare: none of 1000000 deals fits; ask for less") {
		t.Errorf("a rare population is told as %s", shorten(text))
	}
	for path, want := range map[string]int{"/experiments/nothing": 404, "/experiments/..%2f..%2fsecret": 404, "/experiments/nothing/file?as=csv": 404, "/experiments/nothing/live": 404,
		"/experiments/nothing/plot?of=ways": 404, "/experiments/new?ready=nothing": 404, "/experiments/new?from=nothing": 404, "/experiments/new?ready=keep-flowers": 200} {
		if code, text := b.get(path); code != want {
			t.Errorf("GET %s: %d, wanted %d: %s", path, code, want, shorten(text))
		}
	}
	for path, want := range map[string]int{"/experiments/nothing": 404, "/experiments/nothing/delete": 404, "/experiments/nothing/restore": 404, "/experiments?ready=x": 422} {
		if code, text := b.send("POST", path, ""); code != want {
			t.Errorf("POST %s: %d, wanted %d: %s", path, code, want, shorten(text))
		}
	}
	if code, _ := b.send("POST", "/experiments", "ready=nothing"); code != 404 {
		t.Errorf("an unknown ready-made experiment: %d", code)
	}
	if code, _ := b.send("POST", "/experiments", "ready=keep-flowers&deals=x"); code != 422 {
		t.Errorf("a ready-made experiment of no number of deals: %d", code)
	}
	if err := os.MkdirAll(filepath.Join(b.dir, "experiments"), 0o700); err == nil {
		os.WriteFile(filepath.Join(b.dir, "experiments", "broken.json"), []byte("{"), 0o600)
	}
	if code, text := b.get("/experiments"); code != 200 || !strings.Contains(text, "cannot be read") {
		t.Errorf("a list with a broken file: %d", code)
	}
	if code, _ := b.get("/experiments/broken"); code != 422 {
		t.Errorf("a broken file: %d", code)
	}
}

// The pages of experiments and reports in a browser, chosen and watched as a reader does.
func TestExperimentPages(t *testing.T) {
	t.Parallel()
	b := open(t)
	b.post("/experiments", quick())
	b.played("flowers-passed-seed-7", 256)
	p := b.see(browser.Desk, "/experiments/new")
	p.Type("#f-name", "Typed")
	p.UntilText("#experiment-text", `"Typed"`)
	for _, s := range []screen{{"experiment-paste", "/experiments/new?ready=keep-flowers"}, {"experiment", "/experiments/flowers-passed-seed-7"}, {"experiments-with-results", "/experiments"}} {
		p.Go(b.address + s.path)
		judge(t, p, s.name)
	}
	for _, text := range p.Complaints() {
		t.Errorf("the browser complains: %s", text)
	}
}

// smallSeries is a series of four experiments that take a second together.
const smallSeries = `experiment "Small series"
asks "Are flowers given by whoever must give them, on two cards?"
over card Lantern | clumsy 1
over first nearest | random
others nearest
measure passed F
claim more by 0.1
deals 64
way "kept" {first}+keep-flowers
way "given" nearest+give=F
`

// startedSeries begins the small series and is the page of its first result.
func (b *book) startedSeries() string {
	b.t.Helper()
	return b.post("/experiments", url.Values{"text": {smallSeries}, "seed": {"7"}})
}

// endedSeries plays the small series and is the page of one of its results.
func (b *book) endedSeries() string {
	b.t.Helper()
	first := b.startedSeries()
	for _, cell := range []string{"01-lantern-nearest", "02-lantern-random", "03-clumsy-1-nearest", "04-clumsy-1-random"} {
		b.played("small-series-"+cell+"-seed-7", 64)
	}
	return first
}

// A series that is pasted is played whole; the page of each of its results has one table and one picture over all, and its results have
// the bytes of single runs of their cells. Begun again, it gets names of its own.
func TestSeriesOnThePage(t *testing.T) {
	t.Parallel()
	b := open(t)
	if _, check := b.send("POST", "/experiments/check", url.Values{"text": {smallSeries}}.Encode()); !strings.Contains(check, "A series of 4 experiments") {
		t.Errorf("the check of a series says:\n%s", check)
	}
	if code, refused := b.send("POST", "/experiments", url.Values{"text": {strings.Replace(smallSeries, "clumsy 1", "Nobody", 1)}, "seed": {"7"}}.Encode()); code != 422 || !strings.Contains(refused, "Nobody") {
		t.Errorf("a series over a card that there is not: %d", code)
	}
	first := b.startedSeries()
	names := []string{"small-series-01-lantern-nearest-seed-7", "small-series-02-lantern-random-seed-7", "small-series-03-clumsy-1-nearest-seed-7", "small-series-04-clumsy-1-random-seed-7"}
	if first != "/experiments/"+names[0] {
		t.Fatalf("the series led to %s", first)
	}
	all, err := experiment.ReadSeries("series", []byte(smallSeries), func(name string, set tile.Set) (*card.Card, error) {
		if desk.IsDrawn(name) {
			return desk.Drawn(name, set)
		}
		return card.Practice(), nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range names {
		r := b.played(name, 64)
		tuning, _ := player.TuningFor(all.Cells[i].Card)
		alone, err := experiment.Start(all.Cells[i].Experiment, all.Cells[i].Card, tuning, 7, 0, r.Program)
		if err == nil {
			err = alone.Run(t.Context(), nil)
		}
		if err != nil || !bytes.Equal(alone.Bytes(), r.Bytes()) {
			t.Errorf("%s has not the bytes of a run by itself (%v)", name, err)
		}
	}
	_, page := b.get("/experiments/" + names[2])
	for _, want := range []string{"256 of 256 deals", "for all 4 comparisons together", `<a href="/experiments/` + names[3] + `">card clumsy 1, first random</a>`, "card clumsy 1, first nearest, this page", "Done."} {
		if !strings.Contains(page, want) {
			t.Errorf("the page of a series has no %q", want)
		}
	}
	if _, picture := b.get("/experiments/" + names[2] + "/plot?of=series&format=svg"); !strings.Contains(picture, "Small series: 256 deals in all") || !strings.Contains(picture, "for all 4 comparisons together") {
		t.Error("the picture of a series does not have all its experiments")
	}
	if _, alone := b.get(severalMeasures(b)); strings.Contains(alone, "The series") {
		t.Error("a result by itself is shown as a series")
	}
	if again := b.startedSeries(); again != "/experiments/"+names[0]+"-2" {
		t.Errorf("begun again the series led to %s", again)
	}
	b.post("/experiments/"+names[0]+"-2/series", url.Values{"act": {"stop"}})
	if _, page := b.get("/experiments/" + names[0]); strings.Contains(page, "512 deals") {
		t.Error("two series are shown as one")
	}
	b.post("/experiments/"+names[0]+"-2/series", url.Values{"act": {"go"}})
	for _, name := range names {
		if once, again := b.played(name, 64), b.played(name+"-2", 64); !bytes.Equal(once.Bytes(), again.Bytes()) {
			t.Errorf("stopped and gone on with, %s has other bytes", name)
		}
	}
}
