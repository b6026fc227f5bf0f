package web_test

import (
	"archive/zip"
	"context"
	"html"
	"math"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/reader"
	"secondpass/face/reader/onefile"
	"secondpass/face/web/view"
	"secondpass/internal/browser"
	"secondpass/store/files"
	"secondpass/store/sql"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
	"secondpass/teach/reply"
)

// stored is an exercise of a workbook, read from its disk.
func stored(b *book, ref string) *exercise.Exercise {
	b.t.Helper()
	s, err := sql.Open(b.dir)
	if err != nil {
		b.t.Fatal(err)
	}
	defer s.Close()
	x, err := s.Load(ref)
	if err != nil {
		b.t.Fatal(err)
	}
	return x.Exercise
}

// passThree chooses the first three tiles that may go and passes them.
func passThree(p *browser.Page) {
	before := browser.Eval[string](p, `location.hash + document.querySelector("#pass input[name=at]").value`)
	choose(p, 3)
	p.Click("#go")
	p.Until("the pass is made", `location.hash + (document.querySelector("main input[name=at]")?.value ?? "") !== "`+before+`"`)
}

// The page that a teacher gives away is walked to its end from the disk, without a server: the rules refuse, the teacher's route is
// hidden until then, advice comes to the very figures of the program, the code at the end is the route, and names are text.
func TestReadersPage(t *testing.T) {
	t.Parallel()
	b := open(t)
	const hostile = `Monday </script><img src=x onerror=alert(1)>`
	step := b.deal("seed", "11", "jokers", "1..2", "name", hostile)
	b.walkTo(step, "The passing is over")
	code, page := b.get(parent(step) + "/reader-page")
	if code != http.StatusOK || len(page) > 3_500_000 {
		t.Fatalf("%d, %d bytes: %.300s", code, len(page), page)
	}
	given := stored(b, number(step))
	file := filepath.Join(t.TempDir(), "monday.html")
	if err := os.WriteFile(file, []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
	web := httptest.NewServer(http.FileServer(http.Dir(filepath.Dir(file))))
	t.Cleanup(web.Close)

	p := browser.Open(t, browser.Phone, "file://"+file)
	p.UntilText("h1", "Three to the right")
	p.Until("the engine is there", `"ready" in document.documentElement.dataset`)
	if got := p.Text("header.bar strong"); got != hostile || p.Count("img") != 0 {
		t.Errorf("the name %q is not text: %q", hostile, got)
	}
	judge(t, p, "reader-step")
	p.As(browser.Phone)

	// What the rules refuse is refused here.
	p.Click(`.rack input[data-joker]`)
	p.UntilText("#refusal", "A joker is never passed.")
	p.Click(`header.bar a[href="/exercises/1"]`)
	p.UntilText("main", "The teacher's own route stands here once")
	if p.Count("form.choose") != 0 {
		t.Error("the teacher's route is shown before the passing is over")
	}
	p.Click(`header.bar a[href="/exercises/1/here"]`)
	p.UntilText("h1", "Three to the right")

	advised(t, b, p, given)

	// The passing, with one step back and the same again.
	passThree(p)
	p.Click(p.Named("Undo"))
	p.UntilText("h1", "Three to the right")
	for range 20 {
		switch {
		case p.Count("#pass") > 0:
			passThree(p)
		case p.Count(`button[name=stop]`) > 0:
			p.Click(`button[name=stop][value=yes]`)
			p.Until("the vote is over", `!document.querySelector("button[name=stop]")`)
		case p.Count(`button[name=count]`) > 0:
			p.Click(`button[name=count][value="0"]`)
			p.UntilText("h1", "The passing is over")
		}
		if strings.Contains(p.Text("h1"), "The passing is over") {
			break
		}
	}
	p.UntilText("h1", "The passing is over")
	judge(t, p, "reader-end")
	sent := browser.Eval[string](p, `document.querySelector("#code").value`)
	walked, err := reply.NewReader(given).Read(sent)
	if err != nil {
		t.Fatalf("the code %q: %v", sent, err)
	}
	kept := keptRoute(t, p, given)
	if !reflect.DeepEqual(walked.Routes[0].Decisions, kept.Decisions) {
		t.Errorf("the code tells of %v, but %v was walked", walked.Routes[0].Decisions, kept.Decisions)
	}

	// Now the teacher's route stands beside, and another is forked from the middle.
	p.Click(`main a.btn[href="/exercises/1"]`)
	p.UntilText("form.choose", "Teacher")
	judge(t, p, "reader-sheet")
	p.Click(`button[aria-label^="fork here"]`)
	p.Until("the fork stands at C, since B is the teacher's", `location.hash.endsWith("/routes/C") && document.querySelector("main .badge")?.textContent === "C"`)
	p.Reload()
	p.Until("it goes on where it was", `"ready" in document.documentElement.dataset && location.hash.endsWith("/routes/C") && document.querySelector("main .badge")?.textContent === "C"`)
	for _, text := range p.Complaints() {
		t.Errorf("the browser complains: %s", text)
	}

	// The same file from a server, by keyboard.
	p.Go(web.URL + "/monday.html")
	p.Until("the engine is there", `"ready" in document.documentElement.dataset`)
	chooseByKeys(p, 3)
	p.Press("Enter")
	p.UntilText("h1", "Three across")
	p.Press("u")
	p.UntilText("h1", "Three to the right")
	p.Press("r")
	p.UntilText("h1", "Three across")

	inFolder(t, b, p)
	lessonElsewhere(t, p)
}

// lessonElsewhere does a lesson from its file: a drill by a choice, by keyboard, and one by three tiles of one's own, which cost in the
// page what the program says.
func lessonElsewhere(t *testing.T, p *browser.Page) {
	t.Helper()
	l, err := lesson.ReadReady("opening")
	if err != nil {
		t.Fatal(err)
	}
	d := &desk.Desk{Files: files.In(t.TempDir(), nil)}
	data, err := onefile.Of(context.Background(), d, onefile.Subject{Lesson: l}, reader.After, nil)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "lesson.html")
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	p.As(browser.Desk)
	p.Go("file://" + file)
	p.Until("the engine is there", `"ready" in document.documentElement.dataset`)
	judge(t, p, "reader-lesson")
	p.As(browser.Phone)
	p.Click(`main a[href="/exercises/1"]`)
	p.Until("the drill is there", `document.querySelector(".answers")`)
	judge(t, p, "reader-drill")
	p.As(browser.Desk)
	p.Press("1")
	p.Until("it is answered", `document.querySelector("table.keyed .yours")`)
	judge(t, p, "reader-drilled")
	p.As(browser.Desk)
	p.Click(p.Named("The next of the lesson"))
	p.Until("the next drill is there", `location.hash.endsWith("/2") && document.querySelector(".picks")`)
	var own drill.Choice
	for _, c := range l.Items[1].Drill.AllPasses() {
		if _, err := l.Items[1].Drill.Choose(c.String()); err != nil {
			own = c
			break
		}
	}
	for _, k := range own.Action.Own.Tiles() {
		p.Click(`.picks input[value="` + k.String() + `"]:not(:checked)`)
	}
	p.Click(`button[value=free]`)
	p.Until("it is judged", `document.querySelector(".freed")`)
	want, err := d.JudgeAnswer(context.Background(), l.Items[1].Card, l.Items[1].Drill, own)
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Text(".freed"); !strings.Contains(got, view.CostSentence(want.Cost)) {
		t.Errorf("the page says %q, the program %s", got, view.CostSentence(want.Cost))
	}
	p.Until("it is kept", `Object.values(localStorage).some((text) => text.includes('"2":'))`)
	p.Click(p.Named("The lesson"))
	p.UntilText("main", "2 of 4 done")
	p.Click(p.Named("Go on in another browser"))
	p.UntilText(".code", "2D-")
	judge(t, p, "reader-carry")
}

// inFolder puts the exercise, another and a lesson into a folder with a list: it opens from the disk, where the engine is a file beside the
// pages, and from a server, after which it needs neither that nor any network.
func inFolder(t *testing.T, b *book, p *browser.Page) {
	t.Helper()
	other := number(b.deal("seed", "12", "name", "Tuesday"))
	b.post("/lessons/ready", url.Values{"name": {"opening"}})
	code, packed := b.send("POST", "/reader-pages", url.Values{"title": {"Two <b>lessons</b>"}, "exercise": {"1", other}, "lesson": {"1"}}.Encode())
	if code != http.StatusOK {
		t.Fatalf("%d: %s", code, packed)
	}
	all, err := zip.NewReader(strings.NewReader(packed), int64(len(packed)))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, all); err != nil {
		t.Fatal(err)
	}
	p.Go("file://" + dir + "/index.html")
	p.UntilText("h1", "Two <b>lessons</b>")
	p.Click(p.Named("Tuesday"))
	p.Until("the engine is there", `"ready" in document.documentElement.dataset`)
	passThree(p)
	p.Click(p.Named("The list"))
	p.UntilText("main li:nth-child(2)", "Begun.")
	p.UntilText("main", "2 exercises and 1 lesson to do in your browser")

	web := httptest.NewServer(http.FileServer(http.Dir(dir)))
	p.Go(web.URL)
	p.Until("the folder is kept", `navigator.serviceWorker.controller`)
	if got := browser.Eval[string](p, `document.querySelector("link[rel=manifest]").href`); !strings.HasPrefix(got, web.URL) {
		t.Errorf("the manifest is at %s", got)
	}
	web.CloseClientConnections()
	web.Close()
	p.Reload()
	p.Click(p.Named("Tuesday"))
	p.Until("the engine is there", `"ready" in document.documentElement.dataset`)
	passThree(p)
	for _, text := range p.Complaints() {
		t.Errorf("the browser complains: %s", text)
	}
	p.Click(p.Named("The list"))
	p.UntilText("h1", "Two <b>lessons</b>")
	judge(t, p, "reader-folder") // whose program reads the style sheet once more, which the page's policy does not let it
}

// advised asks for advice on the first decision in the page and compares what it comes to with the program's.
func advised(t *testing.T, b *book, p *browser.Page, given *exercise.Exercise) {
	t.Helper()
	p.Click("details.closed summary")
	p.Click(`details.closed a.btn`)
	p.UntilText("h1", "Advice")
	restsAndStops(t, p)
	p.Click(`#advice button[value=go]`)
	p.Until("the judgement is over", `document.querySelector("#advice table.cands") && document.querySelector("#advice form.live")?.innerText.includes("Go on")`)
	browser.Eval[int](p, `document.querySelector("#advice details").remove(), 0`) // a hundred lines like those above
	judge(t, p, "reader-advice")
	p.Click("header.label a.btn")
	p.UntilText("h1", "Three to the right")
	got := keptRoute(t, p, given).Note(0).Advice
	d := &desk.Desk{Files: files.In(t.TempDir(), nil)}
	counsel, err := d.Counsel(given, desk.Judge{})
	if err != nil {
		t.Fatal(err)
	}
	trail, err := given.Fresh().Replay(given.Fresh().Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	a, err := counsel.Advise(context.Background(), trail.Now.View(), nil, advice.Budget{Games: reader.UsualGames}, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := a.Kept(counsel.Seed)
	if got == nil || len(got.Options) == 0 || !reflect.DeepEqual(got, want) {
		t.Errorf("the page advises %+v, the program %+v", got, want)
	}
	if math.Abs(float64(want.Options[0].Chance.Value)) > 1 {
		t.Error("a chance beyond 1")
	}
}

// restsAndStops begins a judgement while the page is hidden: a first look is there at once, no game is played, and where it is stopped the look
// stands. Then the page is in sight again.
func restsAndStops(t *testing.T, p *browser.Page) {
	t.Helper()
	browser.Eval[int](p, `(globalThis.claims = { asked: 0, answered: 0, workers: 0 },
		globalThis.Worker = class extends Worker {
			constructor(...given) {
				super(...given);
				claims.workers++;
				this.addEventListener("message", ({ data }) => { if ("claim" in JSON.parse(data)) claims.asked++; });
			}
			postMessage(message, ...more) {
				if (typeof message === "string" && message.startsWith('{"claimed"')) claims.answered++;
				super.postMessage(message, ...more);
			}
		}, Object.defineProperty(document, "hidden", { value: true, configurable: true }), 0)`)
	p.Click(`#advice button[value=go]`)
	p.Until("a first look, and workers that wait", `document.querySelector("#advice table.cands") && claims.workers > 0 && claims.asked >= claims.workers`)
	if n := browser.Eval[int](p, `claims.answered`); n > 0 {
		t.Errorf("%d parts are played while nobody sees the page", n)
	}
	p.Click(`#advice button[value=stop]`)
	p.UntilText("#advice form.live", "Stopped.")
	if p.Count("#advice table.cands") == 0 || p.Count("#advice button[value=go]") != 1 {
		t.Error("the first look does not stand after a stop")
	}
	browser.Eval[int](p, `(delete document.hidden, document.dispatchEvent(new Event("visibilitychange")), 0)`)
}

// keptRoute is the reader's first route as the browser keeps it.
func keptRoute(t *testing.T, p *browser.Page, given *exercise.Exercise) *exercise.Route {
	t.Helper()
	text := browser.Eval[string](p, `JSON.parse(Object.entries(localStorage).find(([key]) => key.startsWith("secondpass "))[1]).exercise`)
	e, err := exercise.Read(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return e.Routes[0]
}

// An exercise that nobody else can walk has no page, and a wish that is none is told.
func TestNoReadersPage(t *testing.T) {
	b := open(t)
	typed := b.deal("seed", "11", "name", "Real tiles", "incoming", "entered")
	if code, text := b.get(parent(typed) + "/reader-page"); code != 422 || !strings.Contains(text, "typed in") {
		t.Errorf("an exercise with entered passes: %d %s", code, text)
	}
	if code, text := b.get("/exercises/1/reader-page?" + url.Values{"routes": {"later"}}.Encode()); code != 422 || !strings.Contains(text, "after, always or never") {
		t.Errorf("a wish that is none: %d %s", code, text)
	}
	for form, want := range map[string]string{
		"": "Nothing is chosen", "exercise=1&routes=later": "after, always or never", "exercise=1&exercise=" + number(typed): `"Real tiles": where`,
		"exercise=99": "no exercise 99", "exercise=x": "no exercise x", "lesson=99": "no lesson 99", "lesson=x": "no lesson x",
		"exercise=1&title=%00": "title", strings.Repeat("exercise=1&", 201): "1 to 200 pages",
	} {
		if code, text := b.send("POST", "/reader-pages", form); code/100 != 4 || !strings.Contains(html.UnescapeString(text), want) {
			t.Errorf("%.60s: %d, wanted %q:\n%s", form, code, want, text)
		}
	}
}
