package web_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/teach/drill"
)

var (
	shownField  = regexp.MustCompile(`name="shown" value="(\d+)"`)
	seedField   = regexp.MustCompile(`name="seed" value="(\d+)"`)
	choiceField = regexp.MustCompile(`name="choice" value="(\d)"`)
)

// student begins practising under a name.
func (b *book) student(name string) {
	b.t.Helper()
	if got := b.post("/practice", url.Values{"act": {"add"}, "name": {name}}); got != "/practice" {
		b.t.Fatalf("a new student: %s", got)
	}
}

// follow is where a GET ends up.
func (b *book) follow(path string) (string, string) {
	b.t.Helper()
	r, err := b.client.Get(b.address + path)
	code, text := b.answer(r, err)
	if code != 200 {
		b.t.Fatalf("GET %s: %d %s", path, code, shorten(text))
	}
	return r.Request.URL.RequestURI(), text
}

// showing opens a drill and gives the form as it came.
func (b *book) showing(path string) url.Values {
	b.t.Helper()
	_, text := b.get(path)
	shown := first(shownField, text)
	if shown == "" {
		b.t.Fatalf("%s shows no drill: %s", path, shorten(text))
	}
	return url.Values{"shown": {shown}}
}

// answerDrill answers and gives the page that comes of it.
func (b *book) answerDrill(id int, f url.Values, choice string) string {
	b.t.Helper()
	f.Set("choice", choice)
	_, text := b.follow(b.post(fmt.Sprintf("/practice/drills/%d", id), f))
	return text
}

// dataOf is what the workbook keeps of a student, as it hands it out.
func (b *book) dataOf(name string) store.StudentData {
	b.t.Helper()
	code, text := b.get("/students/" + url.PathEscape(name) + "/file")
	var d store.StudentData
	if err := json.Unmarshal([]byte(text), &d); err != nil || code != 200 {
		b.t.Fatalf("the data of %s: %d %v", name, code, err)
	}
	return d
}

// Any three tiles are an answer: judged by the games of the key, told why, kept once; what is no pass is refused on its page.
func TestAnyThreeTiles(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	_, drills := someDrills(t)
	d := drills[0]
	f := b.showing("/practice/drills/1")
	two := url.Values{"shown": f["shown"], "choice": {"free"}, "own": {"1b", "2b"}}
	if code, text := b.send("POST", "/practice/drills/1", two.Encode(), "Content-Type", "application/x-www-form-urlencoded"); code != 422 || !strings.Contains(text, "three go") {
		t.Errorf("two tiles: %d %s", code, shorten(text))
	}
	var free drill.Choice
	for _, c := range d.AllPasses() {
		if _, err := d.Choose(c.String()); err != nil {
			free = c
			break
		}
	}
	for _, k := range free.Action.Own.Tiles() {
		f.Add("own", k.String())
	}
	text := b.answerDrill(1, f, "free")
	if strings.Count(text, `class="yours"`) != 1 || !strings.Contains(text, "percentage points") || !strings.Contains(text, `class="freed"`) {
		t.Errorf("a free answer: %s", shorten(text))
	}
	if tries := b.dataOf("Ana").Tries; len(tries) != 1 || tries[0].Answer != free.String() || tries[0].Cost.N != d.Key.Games {
		t.Errorf("kept as %+v", tries)
	}
	// Three that are among the choices have the answer of the key.
	f = b.showing("/practice/drills/1")
	for _, k := range d.Choices[1].Action.Own.Tiles() {
		f.Add("own", k.String())
	}
	b.answerDrill(1, f, "free")
	if tries := b.dataOf("Ana").Tries; len(tries) != 2 || tries[1].Cost != d.Key.Answers[1].Cost {
		t.Errorf("kept as %+v", tries)
	}
}

func TestAnswersRightWrongLate(t *testing.T) {
	t.Parallel()
	b := practice(t)
	if path, _ := b.follow("/practice/drills/1"); path != "/practice" {
		t.Errorf("nobody practises, and a drill is shown at %s", path)
	}
	b.student("Ana")

	text := b.answerDrill(1, b.showing("/practice/drills/1"), "1")
	if first(headField, text) != "A right answer" || !strings.Contains(text, "before this one it was 5.0, now ") || strings.Count(text, `class="yours"`) != 1 {
		t.Errorf("a right answer: %s", shorten(text))
	}

	c, drills := someDrills(t)
	text = b.answerDrill(2, b.showing("/practice/drills/2"), "2")
	if first(headField, text) != "That costs 5.0 percentage points (3.0 to 7.0)" {
		t.Errorf("a wrong answer: %s", shorten(text))
	}
	reasons, err := drills[1].Reasons(c)
	if err != nil {
		t.Fatal(err)
	}
	for i := range reasons {
		if why := wording.DrillReason(&reasons[i]).Text(); !strings.Contains(strings.ToLower(text), strings.ToLower(why)) {
			t.Errorf("the reason %q is not given", why)
		}
	}
	for _, want := range []string{"4 short games", "seed 1", "−5.0", "−7.0 to −3.0", "comes again in 10 minutes"} {
		if !strings.Contains(text, want) {
			t.Errorf("the answer lacks %q", want)
		}
	}

	// A minute after it was shown, whatever the browser says: late, and kept.
	f := b.showing("/practice/drills/3?limit=10")
	ms, _ := strconv.ParseInt(f.Get("shown"), 10, 64)
	f.Set("shown", fmt.Sprint(ms-60_000))
	f.Set("taken", "10")
	f.Set("limit", "10")
	if text = b.answerDrill(3, f, "1"); !strings.Contains(text, "where 10 s was the limit") {
		t.Errorf("a late answer: %s", shorten(text))
	}
	data := b.dataOf("Ana")
	if len(data.Tries) != 3 || len(data.Memories) != 3 {
		t.Fatalf("%d tries, %d memories", len(data.Tries), len(data.Memories))
	}
	late := data.Tries[2]
	if !late.Right || !late.Late() || late.Known() || late.Taken < 56*time.Second || late.Taken > 5*time.Minute {
		t.Errorf("the late answer is kept as %+v", late)
	}
	// And a browser that says an hour is not believed either.
	f = b.showing("/practice/drills/3")
	f.Set("taken", "9223372036854775807")
	b.answerDrill(3, f, "2")
	if got := b.dataOf("Ana").Tries[3].Taken; got > 10*time.Minute {
		t.Errorf("the server believes %s", got)
	}
	_, text = b.get("/students/Ana")
	for _, want := range []string{"4 answers", "Decisions", "too few yet to look for a change", "late"} {
		if !strings.Contains(text, want) {
			t.Errorf("the progress lacks %q", want)
		}
	}
}

// A reload is no second showing: the time goes on.
func TestReloadKeepsTheTime(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	f := b.showing("/practice/drills/1?limit=5")
	shown, err := strconv.ParseInt(f.Get("shown"), 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	<-time.After(time.Until(time.UnixMilli(shown + 1))) // a time that began anew would be another one
	if again := b.showing("/practice/drills/1?limit=5"); again.Get("shown") != f.Get("shown") {
		t.Error("a reload begins the time anew")
	}
	b.answerDrill(1, f, "1")
	if after := b.showing("/practice/drills/1?limit=5"); after.Get("shown") == f.Get("shown") {
		t.Error("after the answer the old time goes on")
	}
}

// A page in practice gives nothing away: not the kind, not the answers, and no tile that the seat has not seen.
func TestPracticeGivesNothingAway(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	_, drills := someDrills(t)
	for i, d := range drills {
		code, text := b.get(fmt.Sprintf("/practice/drills/%d", i+1))
		if code != 200 || !strings.Contains(text, wording.DrillQuestion(d)) || len(choiceField.FindAllString(text, -1)) != len(d.Choices) {
			t.Errorf("drill %d: %d %s", i+1, code, shorten(text))
		}
		for _, bad := range []string{wording.DrillKind(d.Kind), "best found", "percentage points", "wall  "} {
			if strings.Contains(text, bad) && !strings.Contains(wording.DrillQuestion(d), bad) {
				t.Errorf("drill %d gives away %q", i+1, bad)
			}
		}
		if near := strings.Index(text, `<details class="closed">`); near < 0 {
			t.Errorf("drill %d: the nearest hands are not closed", i+1)
		}
		if d.Position.InPlay() {
			if n := strings.Count(text, "tiles concealed"); n != 4 {
				t.Errorf("in play: %d seats", n)
			}
			if strings.Contains(text, "Concealed tiles of") {
				t.Error("in play the page shows hidden racks")
			}
		}
	}
}

// Nobody practises as somebody else by writing a name where the browser's token stands.
func TestNameIsNoToken(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	if _, text := b.get("/practice"); !strings.Contains(text, "Practice of Ana") {
		t.Fatal(shorten(text))
	}
	at, err := url.Parse(b.address)
	if err != nil {
		t.Fatal(err)
	}
	b.client.Jar.SetCookies(at, []*http.Cookie{{Name: "practice", Value: "Ana", Path: "/"}})
	if _, text := b.get("/practice"); !strings.Contains(text, "Who practises?") {
		t.Errorf("the name alone is taken for Ana: %s", shorten(text))
	}
}

func TestQueueOrder(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	next := func() string {
		path, _ := b.follow("/practice/next?limit=0&card=")
		path, _, _ = strings.Cut(path, "?")
		return path
	}
	// Ratings 1900, 1520 and 1100: the one closest to a new student's 1500 comes first.
	if got := next(); got != "/practice/drills/2" {
		t.Errorf("first comes %s", got)
	}
	b.answerDrill(2, b.showing("/practice/drills/2"), "2")
	if got := next(); got != "/practice/drills/3" {
		t.Errorf("after a loss comes %s, wanted the easier one", got)
	}
	b.answerDrill(3, b.showing("/practice/drills/3"), "1")
	if got := next(); got != "/practice/drills/1" {
		t.Errorf("then comes %s", got)
	}
	b.answerDrill(1, b.showing("/practice/drills/1"), "1")
	if got := next(); got != "/practice" {
		t.Errorf("nothing is due, and %s comes", got)
	}
	if _, text := b.get("/practice"); !strings.Contains(text, `<b class="num">0</b> due`) || !strings.Contains(text, "The next is due in 10 minutes") {
		t.Errorf("the practice page: %s", shorten(text))
	}
}

// Two taps on the answer, at once and one after the other, and with another answer: one try.
func TestSecondTapCountsOnce(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	f := b.showing("/practice/drills/1")
	var wg sync.WaitGroup
	for range 6 {
		wg.Go(func() {
			g := url.Values{"shown": f["shown"], "choice": {"1"}}
			r, err := b.client.PostForm(b.address+"/practice/drills/1", g)
			if err != nil {
				t.Error(err)
				return
			}
			r.Body.Close()
		})
	}
	wg.Wait()
	text := b.answerDrill(1, f, "2")
	if !strings.Contains(text, "the first answer counts") || first(headField, text) != "A right answer" {
		t.Errorf("the last tap: %s", shorten(text))
	}
	data := b.dataOf("Ana")
	if len(data.Tries) != 1 || data.Memories[1].Tries != 1 {
		t.Errorf("%d tries, %d in the memory", len(data.Tries), data.Memories[1].Tries)
	}
	seed := "/practice/reading?seed=5"
	_, page := b.get(seed)
	form := url.Values{"shown": {first(shownField, page)}, "seed": {"5"}, "name": {card.Practice().Sections[0]}}
	for range 2 {
		b.post("/practice/reading", form)
	}
	if n := len(b.dataOf("Ana").Tries); n != 2 {
		t.Errorf("a reading sent twice: %d tries in all, wanted 2", n)
	}
}

func TestReading(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	path, _ := b.follow("/practice/reading?limit=20")
	_, page := b.get(path)
	seed := first(seedField, page)
	if seed == "" || !strings.Contains(path, "seed="+seed) {
		t.Fatalf("a reading without a seed: %s", path)
	}
	c := card.Practice()
	f := url.Values{"shown": {first(shownField, page)}, "seed": {seed}, "limit": {"20"}, "name": c.Sections}
	_, text := b.follow(b.post("/practice/reading", f))
	if !strings.Contains(text, "Named and right") || !strings.Contains(text, "Named and not right") || strings.Contains(text, "not named") {
		t.Errorf("all sections named: %s", shorten(text))
	}
	try := b.dataOf("Ana").Tries[0]
	if try.Kind != drill.OfReading || try.Right || try.Limit != 20*time.Second || try.Drill != 0 {
		t.Errorf("kept as %+v", try)
	}
	f.Del("name")
	if code, text := b.send("POST", "/practice/reading", f.Encode()); code != 422 || !strings.Contains(text, "Choose at least one") {
		t.Errorf("nothing named: %d %s", code, shorten(text))
	}
	f["name"] = []string{"Nonsense"}
	if code, _ := b.send("POST", "/practice/reading", f.Encode()); code != 422 {
		t.Errorf("a section that is not on the card: %d", code)
	}
	_, page = b.get("/practice/reading?ask=hands&seed=9")
	f = url.Values{"shown": {first(shownField, page)}, "seed": {"9"}, "ask": {"hands"}, "name": {c.Hands[0].Name}}
	if _, text := b.follow(b.post("/practice/reading", f)); !strings.Contains(text, c.Hands[0].Name) || !strings.Contains(text, "ask=hands") {
		t.Errorf("reading for hands: %s", shorten(text))
	}
}

func TestStudentsDataAndDelete(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ben")
	b.answerDrill(1, b.showing("/practice/drills/1"), "1")
	b.student("Ana")
	b.answerDrill(1, b.showing("/practice/drills/1"), "2")
	if code, text := b.send("POST", "/practice", "act=add&name=ana"); code != 422 || !strings.Contains(text, "here already") {
		t.Errorf("the same name again: %d", code)
	}
	for _, bad := range []string{"", ".", "..", "...", strings.Repeat("x", 300)} {
		if code, _ := b.send("POST", "/practice", url.Values{"act": {"add"}, "name": {bad}}.Encode()); code != 422 {
			t.Errorf("the name %.10q: %d, wanted 422", bad, code)
		}
	}
	if _, text := b.get("/students/Ana"); !strings.Contains(text, "1 answer, 0 Charlestons, and when 1 drill is due") {
		t.Errorf("what would go is not said: %s", shorten(text))
	}
	if got := b.post("/students/Ana/delete", nil); got != "/students?deleted=Ana" {
		t.Errorf("deleting leads to %s", got)
	}
	for _, path := range []string{"/students/Ana", "/students/Ana/file"} {
		if code, _ := b.get(path); code != 404 {
			t.Errorf("%s after the deletion: %d", path, code)
		}
	}
	if path, text := b.follow("/practice/next"); path != "/practice" || !strings.Contains(text, "Who practises?") {
		t.Errorf("the browser of a deleted student goes on at %s", path)
	}
	if d := b.dataOf("Ben"); len(d.Tries) != 1 {
		t.Errorf("Ben has %d tries after Ana went", len(d.Tries))
	}
	if code, _ := b.get("/drills/1"); code != 200 {
		t.Error("a drill went with the student")
	}
}

// Names are text everywhere, never markup.
func TestNamesAreEscaped(t *testing.T) {
	t.Parallel()
	b := practice(t)
	name := `<script>alert(1)</script> "x" & y/z`
	b.student(name)
	b.answerDrill(1, b.showing("/practice/drills/1"), "1")
	for _, path := range []string{"/practice", "/practice/drills/1", "/students", "/students/" + url.PathEscape(name), "/exercises/1/routes/A/record",
		"/students?deleted=" + url.QueryEscape(name), "/drills?card=" + url.QueryEscape(name), "/practice/reading?seed=1&card=" + url.QueryEscape(name)} {
		_, text := b.get(path)
		if strings.Contains(text, "<script>alert") {
			t.Errorf("%s: the name is markup", path)
		}
		if strings.HasPrefix(path, "/students") && !strings.Contains(text, "&lt;script&gt;alert(1)&lt;/script&gt;") {
			t.Errorf("%s does not show the name: %s", path, shorten(text))
		}
	}
	b.post("/students/"+url.PathEscape(name)+"/delete", nil)
}

func TestRecordForAStudent(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	step := b.deal("seed", "21") // at the usual table, whose games come with the program
	if code, text := b.send("POST", step+"/record", "student=Ana"); code != 422 || !strings.Contains(text, "not over") {
		t.Errorf("a route that is not over: %d", code)
	}
	b.walkTo(step, "Stop here")
	_, vote := b.get(step)
	b.post(step+"/decide", url.Values{"at": {first(atField, vote)}, "stop": {"yes"}})
	b.walkTo(step, "The passing is over")
	for range 2 { // the second replaces the first
		b.post(step+"/record", url.Values{"student": {"Ana"}})
		if text := b.watchWork(step + "/record/live?student=Ana"); !strings.Contains(text, "6 decisions and how the Charleston ended are kept for Ana.") {
			t.Fatalf("recording says %s", shorten(text))
		}
	}
	data := b.dataOf("Ana")
	if len(data.Tries) != 6 || len(data.Charlestons) != 1 {
		t.Errorf("%d tries, %d Charlestons", len(data.Tries), len(data.Charlestons))
	}
	if _, text := b.get("/students/Ana"); !strings.Contains(text, "Of 1 whole exercise that was recorded.") {
		t.Errorf("the progress: %s", shorten(text))
	}
	if _, text := b.get(step + "/review"); !strings.Contains(text, step+"/record") {
		t.Error("the review has no way to record it")
	}
}
