package web_test

import (
	"cmp"
	"context"
	database "database/sql"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"secondpass/face/web"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// hall is a workbook with phones let in and a class on the sample exercise.
type hall struct {
	*book // the teacher's browser, which holds the key
	door  string
	code  string
	class string // the path of its screen; "" for the first class
}

var codeField = regexp.MustCompile(`class="bigcode">([A-Z0-9]{5})<`)

// openHall serves a data folder with a class in the mode; stop ends the server.
func openHall(t testing.TB, dir, mode string) (h *hall, stop func()) {
	t.Helper()
	b, door, stop := serveWithDoor(t, dir)
	h = &hall{book: b, door: door}
	b.client.Jar, _ = cookiejar.New(nil)
	path := b.post("/classes", url.Values{"exercise": {"1"}, "mode": {mode}})
	_, text := b.get(path)
	if h.code = first(codeField, text); h.code == "" {
		t.Fatalf("no code on %s: %s", path, shorten(text))
	}
	return h, stop
}

func serveWithDoor(t testing.TB, dir string) (b *book, door string, stop func()) {
	t.Helper()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	w, err := web.New(s, files.In(dir, nil), dir, slog.New(slog.NewTextHandler(t.Output(), &slog.HandlerOptions{Level: slog.LevelError})))
	if err == nil {
		err = w.FirstStart()
	}
	if err == nil {
		err = w.Classes.OpenDoor("127.0.0.1:0")
	}
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan error, 1)
	door = "http://" + w.Classes.DoorAddresses()[0]
	go func() { over <- w.Serve(ctx, l) }()
	ended := false
	stop = func() {
		if ended {
			return
		}
		ended = true
		cancel()
		if err := <-over; err != nil && !errors.Is(err, http.ErrServerClosed) {
			t.Errorf("the server ended with %v", err)
		}
		s.Close()
	}
	t.Cleanup(stop)
	return at(t, dir, "http://"+l.Addr().String()), door, stop
}

// phone is a student's browser, at the door.
func (h *hall) phone() *book {
	p := at(h.t, h.dir, h.door)
	p.client.Jar, _ = cookiejar.New(nil)
	return p
}

// join lets a student in.
func (h *hall) join(name string) *book {
	h.t.Helper()
	p := h.phone()
	p.get("/join") // the phone gets what it is known by
	if path := p.post("/join", url.Values{"code": {h.code}, "name": {name}}); path != "/room" {
		h.t.Fatalf("%s came to %s", name, path)
	}
	return p
}

// send sends JSON and gives the status and the answer.
func (b *book) sendJSON(path, body string) (int, string) {
	b.t.Helper()
	r, err := b.client.Post(b.address+path, "application/json", strings.NewReader(body))
	return b.answer(r, err)
}

// choose sends a choice of tiles in a vote.
func (b *book) choose(round, seq int, tiles string) (int, string) {
	b.t.Helper()
	return b.sendJSON("/room/choice", fmt.Sprintf(`{"round":%d,"seq":%d,"made":1,"choice":{"tiles":%q}}`, round, seq, tiles))
}

// act is a form of the teacher's screen.
func (h *hall) act(what string, fields ...string) {
	h.t.Helper()
	f := url.Values{}
	for i := 0; i+1 < len(fields); i += 2 {
		f.Add(fields[i], fields[i+1])
	}
	h.post(h.path()+"/"+what, f)
}

func (h *hall) path() string { return cmp.Or(h.class, "/classes/1") }

// desk is the teacher's screen as text.
func (h *hall) desk() string {
	h.t.Helper()
	_, text := h.get(h.path())
	return text
}

// tilesOf is the first naturals of the rack on the teacher's screen.
func tilesOf(h *hall, n int) string {
	h.t.Helper()
	var codes []string
	for _, m := range regexp.MustCompile(`href="#t-([0-9][bcd]|[NEWSRG0F])"`).FindAllStringSubmatch(h.desk(), -1) {
		if len(codes) < n {
			codes = append(codes, m[1])
		}
	}
	return strings.Join(codes, " ")
}

// untilCounted waits for the end of the grace after a close.
func (h *hall) untilCounted() {
	h.t.Helper()
	h.until(h.path()+"/live", func(event string) bool { return !strings.Contains(event, "still on their way") })
}

func TestOversizedAndFloods(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	p := h.join("Plum")
	if status, _ := p.sendJSON("/room/choice", `{"choice":{"plan":"`+strings.Repeat("x", 5000)+`"}}`); status != http.StatusRequestEntityTooLarge {
		t.Errorf("5 KB in a choice: %d", status)
	}
	r, err := p.client.PostForm(h.door+"/join", url.Values{"code": {h.code}, "name": {strings.Repeat("x", 5000)}})
	if status, _ := p.answer(r, err); status != http.StatusRequestEntityTooLarge {
		t.Errorf("5 KB in a nickname: %d", status)
	}
	request, err := http.NewRequest("GET", h.door+"/join", nil)
	if err != nil {
		t.Fatal(err)
	}
	request.Header.Set("X-Long", strings.Repeat("x", 20<<10))
	if r, err = p.client.Do(request); err == nil {
		if status, _ := p.answer(r, nil); status != http.StatusRequestHeaderFieldsTooLarge {
			t.Errorf("20 KB of headers: %d", status)
		}
	}
	request, _ = http.NewRequest("GET", h.door+"/join", nil)
	request.Host = "evil.example"
	r, err = p.client.Do(request)
	if status, _ := p.answer(r, err); status != http.StatusForbidden {
		t.Errorf("another name: %d", status)
	}
	h.act("vote", "route", "Class", "after", "0")
	limited := 0
	for i := range 300 {
		if status, _ := p.choose(1, i+1, ""); status == http.StatusTooManyRequests {
			limited++
		}
	}
	if limited == 0 {
		t.Error("300 messages of one student at once were all taken")
	}
	q := h.join("Fig")
	if status, _ := q.choose(1, 1, ""); status != http.StatusOK {
		t.Errorf("a flood of one student stops another: %d", status)
	}
	limited = 0
	for range 2000 {
		if status, _ := p.get("/assets/tokens.css"); status == http.StatusTooManyRequests {
			limited++
		}
	}
	if limited == 0 {
		t.Error("2000 requests at once from one address were all answered")
	}
	if status, _ := h.get("/classes/1"); status != http.StatusOK {
		t.Errorf("a flood at the door stops the teacher: %d", status)
	}
}

func TestLateAndOlderMessages(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	p := h.join("Plum")
	if status, text := p.choose(1, 1, ""); status != http.StatusConflict || !strings.Contains(text, `"closed":true`) {
		t.Errorf("before any vote: %d %s", status, text)
	}
	h.act("vote", "route", "Class", "after", "0")
	h.act("vote", "route", "Class", "after", "0") // a second tap on the button opens nothing
	three := strings.Fields(tilesOf(h, 4))
	newer, older := strings.Join(three[:3], " "), strings.Join(three[1:4], " ")
	for _, m := range []struct {
		seq   int
		tiles string
	}{{7, newer}, {6, older}, {7, newer}} {
		if status, text := p.choose(1, m.seq, m.tiles); status != http.StatusOK || !strings.Contains(text, fmt.Sprintf(`"kept":%d`, m.seq)) {
			t.Errorf("message %d: %d %s", m.seq, status, text)
		}
	}
	for body, want := range map[string]int{`{`: 400, `{"round":1,"seq":0,"choice":{}}`: 422, `{"round":1,"seq":8,"choice":{"tiles":"J"}}`: 422,
		`{"round":1,"seq":8,"choice":{"tiles":"1234567b"}}`: 400, `{"round":1,"seq":8,"choice":{"plan":"none such"}}`: 422, `{"round":9,"seq":8,"choice":{}}`: 409} {
		if status, _ := p.sendJSON("/room/choice", body); status != want {
			t.Errorf("%s: %d, not %d", body, status, want)
		}
	}
	h.act("close", "round", "1")
	if status, text := p.sendJSON("/room/choice", fmt.Sprintf(`{"round":1,"seq":9,"made":%d,"choice":{"tiles":%q}}`, time.Now().UnixMilli()+200, older)); status != http.StatusConflict || !strings.Contains(text, "closed before") {
		t.Errorf("made after the close: %d %s", status, text)
	}
	h.untilCounted()
	if status, text := p.choose(1, 10, older); status != http.StatusConflict {
		t.Errorf("after the count: %d %s", status, text)
	}
	if state := p.live(); state.Seq != 7 {
		t.Errorf("kept is message %d", state.Seq)
	}
}

// phoneState is what the tests look at of what a phone is sent.
type phoneState struct {
	Phase  string
	Round  int
	Seq    int64
	Result string
	HTML   string
	Choice *struct{ Tiles string }
	Kind   string
	Need   int
	at     time.Time // when it arrived
}

// live is the first event of a phone's stream.
func (b *book) live() (s phoneState) {
	b.t.Helper()
	r, err := b.client.Get(b.address + "/room/live")
	if err != nil || r.StatusCode != http.StatusOK {
		b.t.Fatal(r, err)
	}
	defer r.Body.Close()
	if err := readEvent(newEvents(r.Body), &s); err != nil {
		b.t.Fatal(err)
	}
	return s
}

// A server that ends in the middle of a vote and one that starts over the same folder: every choice that was
// acknowledged is there.
func TestVotesOutliveTheServer(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	h, stop := openHall(t, dir, "vote")
	var phones []*book
	for i := range 12 {
		phones = append(phones, h.join(fmt.Sprint("Student ", i)))
	}
	h.act("vote", "route", "Class", "after", "0")
	three := tilesOf(h, 3)
	for _, p := range phones {
		if status, text := p.choose(1, 3, three); status != http.StatusOK {
			t.Fatal(status, text)
		}
	}
	stop()
	b, door, _ := serveWithDoor(t, dir)
	for i, p := range phones {
		// Cookies go by host without port, so the phones are known at the new address.
		p.address = door
		if s := p.live(); s.Seq != 3 || s.Choice == nil || s.Phase != "vote" {
			t.Errorf("phone %d came back to %+v", i, s)
		}
	}
	h.address = b.address
	if text := h.desk(); !strings.Contains(text, "12 of 12") {
		t.Error(shorten(text))
	}
}

// Everybody walks alone to the end: the same deal, no choice twice, a score for each, and a ranking only when it is
// shown.
func TestDuplicateClass(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	h, stop := openHall(t, dir, "duplicate")
	plum, fig := h.join("Plum"), h.join("Fig")
	begin := plum.live()
	if other := fig.live(); other.HTML != begin.HTML {
		t.Error("two students begin at different deals")
	}
	if n := plum.walk(0); n != 9 { // six passes, the vote, the number, the courtesy
		t.Errorf("Plum took %d decisions", n)
	}
	stop()
	b, door, _ := serveWithDoor(t, dir)
	h.address, h.door, plum.address, fig.address = b.address, door, door, door
	if s := plum.live(); s.Phase != "done" || !strings.Contains(s.HTML, "1 of 2 are at the end") {
		t.Errorf("after the restart: %+v", s)
	}
	fig.walk(1)
	if s := fig.live(); s.Phase != "done" || strings.Contains(s.HTML, "Ranking") {
		t.Errorf("at the end: %+v", s)
	}
	h.act("ranking", "show", "yes")
	if s := fig.live(); !strings.Contains(s.HTML, "Ranking") {
		t.Error("the ranking is not shown")
	}
	if path := h.post("/classes/1/routes", nil); path != "/exercises/1" {
		t.Error(path)
	}
	if _, text := h.get("/exercises/1"); !strings.Contains(text, "Plum") || !strings.Contains(text, "Fig") {
		t.Error("the students' routes are not on the sheet")
	}
}

// walk takes decisions alone until the end, from the tile number skip on, every one twice as by a double tap.
func (b *book) walk(skip int) (decisions int) {
	b.t.Helper()
	for s := b.live(); s.Phase == "alone"; s = b.live() {
		var codes []string
		for _, m := range tileField.FindAllStringSubmatch(s.HTML, -1) {
			if m[1] != "J" {
				codes = append(codes, m[1])
			}
		}
		choice := `{"said":true}`
		if strings.Contains(s.HTML, `name="count"`) {
			choice = `{"said":true,"count":2}`
		} else if need := first(regexp.MustCompile(`Choose (two|three)`), s.HTML); need != "" {
			choice = fmt.Sprintf(`{"tiles":%q}`, strings.Join(codes[skip:skip+map[string]int{"two": 2, "three": 3}[need]], " "))
		}
		for range 2 {
			if status, text := b.sendJSON("/room/decide", fmt.Sprintf(`{"round":%d,"choice":%s}`, s.Round, choice)); status != http.StatusOK {
				b.t.Fatalf("decision %d, %s: %d %s", s.Round, choice, status, text)
			}
		}
		if decisions++; decisions > 12 {
			b.t.Fatal("the walk does not end")
		}
	}
	return decisions
}

func TestTwoClassesAtOnce(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	p := h.join("Plum")
	path := h.post("/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}})
	_, text := h.get(path)
	other := &hall{book: h.book, door: h.door, code: first(codeField, text)}
	if path != "/classes/2" || other.code == h.code {
		t.Fatal(path, other.code)
	}
	q := other.join("Plum") // the same nickname in another class
	h.post("/classes/2/vote", url.Values{"route": {"Class 2"}, "after": {"0"}})
	if s := p.live(); s.Phase != "wait" {
		t.Errorf("the vote of the other class came to this one: %+v", s)
	}
	if s := q.live(); s.Phase != "vote" {
		t.Errorf("%+v", s)
	}
}

// A class whose exercise was deleted says so; what it did is there all the same, on the desk, the phones and the sheet.
func TestAClassOutlivesItsExercise(t *testing.T) {
	t.Parallel()
	for _, mode := range []string{"vote", "duplicate"} {
		dir := t.TempDir()
		h, stop := openHall(t, dir, mode)
		p := h.join("Plum")
		r, err := h.client.PostForm(h.address+"/exercises/1/delete", nil)
		if status, text := h.answer(r, err); status != http.StatusConflict || !strings.Contains(text, "class 1: a class that goes on works on it") {
			t.Errorf("%s: deleting the exercise answers %d %s", mode, status, shorten(text))
		}
		stop()
		forget(t, dir) // as earlier programs let people do
		b, door, _ := serveWithDoor(t, dir)
		h.address, h.door, p.address = b.address, door, door
		if text := h.desk(); !strings.Contains(text, "exercise of this class cannot be opened") || !strings.Contains(text, "Plum") {
			t.Errorf("%s: the desk says %s", mode, shorten(text))
		}
		if status, text := h.get("/classes/1/sheet"); status != http.StatusOK {
			t.Errorf("%s: the sheet answers %d %s", mode, status, shorten(text))
		}
		if s := p.live(); s.Phase != "wait" {
			t.Errorf("%s: the phone shows %+v", mode, s)
		}
		h.join("Fig")
	}
}

// forget deletes the first exercise of a folder, whoever uses it.
func forget(t *testing.T, dir string) {
	t.Helper()
	db, err := database.Open("sqlite", filepath.Join(dir, sql.FileName))
	if err == nil {
		_, err = db.Exec(`UPDATE exercises SET deleted = 1 WHERE id = 1`)
	}
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
}
