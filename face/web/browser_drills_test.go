package web_test

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/internal/browser"
	pdf "secondpass/internal/picture"
	"secondpass/store/sql"
	"secondpass/teach/drill"
)

// practised is a workbook with drills and a student, Ana, who has tried for weeks.
func practised(t testing.TB) *book {
	t.Helper()
	b := practice(t)
	b.student("Ana")
	s, err := sql.Open(b.dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	start := time.Now().Add(-60 * 24 * time.Hour)
	for i := range 12 {
		at := start.Add(time.Duration(i) * 5 * 24 * time.Hour)
		name := fmt.Sprintf("Evening %d", i+1)
		var tries []drill.Try
		for j, step := range []string{"first-right", "first-across", "first-left"} {
			cost := unit.ChanceDifference((i*7+j*5)%6) / 100
			tries = append(tries, drill.Try{Kind: drill.OfExercise, Step: step, About: name + ", route A", Answer: "1b 8c 9d", Right: cost <= drill.Margin,
				Cost: stat.Interval[unit.ChanceDifference]{Value: cost, Low: cost - .01, High: cost + .01, N: 500}, Taken: time.Duration(9+i-j) * time.Second, At: at})
		}
		if err := s.AddExercise("Ana", tries, &drill.Charleston{Exercise: name, Route: "A", SpareBest: 6 - i/3, SparePlan: 4 - i/4, At: at}); err != nil {
			t.Fatal(err)
		}
	}
	return b
}

// be makes the browser practise as a student who is there.
func be(p *browser.Page, b *book, name string) {
	p.Go(b.address + "/practice")
	p.Follow(p.Named(name))
	p.UntilText("h1", "Practice of "+name)
}

func TestPracticeByKeyboard(t *testing.T) {
	t.Parallel()
	b := practice(t)
	p := b.see(browser.Desk, "/practice")
	tabUntil(t, p, "input[name=name]")
	p.Press("M", "i", "a")
	p.PressOn("Enter")
	p.UntilText("h1", "Practice of Mia")
	tabTo(t, p, "Try a new drill")
	p.PressOn("Enter")
	p.UntilText("h1", "do you stop or go on?")
	p.PressOn("2")
	p.UntilText("h1", "That costs 5.0 percentage points")
	p.UntilText(".yours", "yours")
	p.PressOn("n")
	p.UntilText("h1", "do you claim it?")
	p.PressOn("1")
	p.UntilText("h1", "A right answer")
	p.PressOn("n")
	p.UntilText("h1", "which of these do you pass?")
	tabUntil(t, p, "details.closed summary")
	if p.Count("details.closed[open]") != 0 {
		t.Error("the nearest hands are open before the decision")
	}
	p.Press("Enter")
	p.Until("the nearest hands", `document.querySelector("details.closed[open] .hands")?.checkVisibility()`)
	p.PressOn("3")
	p.PressOn("n") // nothing is due any more
	p.UntilText("h1", "Practice of Mia")
	tabTo(t, p, "Read for sections")
	p.PressOn("Enter")
	p.UntilText("h1", "Which sections")
	p.Press("1", "3", "1")
	if n := p.Count("input[name=name]:checked"); n != 1 {
		t.Errorf("three digits leave %d sections chosen, wanted 1", n)
	}
	p.PressOn("Enter")
	p.Until("the marks", `document.querySelector(".marks div") !== null`)
	p.PressOn("n")
	p.UntilText("h1", "Which sections")
	if data := b.dataOf("Mia"); len(data.Tries) != 4 {
		t.Errorf("%d tries are kept, wanted 4", len(data.Tries))
	} else if took := data.Tries[0].Taken; took <= 0 || took > 10*time.Minute {
		t.Errorf("the first answer took %s", took)
	}
	// On a phone a rack in the list, and a hand under a decision, stand on one line; what is tapped on two of about the same length.
	p.As(browser.Phone)
	for _, c := range []struct {
		path, tiles string
		lines       int
	}{
		{"/drills", ".drills .rack .strip", 1}, {"/practice/drills/1", ".closed .hands .strip", 1}, {"/drills/1", ".reason .strip", 1}, {"/practice/drills/1", ".picks", 2},
	} {
		p.Go(b.address + c.path)
		browser.Eval[int](p, `(document.querySelectorAll("details").forEach(d => { d.open = true }), 0)`)
		got := browser.Eval[[]int](p, fmt.Sprintf(`[...document.querySelectorAll(%q)].map(s => new Set([...s.children].map(e => Math.round(e.getBoundingClientRect().top))).size)`, c.tiles))
		if len(got) == 0 || slices.Max(got) != c.lines {
			t.Errorf("%s at 360: %s stand on %v lines, wanted %d", c.path, c.tiles, got, c.lines)
		}
	}
	for _, text := range p.Complaints() {
		t.Errorf("the browser complains: %s", text)
	}
}

// tabUntil walks with Tab to an element.
func tabUntil(t *testing.T, p *browser.Page, css string) {
	t.Helper()
	for range 60 {
		p.Press("Tab")
		if browser.Eval[bool](p, fmt.Sprintf("document.activeElement.matches(%q)", css)) {
			return
		}
	}
	t.Fatalf("Tab never came to %s", css)
}

func TestInstinct(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	p := b.see(browser.Desk, "/practice")
	be(p, b, "Ana")
	p.Click(p.Named("5 s"))
	p.Follow(p.Named("Try a new drill"))
	p.UntilText("#countdown", "left")
	p.UntilText("#countdown", "Time is up")
	p.UntilText("#end", "counts as late")
	p.Reload()
	p.UntilText("#countdown", "Time is up") // a reload gives no more time
	p.DoubleClick(".answers button")
	p.UntilText(".late", "where 5 s was the limit")
	data := b.dataOf("Ana")
	if len(data.Tries) != 1 || !data.Tries[0].Late() || !data.Tries[0].Right {
		t.Errorf("a late answer that was tapped twice is kept as %+v", data.Tries)
	}
	p.PressOn("n")
	p.UntilText("#countdown", "left") // the limit goes along

	// Without script the server's clock counts.
	p = b.see(browser.Look{Plain: true, Still: true}, "/practice")
	be(p, b, "Ana")
	p.Follow(p.Named("Try"))
	p.Follow(".answers button")
	p.UntilText("h1", "right answer")
	if tries := b.dataOf("Ana").Tries; len(tries) != 2 || tries[1].Taken <= 0 {
		t.Errorf("without script the answer is kept as %+v", tries)
	}
}

// A search as a teacher watches it: from a workbook without drills to a printed handout with five of a theme in ten clicks at most.
func TestSearchWatched(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, "/exercises")
	l := &acted{Page: p, t: t}
	l.follow(".sections a[href='/drills']")
	if p.Count(".drills tbody tr") > 0 {
		t.Fatal("there are drills before any was looked for")
	}
	l.clicks += 2 // on the list of themes, and on one of them
	p.Type("#work-find select[name=theme]", "jokers")
	l.clicks += 2 // into the fields
	p.Type("#work-find input[name=count]", "5")
	p.Type("#work-find input[name=seed]", "1")
	l.follow(p.Named("Search"))
	p.UntilText("#live-find", "5 of 5 found")
	l.follow(p.Named("Show the list"))
	p.UntilText("h2", "5 drills for Lantern")
	if racks := p.Count(".drills tbody .rack"); racks != 5 || p.Count(`.drills tbody .rack:not(:has([aria-label="joker"]))`) > 0 {
		t.Errorf("the list shows %d racks, or one without a joker", racks)
	}
	l.follow(p.Named("Put in"))
	p.UntilText("h1", "Drills: jokers")
	if l.clicks++; l.clicks > 10 { // the handout's link, which opens a PDF
		t.Errorf("from nothing to a handout it took %d clicks, wanted 10 at most", l.clicks)
	}
	_, handout := b.get(browser.Eval[string](p, `document.querySelector('a[href*="/handout.pdf"]').getAttribute("href")`))
	if text := pdf.Poppler(t, "pdftotext", "-layout", pdf.PDFFile(t, []byte(handout)), "-"); strings.Count(text, "Why?") != 5 || !strings.Contains(text, "5 of 5") {
		t.Errorf("the handout asks something else than five questions: %s", text)
	}
	inOrder(t, p)
	aClassOn(t, b, p)
	for _, text := range p.Complaints() {
		t.Errorf("the browser complains: %s", text)
	}
}

// inOrder moves an item of the lesson by the arrow keys, and types; both are kept without a button.
func inOrder(t *testing.T, p *browser.Page) {
	t.Helper()
	places := `[...document.querySelectorAll("#order .cap")].map(c => c.innerText)`
	before := browser.Eval[[]string](p, places)
	tabUntil(t, p, "#item-1 [data-handle]")
	p.Press("Down")
	p.UntilText("#kept", "All is kept.")
	p.Type("#item-2 textarea", "Look at the pairs.")
	p.UntilText("#kept", "Not kept yet.")
	p.UntilText("#kept", "All is kept.")
	p.Reload()
	after := browser.Eval[[]string](p, places)
	if len(after) != len(before) || after[0] != before[1] || after[1] != before[0] || browser.Eval[string](p, `document.querySelector("#item-2 textarea").value`) != "Look at the pairs." {
		t.Errorf("after a move and a note the lesson is %q, was %q", after, before)
	}
	judge(t, p, "lesson")
	p.As(browser.Phone)
	if lines := browser.Eval[[]int](p, `[...document.querySelectorAll("#order .strip")].map(s => new Set([...s.children].map(e => Math.round(e.getBoundingClientRect().top))).size)`); len(lines) == 0 || slices.Max(lines) != 1 {
		t.Errorf("racks of a lesson stand on %v lines of a phone, wanted 1", lines)
	}
	p.As(browser.Desk)
	p.Reload()
	p.Drag("#item-1 [data-handle]", "#item-2")
	p.UntilText("#kept", "All is kept.")
	p.Reload()
	if dragged := browser.Eval[[]string](p, places); dragged[0] != before[0] || dragged[1] != before[1] || browser.Eval[string](p, `document.querySelector("#item-1 textarea").value`) != "Look at the pairs." {
		t.Errorf("dragged down, the first item leaves the lesson as %q, was %q", dragged, before)
	}
}

// aClassOn opens a class on the lesson of drills that the browser shows, and goes through its first votes with one phone.
func aClassOn(t *testing.T, b *book, desk *browser.Page) {
	t.Helper()
	desk.Follow(desk.Named("Open a class on this lesson"))
	desk.UntilText("#connection", "Connected")
	phone := b.see(browser.Phone, "/join/"+desk.Text(".bigcode"))
	phone.Type("#name", "Plum")
	phone.Follow(phone.Named("Join the class"))
	for n := range 4 {
		desk.Click(".next .first")
		phone.Until("the question", fmt.Sprintf(`document.querySelector("[data-ask]") && document.querySelectorAll("#screen .seg input, #screen .rack input").length > 0 && %d >= 0`, n))
		heading := phone.Text("h1")
		if phone.Count(".rack input") > 0 {
			tap(phone, 1, 2, 3)
		} else {
			phone.Click(".seg label")
		}
		phone.UntilText("#state", "kept.")
		desk.UntilText(".count-line", "1 of 1")
		if wide := phone.Sideways(); len(wide) > 0 {
			t.Errorf("%q runs out sideways: %v", heading, wide)
		}
		if barriers := phone.Barriers(); len(barriers) > 0 {
			t.Errorf("%q on a phone: %v", heading, barriers)
		}
		picture(phone, fmt.Sprintf("class-lesson-phone-%d", n+1))
		desk.Click(desk.Named("Close the vote"))
		phone.UntilText("h1", "The vote is closed")
		desk.UntilText(".groups", "Plum")
	}
	desk.Click(desk.Named("Open the advice"))
	desk.UntilText(".groups", "Against the best")
	picture(desk, "class-lesson-desk")
	if barriers := desk.Barriers(); len(barriers) > 0 {
		t.Errorf("a class on a lesson: %v", barriers)
	}
}

func TestDrillPages(t *testing.T) {
	t.Parallel()
	b := practised(t)
	tried := map[int]string{} // by drill
	for i := 1; i <= 3; i++ {
		f := b.showing(fmt.Sprintf("/practice/drills/%d", i))
		f.Set("choice", "2")
		tried[i] = b.post(fmt.Sprintf("/practice/drills/%d", i), f)
	}
	_, page := b.get("/practice/reading?seed=5")
	read := b.post("/practice/reading", url.Values{"shown": {first(shownField, page)}, "seed": {"5"}, "name": {"Runs", "Twos"}})
	all := []screen{{"drills", "/drills"}, {"drill-pass", "/drills/1"}, {"drill-play", "/drills/3"}, {"drill-own", "/drills/new"}, {"drill-other", "/drills/new?drill=3"}, {"practice", "/practice"}, {"try-pass", "/practice/drills/1?limit=20"},
		{"try-vote", "/practice/drills/2"}, {"try-play", "/practice/drills/3"}, {"tried-play", tried[3]}, {"tried-pass", tried[1]}, {"reading", "/practice/reading?seed=5&limit=10"},
		{"reading-hands", "/practice/reading?seed=5&ask=hands"}, {"read", read}, {"students", "/students"}, {"progress", "/students/Ana"}, {"record", "/exercises/1/routes/A/record"}}
	p := b.see(browser.Desk, "/practice")
	judge(t, p, "who")
	be(p, b, "Ana")
	for _, s := range all {
		p.Go(b.address + s.path)
		if strings.HasPrefix(p.Text("h1"), "Not done") {
			t.Errorf("%s shows nothing: %s", s.name, p.Text("main"))
		}
		judge(t, p, s.name)
	}
	for _, text := range p.Complaints() {
		t.Errorf("the browser complains: %s", text)
	}
}
