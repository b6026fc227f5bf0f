//go:build unix

package club

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"secondpass/club"
	store "secondpass/store/sql"
)

// beside is another process that serves the same club.
func (h *house) beside() *house {
	h.t.Helper()
	d, err := store.Connect(h.database, "")
	if err != nil {
		h.t.Fatal(err)
	}
	other := serveAt(h.t, Kept{d}, func() { d.Close() }, h.address)
	other.database = h.database
	return other
}

// takingTurns passes every second request on to another process, as a proxy does.
func (h *house) takingTurns(other *house) {
	var n atomic.Int64
	here, there := h.front.Handler(), other.front.Handler()
	h.handler.Store(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if n.Add(1)%2 == 0 {
			there.ServeHTTP(w, r)
			return
		}
		here.ServeHTTP(w, r)
	}))
}

// through is the same browser, whose requests come to another process.
func (v *visitor) through(h *house) *visitor {
	other := h.as(nil)
	other.client.Jar = v.client.Jar
	return other
}

// opened is a class on the sample exercise, with its code.
func (v *visitor) opened() (path, code string) {
	v.t.Helper()
	path = v.must(303)(v.post("/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}, "seconds": {"0"}}))
	return path, v.field(path, `<p class="bigcode">([^<]+)<`)
}

// field is what stands on a page in the place of a pattern's brackets.
func (v *visitor) field(path, pattern string) string {
	v.t.Helper()
	text := v.must(200)(v.get(path))
	found := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if found == nil {
		v.t.Fatalf("%s shows no %s: %s", path, pattern, shorten(text))
	}
	return found[1]
}

// shown is what a phone is sent.
type shown struct {
	Phase string
	Round int
	Seq   int64
}

// stream opens a stream of a page; the channel is closed when it ends.
func (v *visitor) stream(path string) <-chan string {
	v.t.Helper()
	ctx, end := context.WithCancel(context.Background())
	v.t.Cleanup(end)
	r, err := http.NewRequestWithContext(ctx, "GET", v.address+path, nil)
	if err != nil {
		v.t.Fatal(err)
	}
	answer, err := v.client.Do(r)
	if err != nil || answer.StatusCode != 200 {
		v.t.Fatalf("%s: %v %v", path, answer, err)
	}
	events := make(chan string, 100)
	go func() {
		defer close(events)
		defer answer.Body.Close()
		for lines := bufio.NewScanner(answer.Body); lines.Scan(); {
			if data, ok := strings.CutPrefix(lines.Text(), "data: {"); ok {
				events <- "{" + data
			}
		}
	}()
	return events
}

// patience only bounds a test that hangs.
const patience = 5 * time.Minute

// until waits for a phone to show something.
func until(t *testing.T, events <-chan string, so func(shown) bool) {
	t.Helper()
	for late := time.After(patience); ; {
		select {
		case text, open := <-events:
			var s shown
			if !open || json.Unmarshal([]byte(text), &s) != nil {
				t.Fatalf("the stream ends, or cannot be read: %s", text)
			}
			if so(s) {
				return
			}
		case <-late:
			t.Fatal("it does not come")
		}
	}
}

// ends waits for the end of a stream.
func ends(t *testing.T, events <-chan string) {
	t.Helper()
	for late := time.After(patience); ; {
		select {
		case _, open := <-events:
			if !open {
				return
			}
		case <-late:
			t.Fatal("the stream does not end")
		}
	}
}

// choose sends a choice of three tiles, or of fewer.
func (v *visitor) choose(seq int, tiles ...string) (int, string) {
	v.t.Helper()
	body := fmt.Sprintf(`{"round":1,"seq":%d,"made":%d,"choice":{"tiles":%q}}`, seq, time.Now().UnixMilli(), strings.Join(tiles, " "))
	return v.answer(v.client.Post(v.address+"/room/choice", "application/json", strings.NewReader(body)))
}

// A class lives in one process, whichever phones and pages come to: what is done through the other shows in both. The process is killed in mid-vote; the
// other takes the class over, and every choice that was acknowledged is there. The killed one, should it still run, keeps nothing more. The other ends
// in order, and a third goes on.
func TestSeveralProcesses(t *testing.T) {
	t.Parallel()
	first := newHouse(t)
	owner := first.somebody(nil, club.Owner, "Olga")
	ana := first.as(&owner)
	ana.sample()
	second := first.beside()
	there := ana.through(second)
	// A simulation that is asked for through one is watched, and stopped, through the other.
	there.must(303)(there.post("/exercises/1/outlook", nil))
	watched, err := ana.client.Get(first.address + "/exercises/1/outlook/live")
	if err != nil {
		t.Fatal(err)
	}
	ana.must(303)(ana.post("/exercises/1/outlook", url.Values{"act": {"stop"}}))
	if shown, err := io.ReadAll(watched.Body); err != nil || !strings.Contains(string(shown), "event: over") || strings.Count(string(shown), "data: <") == 0 {
		t.Errorf("the simulation is not watched to its end: %v %s", err, shorten(string(shown)))
	}
	watched.Body.Close()
	at, code := ana.opened()
	plum, fig := first.as(nil), second.as(nil)
	for name, phone := range map[string]*visitor{"Plum": plum, "Fig": fig} {
		phone.must(303)(phone.post("/join", url.Values{"code": {code}, "name": {name}}))
	}
	if text := there.must(200)(there.get(at)); !strings.Contains(text, "Plum") || !strings.Contains(text, "Fig") {
		t.Errorf("not all who joined: %s", shorten(text))
	}
	if r, err := there.client.Get(second.address + at); err != nil || len(r.Header.Values(strictTransport)) != 1 || len(r.Header.Values("Content-Security-Policy")) != 1 || r.Header.Get(passWrong) != "" {
		t.Errorf("what is passed on: %v %v", r, err)
	}
	if one, other := first.front.books.held(), second.front.books.held(); one != 1 || other != 0 {
		t.Errorf("the workbook is open in %v and %v", one, other)
	}
	ana.must(303)(ana.post("/exercises/1/rename", url.Values{"name": {"Seen by all"}}))
	if text := there.must(200)(there.get("/exercises")); !strings.Contains(text, "Seen by all") {
		t.Errorf("the list shows what was before: %s", shorten(text))
	}
	live := fig.stream("/room/live")
	there.must(303)(there.post(at+"/vote", url.Values{"after": {"0"}, "route": {there.field(at, `name="route" value="([^"]+)"`)}}))
	until(t, live, func(s shown) bool { return s.Phase == "vote" })
	var tiles []string
	for _, found := range regexp.MustCompile(`href="#t-([0-9][bcd]|[NEWSRG0F])"`).FindAllStringSubmatch(there.must(200)(there.get(at)), 3) {
		tiles = append(tiles, found[1])
	}
	plum.must(200)(plum.choose(1, tiles...))
	fig.must(200)(fig.choose(1, tiles[:2]...))

	first.dies()
	ends(t, live)
	begun := time.Now()
	fig.must(200)(fig.get("/room"))
	t.Logf("taken over in %v", time.Since(begun))
	until(t, fig.stream("/room/live"), func(s shown) bool { return s.Phase == "vote" && s.Round == 1 && s.Seq == 1 })
	zombie := httptest.NewRecorder()
	r := httptest.NewRequest("POST", first.address+"/room/choice", strings.NewReader(fmt.Sprintf(`{"round":1,"seq":9,"made":1,"choice":{"tiles":%q}}`, tiles[0])))
	address, _ := url.Parse(first.address)
	for _, c := range plum.client.Jar.Cookies(address) {
		r.AddCookie(c)
	}
	first.front.Handler().ServeHTTP(zombie, r)
	if zombie.Code < 400 {
		t.Errorf("the process that was taken for dead keeps a choice: %d", zombie.Code)
	}
	plum = plum.through(second)
	fig.must(200)(fig.choose(2, tiles...))
	answered := regexp.MustCompile(`<b class="num">2 of 2</b> answered`)
	if text := there.must(200)(there.get(at)); !answered.MatchString(text) {
		t.Errorf("a choice is lost: %s", shorten(text))
	}

	// In order: what flows ends, and the workbook is free before the process is gone.
	third := second.beside()
	live = plum.stream("/room/live")
	second.front.Close()
	ends(t, live)
	if text := there.must(200)(there.get(at)); !answered.MatchString(text) { // through the one that ends
		t.Errorf("a choice is lost: %s", shorten(text))
	}
	if n := third.front.books.held(); n != 1 {
		t.Errorf("the third has %v workbooks", n)
	}
	for late := time.Now().Add(patience); third.front.books.held() > 0; time.Sleep(time.Millisecond) { // the last request may still be leaving
		third.front.books.closeIdle(time.Now().Add(time.Hour))
		if time.Now().After(late) {
			t.Fatal("a workbook stays open in which nobody is")
		}
	}
	second.dies()
	ana.through(third).must(200)(ana.through(third).get(at))
}

// Who does not know the secret of a process is refused where it says for whom it asks; and what comes from outside is not believed without it.
func TestNobodyPassesForAProcess(t *testing.T) {
	h := newHouse(t)
	h.somebody(nil, club.Owner, "Olga")
	ask := func(secret, from string) int {
		r, _ := http.NewRequest("POST", h.inner.URL+"/sign-in/code", bytes.NewBufferString("code=WRONG"))
		r.Host = strings.TrimPrefix(h.address, "https://")
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set(passSecret, secret)
		r.Header.Set(passFor, from)
		answer, err := h.inner.Client().Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		return answer.StatusCode
	}
	if status := ask(strings.Repeat("A", 26), "192.0.2.1"); status != http.StatusMisdirectedRequest {
		t.Errorf("with a secret that was made up: %d", status)
	}
	for secret, want := range map[string]int{"": http.StatusTooManyRequests, h.front.process.Secret(): http.StatusUnauthorized} {
		status := 0
		for i := range 11 { // of one address, or of as many as it says
			status = ask(secret, fmt.Sprintf("192.0.2.%d", i))
		}
		if status != want {
			t.Errorf("with the secret %q the eleventh wrong code is answered by %d, wanted %d", secret, status, want)
		}
	}
}
