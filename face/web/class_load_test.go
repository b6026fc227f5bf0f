package web_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

var followField = regexp.MustCompile(`name="choice" value="([^"]+)"`)

func newEvents(r io.Reader) *bufio.Reader { return bufio.NewReaderSize(r, 64<<10) }

// readEvent reads the next event that is no beat.
func readEvent(r *bufio.Reader, into any) error {
	beat := false
	for {
		line, err := r.ReadString('\n')
		if err != nil {
			return err
		}
		switch {
		case strings.HasPrefix(line, "event:"):
			beat = true
		case strings.HasPrefix(line, "data:") && !beat:
			return json.Unmarshal([]byte(line[len("data:"):]), into)
		case line == "\n":
			beat = false
		}
	}
}

// until follows a stream until something that it sends is so; events are JSON text.
func (b *book) until(stream string, so func(event string) bool) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, "GET", b.address+stream, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	r, err := b.client.Do(request)
	if err != nil || r.StatusCode != http.StatusOK {
		b.t.Fatal(stream, r, err)
	}
	defer r.Body.Close()
	for events := newEvents(r.Body); ; {
		var event json.RawMessage
		if err := readEvent(events, &event); err != nil {
			b.t.Fatalf("%s ends without what was awaited: %v", stream, err)
		}
		if so(string(event)) {
			return
		}
	}
}

// TestClassLoad is 400 simulated students in one class over loopback, each from an address of its own, with the
// server in a process of its own. Each chooses in three taps; a third loses its stream in mid-vote, one of ten sends
// each message twice, one of ten out of order. It prints how long the teacher's steps took to be seen.
func TestClassLoad(t *testing.T) {
	if !*load {
		t.Skip("only with -load: it measures time")
	}
	const students, rounds = 400, 3
	s := newSchool(t)
	h := &hall{book: s.book, door: s.door}
	h.client.Jar, _ = cookiejar.New(nil)
	h.post("/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}})
	h.code = first(codeField, h.desk())
	pupils := make([]*pupil, students)
	for i := range pupils {
		pupils[i] = newPupil(h, i)
	}
	var all sync.WaitGroup
	begun := time.Now()
	for _, p := range pupils {
		all.Go(p.join)
	}
	all.Wait()
	fmt.Printf("%d joined and connected within %v\n", students, time.Since(begun).Round(time.Millisecond))
	for round := 1; round <= rounds; round++ {
		start := time.Now()
		h.act("vote", "route", "Class", "after", fmt.Sprint(round-1))
		posted := time.Since(start)
		tiles := strings.Fields(tilesOf(h, 9))
		for _, p := range pupils {
			all.Go(func() { p.vote(round, tiles) })
		}
		all.Wait()
		var seen, acks []time.Duration
		for _, p := range pupils {
			seen = append(seen, p.seen.Sub(start))
			acks = append(acks, p.acks...)
			p.acks = nil
		}
		fmt.Printf("round %d: the step seen after %s; the teacher's own answer %v; a choice on the disk after %s\n", round, spread(seen), posted.Round(time.Millisecond), spread(acks))
		if median := sorted(seen)[students/2]; median > 200*time.Millisecond {
			t.Errorf("the median of seeing a step is %v", median)
		}
		h.act("close", "round", fmt.Sprint(round))
		h.untilCounted()
		text := h.desk()
		if !strings.Contains(text, fmt.Sprintf("%d of %d", students, students)) {
			t.Errorf("round %d: %s", round, shorten(text))
		}
		for _, p := range pupils { // the name of each stands once among the groups
			if n := strings.Count(text, p.name+","+" ") + strings.Count(text, p.name+"<"); n != 2 { // once more in the list of who is here
				t.Errorf("%s is named %d times", p.name, n)
			}
		}
		key := html.UnescapeString(first(followField, text))
		h.post("/classes/1/follow", url.Values{"round": {fmt.Sprint(round)}, "choice": {key}})
	}
}

func sorted(d []time.Duration) []time.Duration {
	d = slices.Clone(d)
	slices.Sort(d)
	return d
}

func spread(d []time.Duration) string {
	d = sorted(d)
	ms := func(d time.Duration) string { return fmt.Sprintf("%.0f ms", float64(d)/float64(time.Millisecond)) }
	return fmt.Sprintf("%s (median), %s (95 %%), %s (last of %d)", ms(d[len(d)/2]), ms(d[len(d)*95/100]), ms(d[len(d)-1]), len(d))
}

// pupil is one simulated student with a phone of its own address.
type pupil struct {
	h      *hall
	n      int
	name   string
	client *http.Client
	cancel context.CancelFunc
	states chan phoneState
	seen   time.Time
	acks   []time.Duration
}

func newPupil(h *hall, n int) *pupil {
	from := &net.TCPAddr{IP: net.IPv4(127, 1, byte(n/200), byte(1+n%200))}
	dialer := &net.Dialer{LocalAddr: from}
	jar, _ := cookiejar.New(nil)
	return &pupil{h: h, n: n, name: fmt.Sprintf("Student%03d", n), states: make(chan phoneState, 64),
		client: &http.Client{Jar: jar, Transport: &http.Transport{DialContext: dialer.DialContext, MaxIdleConnsPerHost: 2}}}
}

func (p *pupil) join() {
	r, err := p.client.PostForm(p.h.door+"/join", url.Values{"code": {p.h.code}, "name": {p.name}})
	if err != nil || r.StatusCode != http.StatusOK {
		p.h.t.Errorf("%s could not join: %v %v", p.name, r, err)
		return
	}
	io.Copy(io.Discard, r.Body)
	r.Body.Close()
	p.connect()
	<-p.states
}

// connect opens a stream and hands its states on.
func (p *pupil) connect() {
	ctx, cancel := context.WithCancel(context.Background())
	p.cancel = cancel
	request, err := http.NewRequestWithContext(ctx, "GET", p.h.door+"/room/live", nil)
	if err != nil {
		p.h.t.Error(err)
		return
	}
	r, err := p.client.Do(request)
	if err != nil || r.StatusCode != http.StatusOK {
		p.h.t.Errorf("%s has no stream: %v %v", p.name, r, err)
		return
	}
	go func() {
		defer r.Body.Close()
		for events := newEvents(r.Body); ; {
			var s phoneState
			if readEvent(events, &s) != nil {
				return
			}
			s.at = time.Now()
			p.states <- s
		}
	}()
}

// vote waits for the round and chooses in three taps, a third of the students with a stream that breaks in between.
func (p *pupil) vote(round int, tiles []string) {
	for s := range p.states {
		if s.Round == round && s.Phase == "vote" {
			p.seen = s.at
			break
		}
	}
	at := p.n % (len(tiles) - 2)
	taps := []int{1, 2, 3}
	if p.n%10 == 4 {
		taps = []int{1, 3, 2} // the second was held up on its way
	}
	for i, n := range taps {
		time.Sleep(time.Duration(rand.IntN(300)) * time.Millisecond)
		p.tap(round, n, tiles[at:at+n])
		if p.n%10 == 5 {
			p.tap(round, n, tiles[at:at+n])
		}
		if i == 1 && p.n%3 == 0 {
			p.cancel()
			p.connect()
		}
	}
}

func (p *pupil) tap(round, seq int, tiles []string) {
	start := time.Now()
	body := fmt.Sprintf(`{"round":%d,"seq":%d,"made":%d,"choice":{"tiles":%q}}`, round, seq, start.UnixMilli(), strings.Join(tiles, " "))
	r, err := p.client.Post(p.h.door+"/room/choice", "application/json", strings.NewReader(body))
	if err != nil || r.StatusCode != http.StatusOK {
		p.h.t.Errorf("%s: a choice is not kept: %v %v", p.name, r, err)
		return
	}
	io.Copy(io.Discard, r.Body)
	r.Body.Close()
	p.acks = append(p.acks, time.Since(start))
}
