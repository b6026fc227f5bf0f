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
	"os"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
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

// crowd is students in one class, each with a phone.
type crowd struct {
	name   string
	phones int
	// from is the address of a phone.
	from func(n int) net.IP
	// slow is how many have a second tab that reads nothing.
	slow int
	// storm says that the server is killed in mid-vote and started again, so that all come back at once.
	storm bool
	// lesson says that the class works on a lesson of drills, not on an exercise.
	lesson bool
}

func ownAddress(n int) net.IP { return net.IPv4(127, 1, byte(n/200), byte(1+n%200)) }
func oneAddress(int) net.IP   { return net.IPv4(127, 2, 0, 1) }

// TestClassLoad is crowds of simulated students, each in one class over loopback, with the server in a process of its
// own. Each student opens the page as a phone does, and chooses in three taps; a third loses its stream in mid-vote, one
// of ten sends each message twice, one of ten out of order. Then come guessers and pranksters. It prints a row for each.
func TestClassLoad(t *testing.T) {
	if !*load {
		t.Skip("only with -load: it measures time")
	}
	begun, _ := os.ReadFile("/proc/loadavg")
	fmt.Printf("%d processors, load at the beginning %s\n", runtime.NumCPU(), strings.TrimSpace(string(begun)))
	for _, c := range []crowd{
		{name: "400 phones", phones: 400, from: ownAddress},
		{name: "400 phones over a lesson", phones: 400, from: ownAddress, lesson: true},
		{name: "500 phones, 200 slow readers", phones: 500, from: ownAddress, slow: 200},
		{name: "500 phones behind one address", phones: 500, from: oneAddress},
		{name: "500 phones come back at once", phones: 500, from: ownAddress, storm: true},
	} {
		t.Run(c.name, func(t *testing.T) { c.hold(t) })
	}
	t.Run("guessers", guessers)
	t.Run("pranksters", pranksters)
}

func newHall(t *testing.T) (*hall, *school) { return newHallOn(t, false) }

// newHallOn is a class on the sample exercise, or on a lesson that asks for two passes.
func newHallOn(t *testing.T, lesson bool) (*hall, *school) {
	s := newSchool(t)
	h := &hall{book: s.book, door: s.door}
	h.client.Jar, _ = cookiejar.New(nil)
	if lesson {
		c, drills := someDrills(t)
		body, kind := drillFile(t, c, drills[:1])
		h.send("POST", "/drills/import", body, "Content-Type", kind)
		path := h.post("/lessons/add", url.Values{"drill": {"1", "1"}, "title": {"Two passes"}})
		h.post("/classes", url.Values{"lesson": {strings.TrimPrefix(path, "/lessons/")}})
	} else {
		h.post("/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}})
	}
	h.code = first(codeField, h.desk())
	return h, s
}

var ranks = regexp.MustCompile(`<b class="num">(\d+) of (\d+)</b> answered`)

// hold is two votes of a crowd.
func (c *crowd) hold(t *testing.T) {
	h, s := newHallOn(t, c.lesson)
	pupils := make([]*pupil, c.phones)
	var all sync.WaitGroup
	begun := time.Now()
	for i := range pupils {
		pupils[i] = newPupil(h, i, c.from(i))
		all.Go(func() { pupils[i].join(h.code); pupils[i].connect(); <-pupils[i].states })
	}
	all.Wait()
	in := time.Since(begun)
	for i := range c.slow {
		stop := pupils[i].stall()
		defer stop()
	}
	var seen, acks []time.Duration
	back := time.Duration(0)
	for round := 1; round <= 2; round++ {
		start := time.Now()
		h.act("vote", "route", h.route(), "after", fmt.Sprint(round-1))
		tiles := strings.Fields(tilesOf(h, 9))
		for _, p := range pupils {
			all.Go(func() { p.vote(round, tiles) })
		}
		all.Wait()
		for _, p := range pupils {
			seen, acks = append(seen, p.seen.Sub(start)), append(acks, p.acks...)
			p.acks = nil
		}
		if c.storm {
			s.kill()
			s.start(t)
			begun := time.Now()
			for _, p := range pupils {
				all.Go(p.comeBack)
			}
			all.Wait()
			back = time.Since(begun)
		}
		h.act("close", "round", fmt.Sprint(round))
		h.untilCounted()
		text := h.desk()
		if counted := ranks.FindStringSubmatch(text); counted == nil || counted[1] != fmt.Sprint(c.phones) || counted[2] != counted[1] {
			t.Errorf("round %d: %v answered", round, counted)
		}
		for _, p := range pupils { // the name of each stands once among the groups
			if n := strings.Count(text, p.name+", ") + strings.Count(text, p.name+"<"); n != 1 {
				t.Errorf("%s is named %d times", p.name, n)
			}
		}
		if !c.lesson { // where nothing is followed
			h.act("follow", "round", fmt.Sprint(round), "choice", html.UnescapeString(first(followField, text)))
		}
	}
	fmt.Printf("| %s | in within %.1f s | %s | %s | all %d |", c.name, in.Seconds(), spread(seen), spread(acks), c.phones)
	if c.storm {
		fmt.Printf(" back within %.1f s |", back.Seconds())
	}
	fmt.Println()
	if median := sorted(seen)[len(seen)/2]; c.phones == 400 && median > 200*time.Millisecond {
		t.Errorf("the median of seeing a step is %v", median)
	}
}

// route is the letter of the route on which the next vote is.
func (h *hall) route() string {
	return first(regexp.MustCompile(`name="route" value="([^"]+)"`), h.desk())
}

// guessers try codes from 50 addresses for as long as students come in.
func guessers(t *testing.T) {
	h, _ := newHall(t)
	link := first(regexp.MustCompile(`aria-label="QR code of [^"]*/join/([^"]+)"`), h.desk())
	ctx, stop := context.WithCancel(t.Context())
	var guessing, coming sync.WaitGroup
	var tried, refused atomic.Int64
	for g := range 50 {
		p := newPupil(h, g, net.IPv4(127, 3, 0, byte(1+g)))
		guessing.Go(func() {
			for i := 0; ctx.Err() == nil; i++ {
				code := []byte("CCCCC")
				for at, n := 0, g*1000+i; at < 5; at, n = at+1, n/22 {
					code[at] = "CDFGHJKMNPQRTVWXY34679"[n%22]
				}
				if string(code) == h.code {
					continue
				}
				switch status, _ := p.get("/join/" + string(code)); status {
				case http.StatusNotFound:
					tried.Add(1)
				case http.StatusTooManyRequests:
					refused.Add(1)
				}
				time.Sleep(20 * time.Millisecond)
			}
		})
	}
	time.Sleep(time.Second)
	var in [2]atomic.Int64
	begun := time.Now()
	for i := range 200 {
		p, way := newPupil(h, i, ownAddress(i)), h.code
		if i%2 == 1 { // behind an address from which codes are guessed, by the square
			p, way = newPupil(h, i, net.IPv4(127, 3, 0, 1)), link
		}
		coming.Go(func() {
			if p.join(way) {
				in[i%2].Add(1)
			}
		})
	}
	coming.Wait()
	took := time.Since(begun)
	stop()
	guessing.Wait()
	fmt.Printf("| 50 guessing addresses, 200 students | in within %.1f s | %d of 100 by the code, %d of 100 by the square behind a guesser | %d codes tried, %d refused unread |\n",
		took.Seconds(), in[0].Load(), in[1].Load(), tried.Load(), refused.Load())
	if in[0].Load() != 100 || in[1].Load() != 100 {
		t.Error("guessers kept students out")
	}
}

// pranksters make names up for five seconds as fast as they can, while 30 students come in.
func pranksters(t *testing.T) {
	for _, prank := range []string{"with its cookie", "without cookies", "with a new cookie each time"} {
		h, _ := newHall(t)
		ctx, stop := context.WithTimeout(t.Context(), 5*time.Second)
		var pranking, coming sync.WaitGroup
		var students atomic.Int64
		kept := newPupil(h, 0, net.IPv4(127, 4, 0, 1))
		kept.get("/join") // the phone gets what it is known by
		for worker := range 8 {
			pranking.Go(func() {
				for i := 0; ctx.Err() == nil; i++ {
					p := kept
					if prank != "with its cookie" {
						p = newPupil(h, 0, net.IPv4(127, 4, 0, 1))
					}
					if prank == "with a new cookie each time" {
						p.get("/join")
					}
					p.send(ctx, "/join", url.Values{"code": {h.code}, "name": {fmt.Sprint("Prank ", worker, " ", i)}})
					p.send(ctx, "/room/leave", nil)
				}
			})
		}
		for i := range 30 {
			p := newPupil(h, i, ownAddress(i))
			coming.Go(func() {
				if p.join(h.code) {
					students.Add(1)
				}
			})
		}
		coming.Wait()
		pranking.Wait()
		stop()
		names := strings.Count(h.desk(), `aria-label="take out Prank `)
		fmt.Printf("| a prankster %s, 5 s, 30 students | %d names | %d of 30 in |\n", prank, names, students.Load())
		if students.Load() != 30 || names == 0 || names > 100 || prank != "with a new cookie each time" && names != 3 {
			t.Error("the prankster kept students out, or filled the class")
		}
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
	return fmt.Sprintf("%s (median), %s (95 %%), %s (99 %%), %s (last of %d)", ms(d[len(d)/2]), ms(d[len(d)*95/100]), ms(d[len(d)*99/100]), ms(d[len(d)-1]), len(d))
}

// pupil is one simulated student with a phone.
type pupil struct {
	*book
	h      *hall
	n      int
	name   string
	dialer *net.Dialer
	cancel context.CancelFunc
	states chan phoneState
	seen   time.Time
	acks   []time.Duration
}

func newPupil(h *hall, n int, from net.IP) *pupil {
	p := &pupil{book: at(h.t, h.dir, h.door), h: h, n: n, name: fmt.Sprintf("Student%03d", n), states: make(chan phoneState, 64),
		dialer: &net.Dialer{LocalAddr: &net.TCPAddr{IP: from}}}
	p.client.Jar, _ = cookiejar.New(nil)
	transport := &http.Transport{DialContext: p.dialer.DialContext, MaxIdleConnsPerHost: 2}
	p.client.Transport = transport
	h.t.Cleanup(transport.CloseIdleConnections)
	return p
}

// send posts a form and gives the status.
func (p *pupil) send(ctx context.Context, path string, form url.Values) (int, error) {
	request, err := http.NewRequestWithContext(ctx, "POST", p.address+path, strings.NewReader(form.Encode()))
	if err != nil {
		return 0, err
	}
	request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r, err := p.client.Do(request)
	if err != nil {
		return 0, err
	}
	defer r.Body.Close()
	_, err = io.Copy(io.Discard, r.Body)
	return r.StatusCode, err
}

// join opens the page by a code or link, with what a phone loads for it, and types the name.
func (p *pupil) join(way string) bool {
	for _, path := range []string{"/join/" + way, "/assets/tokens.css", "/assets/look.css", "/assets/class.css", "/assets/room.js"} {
		if status, text := p.get(path); status != http.StatusOK {
			p.h.t.Errorf("%s: %s answers %d %s", p.name, path, status, shorten(text))
			return false
		}
	}
	status, err := p.send(context.Background(), "/join", url.Values{"code": {way}, "name": {p.name}})
	if err != nil || status != http.StatusOK {
		p.h.t.Errorf("%s could not join: %d %v", p.name, status, err)
		return false
	}
	return true
}

// connect opens a stream and hands its states on.
func (p *pupil) connect() {
	if err := p.tryConnect(); err != nil {
		p.h.t.Errorf("%s has no stream: %v", p.name, err)
	}
}

func (p *pupil) tryConnect() error {
	ctx, cancel := context.WithCancel(context.Background())
	p.cancel = cancel
	p.h.t.Cleanup(cancel)
	request, err := http.NewRequestWithContext(ctx, "GET", p.address+"/room/live", nil)
	if err != nil {
		return err
	}
	r, err := p.client.Do(request)
	if err != nil {
		return err
	}
	if r.StatusCode != http.StatusOK {
		r.Body.Close()
		return fmt.Errorf("status %d", r.StatusCode)
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
	return nil
}

// comeBack connects again as the phone's script does, and waits for a state.
func (p *pupil) comeBack() {
	p.cancel()
	for len(p.states) > 0 {
		<-p.states
	}
	wait := 250 * time.Millisecond
	for range 60 {
		if p.tryConnect() == nil {
			<-p.states
			return
		}
		time.Sleep(wait*3/4 + time.Duration(rand.Int64N(int64(wait/2))))
		wait = min(2*wait, 2*time.Second)
	}
	p.h.t.Errorf("%s does not come back", p.name)
}

// stall opens one more stream and reads nothing of it.
func (p *pupil) stall() (stop func()) {
	conn, err := p.dialer.Dial("tcp", strings.TrimPrefix(p.h.door, "http://"))
	if err != nil {
		p.h.t.Fatal(err)
	}
	conn.(*net.TCPConn).SetReadBuffer(1024)
	door, _ := url.Parse(p.h.door)
	request, _ := http.NewRequest("GET", p.h.door+"/room/live", nil)
	for _, cookie := range p.client.Jar.Cookies(door) {
		request.AddCookie(cookie)
	}
	if err := request.Write(conn); err != nil {
		p.h.t.Fatal(err)
	}
	return func() { conn.Close() }
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
	r, err := p.client.Post(p.address+"/room/choice", "application/json", strings.NewReader(body))
	if err != nil || r.StatusCode != http.StatusOK {
		p.h.t.Errorf("%s: a choice is not kept: %v %v", p.name, r, err)
		return
	}
	io.Copy(io.Discard, r.Body)
	r.Body.Close()
	p.acks = append(p.acks, time.Since(start))
}
