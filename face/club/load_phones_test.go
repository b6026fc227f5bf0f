//go:build unix

package club

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// schoolmistress is a teacher with a class.
type schoolmistress struct {
	y        *yard
	workbook int64
	cookies  map[string]string
	class    string
	code     string
}

// do sends a form until it is done, or gets a page.
func (s *schoolmistress) do(method, path string, form url.Values) string {
	s.y.t.Helper()
	last := ""
	for begun := time.Now(); time.Since(begun) < 30*time.Second; time.Sleep(200 * time.Millisecond) {
		r, err := s.y.ask(context.Background(), method, path, "application/x-www-form-urlencoded", form.Encode(), s.cookies, "192.0.2.1")
		if err != nil {
			last = err.Error()
			continue
		}
		text, err := io.ReadAll(r.Body)
		r.Body.Close()
		if err == nil && r.StatusCode < 400 {
			return r.Header.Get("Location") + string(text)
		}
		last = fmt.Sprint(r.StatusCode, shorten(string(text)))
	}
	s.y.t.Errorf("%s %s is not done: %s", method, path, last)
	return ""
}

func (s *schoolmistress) find(pattern string) []string {
	var all []string
	for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(s.do("GET", s.class, nil), -1) {
		all = append(all, m[1])
	}
	return all
}

// phone is one in a class, as its script behaves.
type phone struct {
	y       *yard
	of      *schoolmistress
	name    string
	from    string
	cookies map[string]string
	token   string
	states  chan phoneSees
	// back is when the last stream has shown something for the first time.
	back atomic.Int64
	// kept are the last taps that were acknowledged, by round.
	kept map[int]acknowledged
	seen time.Time
	acks []ack
}

// ack is a tap from when it was made until it was acknowledged.
type ack struct{ made, kept time.Time }

func taken(acks []ack) (all []time.Duration) {
	for _, a := range acks {
		all = append(all, a.kept.Sub(a.made))
	}
	return all
}

type phoneSees struct {
	shown
	at time.Time
}

type acknowledged struct {
	seq   int64
	tiles string
}

// come lets everybody in: teachers open classes, phones join and keep a stream.
func (y *yard) come() {
	var all sync.WaitGroup
	for i, who := range y.teachers {
		all.Go(func() {
			who.do("POST", "/exercises/sample", nil)
			who.class = who.do("POST", "/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}, "seconds": {"0"}})
			who.code = who.find(`<p class="bigcode">([^<]+)<`)[0]
		})
		for n := range loadPhones {
			y.phones = append(y.phones, &phone{y: y, of: who, name: fmt.Sprintf("Student%03d", n), from: fmt.Sprintf("198.51.%d.%d", i, n+1),
				cookies: map[string]string{}, states: make(chan phoneSees, 1000), kept: map[int]acknowledged{}})
		}
	}
	all.Wait()
	for _, p := range y.phones {
		all.Go(p.join)
	}
	all.Wait()
	for _, p := range y.phones {
		go p.follow()
	}
	for _, p := range y.phones {
		<-p.states
	}
}

func (p *phone) join() {
	for _, way := range []string{"GET", "POST"} {
		r, err := p.y.ask(context.Background(), way, "/join", "application/x-www-form-urlencoded", url.Values{"code": {p.of.code}, "name": {p.name}}.Encode(), p.cookies, p.from)
		if err != nil || r.StatusCode >= 400 {
			p.y.t.Errorf("%s does not come in: %v %v", p.name, r, err)
			return
		}
		r.Body.Close()
	}
	p.token = p.cookies["student"]
}

// follow keeps a stream until the test ends.
func (p *phone) follow() {
	wait := 250 * time.Millisecond
	for p.y.t.Context().Err() == nil {
		if p.stream() {
			wait = 250 * time.Millisecond
		}
		time.Sleep(wait*3/4 + rand.N(wait/2))
		wait = min(2*wait, 2*time.Second)
		if status := p.send("/room/back", fmt.Sprintf(`{"token":%q}`, p.token)); status == 401 {
			p.y.t.Errorf("%s has lost its place", p.name)
			return
		}
	}
}

// stream follows one stream to its end; true if it has shown something.
func (p *phone) stream() (any bool) {
	r, err := p.y.ask(p.y.t.Context(), "GET", "/room/live", "", "", map[string]string{"student": p.token}, p.from)
	if err != nil {
		return false
	}
	defer r.Body.Close()
	if r.StatusCode != 200 {
		return false
	}
	for lines := bufio.NewScanner(r.Body); lines.Scan(); {
		data, ok := strings.CutPrefix(lines.Text(), "data: {")
		if !ok {
			continue
		}
		s := phoneSees{at: time.Now()}
		if json.Unmarshal([]byte("{"+data), &s.shown) != nil {
			p.y.t.Error("a phone is sent what it cannot read")
		}
		if !any {
			any = true
			p.back.Store(s.at.UnixNano())
		}
		p.states <- s
	}
	return any
}

// send is the status of a message, 0 where no answer came.
func (p *phone) send(path, body string) int {
	ctx, done := context.WithTimeout(context.Background(), 6*time.Second)
	defer done()
	r, err := p.y.ask(ctx, "POST", path, "application/json", body, map[string]string{"student": p.token}, p.from)
	if err != nil {
		return 0
	}
	defer r.Body.Close()
	if _, err := io.Copy(io.Discard, r.Body); err != nil {
		return 0
	}
	return r.StatusCode
}

// until waits for a phase of a round.
func (p *phone) until(round int, phase string) time.Time {
	for late := time.After(time.Minute); ; {
		select {
		case s := <-p.states:
			if s.Round == round && s.Phase == phase {
				return s.at
			}
		case <-late:
			p.y.t.Errorf("%s does not see %s of vote %d", p.name, phase, round)
			return time.Now()
		}
	}
}

// vote chooses in three taps, each within a time, and sends each until it is acknowledged.
func (p *phone) vote(round int, tiles []string, within time.Duration) {
	p.seen = p.until(round, "vote")
	for n := 1; n <= 3; n++ {
		time.Sleep(rand.N(within))
		text := strings.Join(tiles[:n], " ")
		begun := time.Now()
		for failing := 1; ; failing++ {
			status := p.send("/room/choice", fmt.Sprintf(`{"round":%d,"seq":%d,"made":%d,"choice":{"tiles":%q}}`, round, n, begun.UnixMilli(), text))
			if status == 200 {
				p.kept[round] = acknowledged{int64(n), text}
				p.acks = append(p.acks, ack{begun, time.Now()})
				break
			}
			if status >= 400 && status < 500 || failing > 20 {
				p.y.t.Errorf("%s: tap %d of vote %d is answered by %d", p.name, n, round, status)
				break
			}
			wait := min(400*time.Millisecond<<failing, 4*time.Second)
			time.Sleep(wait*3/4 + rand.N(wait/2))
		}
	}
}
