package web_test

import (
	"bufio"
	"bytes"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"slices"
	"strings"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
)

// keyed gives a drill a made-up key in which the first answer is right and the others cost 5 points: what the pages do with
// a key does not depend on how it came about.
func keyed(c *card.Card, k drill.Kind, p drill.Position, rating float64, choices ...drill.Choice) *drill.Drill {
	d := &drill.Drill{Kind: k, Position: p, Choices: choices, Rating: drill.Rating{Value: rating, Deviation: 100, Volatility: 0.06}}
	d.Key = drill.Key{Version: drill.KeyVersion, Card: c.Name, Fingerprint: player.Fingerprint(c), Players: "strong", Seed: 1, Games: 4}
	for i := range choices {
		a := drill.Answer{Right: i == 0, Chance: stat.Interval[unit.Chance]{Value: .30, Low: .28, High: .32, N: 400}, Cost: stat.Interval[unit.ChanceDifference]{N: 400}}
		if i > 0 {
			a.Chance, a.Cost = stat.Interval[unit.Chance]{Value: .25, Low: .23, High: .27, N: 400}, stat.Interval[unit.ChanceDifference]{Value: .05, Low: .03, High: .07, N: 400}
		}
		d.Key.Answers = append(d.Key.Answers, a)
	}
	return d
}

// someDrills are a pass, a vote and a claim of the practice card, of different difficulty.
func someDrills(t testing.TB) (*card.Card, []*drill.Drill) {
	t.Helper()
	c := card.Practice()
	lots := sim.Stream(3, 0, "lots")
	racks, wall := table.Deal(c.Set, sim.Stream(3, 0, "deal"))
	state, err := charleston.Start(racks, house.Usual.Passing, c.Set)
	if err != nil {
		t.Fatal(err)
	}
	legal := state.Legal(charleston.South)
	var drills []*drill.Drill
	for _, right := range legal { // one that may be offered
		d := keyed(c, drill.Tempting, drill.Position{Seat: charleston.South, View: state.View(charleston.South)}, 1900,
			drill.Choice{Action: right}, drill.Choice{Action: legal[len(legal)/2]}, drill.Choice{Action: legal[len(legal)-1]})
		if told(t, c, d) {
			drills = append(drills, d)
			break
		}
	}
	for state.Phase() != charleston.Voting {
		for seat := range charleston.Seat(charleston.Seats) {
			if state.Waits(seat) {
				if err := state.Apply(state.Legal(seat)[0], lots); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	vote := charleston.Action{Seat: charleston.South, Kind: charleston.Vote}
	stop := vote
	stop.Stop = true
	drills = append(drills, keyed(c, drill.Stopping, drill.Position{Seat: charleston.South, View: state.View(charleston.South)}, 1520,
		drill.Choice{Action: vote}, drill.Choice{Action: stop}))
	return c, append(drills, aClaim(t, c, racks, wall))
}

// told says whether what can be seen tells a drill's made-up key.
func told(t testing.TB, c *card.Card, d *drill.Drill) bool {
	t.Helper()
	told, err := d.Told(c)
	if err != nil {
		t.Fatal(err)
	}
	return told
}

// aClaim is a drill in play: the first discard that somebody may claim for a group, where letting it go looks better.
func aClaim(t testing.TB, c *card.Card, racks [charleston.Seats]tile.Rack, wall []tile.Kind) *drill.Drill {
	t.Helper()
	rec := table.Record{Game: table.NewGame(c, house.Usual), Racks: racks, Wall: wall}
	state, err := rec.Game.Start(racks, wall)
	if err != nil {
		t.Fatal(err)
	}
	do := func(a table.Action) {
		if err := state.Apply(a); err != nil {
			t.Fatal(err)
		}
		rec.Actions = append(rec.Actions, a)
	}
	of := func(seat charleston.Seat, k table.ActionKind) (table.Action, bool) {
		all := state.View(seat).Legal()
		i := slices.IndexFunc(all, func(a table.Action) bool { return a.Kind == k })
		if i < 0 {
			return table.Action{}, false
		}
		return all[i], true
	}
	for state.Phase() != table.Over {
		if state.Phase() == table.Discarding {
			a, _ := of(state.Turn(), table.Discard)
			do(a)
			continue
		}
		turn := state.Turn()
		for seat := charleston.Right.To(turn); seat != turn; seat = charleston.Right.To(seat) {
			if !state.Waits(seat) {
				continue
			}
			decline, _ := of(seat, table.Decline)
			if claim, ok := of(seat, table.Expose); ok {
				text, err := rec.Text()
				if err != nil {
					t.Fatal(err)
				}
				if d := keyed(c, drill.Refusing, drill.Position{Seat: seat, Record: text}, 1100, drill.Choice{Play: decline}, drill.Choice{Play: claim}); told(t, c, d) {
					return d
				}
			}
			do(decline)
		}
	}
	t.Fatal("nobody can claim anything in this deal")
	return nil
}

// drillFile is drills as a form brings them.
func drillFile(t testing.TB, c *card.Card, drills []*drill.Drill) (body, kind string) {
	t.Helper()
	var file, form bytes.Buffer
	if err := drill.Write(&file, c, drills); err != nil {
		t.Fatal(err)
	}
	w := multipart.NewWriter(&form)
	f, err := w.CreateFormFile("file", "drills.json")
	if err != nil {
		t.Fatal(err)
	}
	f.Write(file.Bytes())
	w.Close()
	return form.String(), w.FormDataContentType()
}

// practice is a workbook with three drills, numbers 1 to 3, and a browser of its own.
func practice(t testing.TB) *book {
	t.Helper()
	b := open(t)
	c, drills := someDrills(t)
	body, kind := drillFile(t, c, drills)
	if code, text := b.send("POST", "/drills/import", body, "Content-Type", kind); code != 200 || !strings.Contains(text, "3 drills imported.") {
		t.Fatalf("import: %d %s", code, shorten(text))
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	b.client.Jar = jar
	return b
}

func TestWrongDrillAddresses(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.student("Ana")
	for path, want := range map[string]int{
		"/drills/99": 404, "/drills/x": 404, "/drills/-1": 404, "/drills?card=nothing": 404, "/drills?kind=nothing": 404, "/drills/file?card=nothing": 404,
		"/drills/live?what=find": 404, "/drills/live?what=x": 404, "/practice/drills/99": 404, "/practice/drills/x": 404, "/practice/tries/99": 404,
		"/practice/tries/x": 404, "/practice/drills/1?limit=7": 422, "/practice/drills/1?limit=x": 422, "/practice/next?limit=-5": 422, "/practice/next?card=x": 404,
		"/practice/reading?seed=x": 422, "/practice/reading?seed=1&card=x": 404, "/students/Nobody": 404, "/students/Nobody/file": 404,
		"/exercises/1/routes/A/record?student=Nobody": 404, "/exercises/1/routes/Z/record": 404, "/exercises/1/routes/A/record/live?student=Ana": 404,
	} {
		if code, text := b.get(path); code != want {
			t.Errorf("GET %s: %d, wanted %d: %s", path, code, want, shorten(text))
		}
	}
	for _, c := range []struct {
		path, form string
		want       int
	}{
		{"/practice/drills/99", "choice=1", 404}, {"/practice/drills/1", "choice=9&shown=1", 422}, {"/practice/drills/1", "choice=x&shown=1", 422},
		{"/practice/drills/1", "choice=1", 422}, {"/practice/drills/1", "choice=1&shown=x", 422}, {"/practice/drills/1", "choice=1&shown=1&taken=-4", 422},
		{"/practice", "name=Nobody", 404}, {"/students/Nobody/delete", "", 404}, {"/drills/delete", "", 422}, {"/drills/delete", "drill=99", 404},
		{"/drills/find", "count=0", 422}, {"/drills/find", "kind=nothing", 422}, {"/drills/find", "seed=x", 422}, {"/drills/find", "card=x", 404},
		{"/drills/key", "times=0", 422}, {"/drills/key", "seed=1", 422}, {"/drills/renew", "", 422}, {"/drills/renew", "to=x", 404},
		{"/exercises/1/routes/A/record", "student=Nobody", 404}, {"/exercises/1/routes/Z/record", "student=Ana", 404}, {"/drills/import", "", 422},
		{"/lessons/add", "drill=99&title=A+lesson", 404},
	} {
		if code, text := b.send("POST", c.path, c.form); code != c.want {
			t.Errorf("POST %s %s: %d, wanted %d: %s", c.path, c.form, code, c.want, shorten(text))
		}
	}
	if n := len(b.dataOf("Ana").Tries); n != 0 {
		t.Errorf("wrong forms left %d tries", n)
	}
}

func TestDrillFiles(t *testing.T) {
	t.Parallel()
	b := practice(t)
	c, drills := someDrills(t)
	_, text := b.get("/drills/file")
	crd, got, err := drill.ReadFile(strings.NewReader(text))
	if err != nil || len(got) != 3 || player.Fingerprint(crd) != player.Fingerprint(c) {
		t.Fatalf("the export: %d drills, %v", len(got), err)
	}
	for i, d := range got {
		if d.Position != drills[i].Position || len(d.Choices) != len(drills[i].Choices) {
			t.Errorf("drill %d comes out as another", i+1)
		}
	}
	body, kind := drillFile(t, c, drills)
	if _, text := b.send("POST", "/drills/import", body, "Content-Type", kind); !strings.Contains(text, "0 drills imported; 3 were here already.") {
		t.Errorf("imported twice: %s", shorten(text))
	}
	var form bytes.Buffer
	w := multipart.NewWriter(&form)
	f, _ := w.CreateFormFile("file", "odd.json")
	io.WriteString(f, `{"format":"something else"}`)
	w.Close()
	if code, text := b.send("POST", "/drills/import", form.String(), "Content-Type", w.FormDataContentType()); code != 422 || !strings.Contains(text, "odd.json cannot be used") {
		t.Errorf("another file: %d %s", code, shorten(text))
	}
	_, text = b.get("/drills")
	for _, d := range drills {
		if !strings.Contains(text, wording.DrillKind(d.Kind)+` <span class="num">1</span>`) {
			t.Errorf("the list does not count %s", d.Kind)
		}
	}
	lesson := b.post("/lessons/add", url.Values{"drill": {"2"}, "title": {"An evening"}})
	if _, text := b.get(lesson); !strings.Contains(text, "do you stop or go on?") {
		t.Errorf("the lesson lacks the drill: %s", shorten(text))
	}
	gone := b.post("/drills/delete", url.Values{"drill": {"1", "3"}})
	if !strings.Contains(gone, "done=deleted&n=2") {
		t.Errorf("deleting leads to %s", gone)
	}
	if code, _ := b.get("/practice/drills/1"); code != 404 {
		t.Errorf("a deleted drill: %d", code)
	}
	// Undo brings both back, and a second time there is nothing to bring back.
	const undo = "/drills/restore?gone=1&gone=3"
	if _, text := b.get(gone); !strings.Contains(text, `action="/drills/restore?gone=1&amp;gone=3"`) {
		t.Errorf("there is no undo: %s", shorten(text))
	}
	b.post(undo, nil)
	if code, _ := b.get("/practice/drills/1"); code != 200 {
		t.Errorf("a drill that came back: %d", code)
	}
	if code, _ := b.send("POST", undo, ""); code != 404 {
		t.Errorf("what is there comes back: %d", code)
	}
	if code, _ := b.send("POST", "/drills/restore", ""); code != 422 {
		t.Errorf("nothing to bring back: %d", code)
	}
}

// season is the practice card without its last hand: another card.
func season(t testing.TB) (text string, c *card.Card) {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(card.PracticeText), "\n")
	text = strings.Join(lines[:len(lines)-1], "\n")
	c, _, err := card.Read("Season", []byte(text), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	if player.Fingerprint(c) == player.Fingerprint(card.Practice()) {
		t.Fatal("the card without its last hand has the same hands")
	}
	return text, c
}

// Drills outlive the card's file: one that was changed or deleted, or that came with the drills.
func TestDrillsOfACardThatIsNotThere(t *testing.T) {
	t.Parallel()
	b := practice(t)
	_, c := season(t)
	_, drills := someDrills(t)
	id := player.Fingerprint(c)
	drills[0].Key.Fingerprint = id
	if !told(t, c, drills[0]) {
		t.Fatal("the drill cannot be offered on that card; take another")
	}
	body, kind := drillFile(t, c, drills[:1])
	if code, text := b.send("POST", "/drills/import", body, "Content-Type", kind); code != 200 || !strings.Contains(text, ", as it was</h2>") {
		t.Fatalf("import: %d %s", code, shorten(text))
	}
	b.student("Ana")
	if path, _ := b.follow("/practice/next?card=" + id); !strings.HasPrefix(path, "/practice/drills/4?") {
		t.Errorf("the drill of that card does not come: %s", path)
	}
	if _, file := b.get("/drills/file?card=" + id); !strings.Contains(file, id) {
		t.Errorf("the export: %s", shorten(file))
	}
}

// watchWork waits for the end of work that streams, as the browser does, and gives all that came.
func (b *book) watchWork(path string) string {
	b.t.Helper()
	r, err := b.client.Get(b.address + path)
	code, text := b.answer(r, err)
	if code != http.StatusOK || !strings.Contains(text, "event: over") {
		b.t.Fatalf("%s: %d, the stream has no end", path, code)
	}
	return text
}

// watchUntil follows work that streams until what it shows is so.
func (b *book) watchUntil(path string, so func(event string) bool) {
	b.t.Helper()
	r, err := b.client.Get(b.address + path)
	if err != nil {
		b.t.Fatal(err)
	}
	defer r.Body.Close()
	lines := bufio.NewScanner(r.Body)
	lines.Buffer(nil, 1<<20)
	for event := ""; lines.Scan(); event += lines.Text() + "\n" {
		if lines.Text() == "" {
			if so(event) {
				return
			}
			event = ""
		}
	}
	b.t.Fatalf("%s: %d, the stream ends without what was awaited (%v)", path, r.StatusCode, lines.Err())
}

func TestKeysAreMadeAgain(t *testing.T) {
	t.Parallel()
	b := practice(t)
	id := player.Fingerprint(card.Practice())
	b.post("/drills/key", url.Values{"card": {id}, "drill": {"2"}, "times": {"2"}, "seed": {"77"}})
	text := b.watchWork("/drills/live?what=key&card=" + id)
	if !strings.Contains(text, "1 of 1 key made again with 2 times the games, seed 77") {
		t.Errorf("the work says %s", shorten(text))
	}
	_, file := b.get("/drills/file")
	_, drills, err := drill.ReadFile(strings.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	if k := drills[1].Key; k.Seed != 77 || k.Games != 8 || drills[0].Key.Seed != 1 {
		t.Errorf("the keys: %+v and seed %d", k, drills[0].Key.Seed)
	}
}

// A search that is stopped keeps what it has, and says so.
func TestSearchIsStopped(t *testing.T) {
	t.Parallel()
	b := practice(t)
	id := player.Fingerprint(card.Practice())
	b.post("/drills/find", url.Values{"card": {id}, "count": {"50"}, "kind": {"plans"}, "seed": {"4"}})
	if _, text := b.get("/drills"); !strings.Contains(text, `hx-sse:connect="/drills/live?what=find`) {
		t.Errorf("the page does not watch the search: %s", shorten(text))
	}
	b.post("/drills/find", url.Values{"card": {id}, "act": {"stop"}})
	text := b.watchWork("/drills/live?what=find&card=" + id)
	if !strings.Contains(text, "Stopped.") || !strings.Contains(text, "of 50 found") || !strings.Contains(text, "seed 4") {
		t.Errorf("the search says %s", shorten(text))
	}
}

// The real thing: a drill is found in the search, kept with its key, and a second search with the seed goes on behind
// it.
func TestSearchFindsAndKeeps(t *testing.T) {
	t.Parallel()
	b := practice(t)
	id := player.Fingerprint(card.Practice())
	for range 2 {
		b.post("/drills/find", url.Values{"card": {id}, "count": {"1"}, "kind": {"stop", "courtesy"}, "seed": {"5"}})
		if text := b.watchWork("/drills/live?what=find&card=" + id); !strings.Contains(text, "1 of 1 found") {
			t.Fatalf("the search says %s", shorten(text))
		}
	}
	_, file := b.get("/drills/file")
	_, drills, err := drill.ReadFile(strings.NewReader(file))
	if err != nil || len(drills) != 5 {
		t.Fatalf("%d drills, %v", len(drills), err)
	}
	for _, d := range drills[3:] {
		if err := d.Key.Check(); err != nil || d.Key.Games < 256 || d.Origin.Seed != 5 {
			t.Errorf("found: %+v %v", d.Key, err)
		}
	}
	if drills[3].Origin.Deal >= drills[4].Origin.Deal {
		t.Errorf("the second search is in deal %d, the first was in %d", drills[4].Origin.Deal, drills[3].Origin.Deal)
	}
}

// A new season's card: what is judged, what is kept as a drill of that card, and what is named.
func TestRenewForAnotherCard(t *testing.T) {
	t.Parallel()
	b := practice(t)
	b.post("/drills/delete", url.Values{"drill": {"1", "3"}})
	cardText, other := season(t)
	b.post("/cards", url.Values{"name": {"Season"}, "text": {cardText}})
	from, to := player.Fingerprint(card.Practice()), player.Fingerprint(other)
	b.post("/drills/renew", url.Values{"card": {from}, "to": {to}, "seed": {"6"}})
	text := b.watchWork("/drills/live?what=renew&card=" + from)
	if !strings.Contains(text, "1 of 1 drill judged for the card Season, seed 6") {
		t.Errorf("the work says %s", shorten(text))
	}
	_, page := b.get("/drills?card=" + to)
	kept, named := strings.Contains(page, "1 drill for Season"), strings.Contains(text, "teaches nothing on the card Season")
	if kept == named {
		t.Errorf("kept %v and named as lost %v", kept, named)
	}
	if code, _ := b.get("/practice/drills/2"); code != 200 {
		t.Error("the old drill is gone")
	}
}
