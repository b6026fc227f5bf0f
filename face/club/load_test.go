//go:build unix

package club

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"secondpass/club"
	"secondpass/internal/postgres"
	store "secondpass/store/sql"
)

var load = flag.Bool("load", false, "measure classes on two processes, each of which is killed in turn")

const (
	loadClasses = 10
	loadPhones  = 50 // of each class
	loadRounds  = 4  // votes of each measurement
)

// TestClubLoad is ten classes of fifty phones each on `secondpass club`, by one process and by two, which every request meets in turn, as
// behind a proxy. Phones do what the script of the page does: keep a stream, send each tap until it is acknowledged, come back when the
// stream ends. Then each process is killed in mid-vote, and the database. At the end all that was acknowledged must be in the database.
func TestClubLoad(t *testing.T) {
	if !*load {
		t.Skip("only with -load: it measures time")
	}
	fmt.Printf("%d processors, load at the beginning %s\n", runtime.NumCPU(), loadNow())
	y := newYard(t)
	y.begin(0)
	y.come()
	one := y.measure("one process")
	from := time.Now()
	y.gate.Lock() // so that both get their share of the workbooks
	y.end(0)
	y.begin(0)
	y.begin(1)
	y.client.CloseIdleConnections() // to the one that has ended
	y.gate.Unlock()
	y.everybodyBack(from)
	two := y.measure("two processes")
	if two.Seen > 5*one.Seen || two.Kept > 5*one.Kept {
		t.Errorf("the 99th percentiles of two processes are more than five times those of one: %+v, %+v", two, one)
	}
	for i := range 2 {
		y.during(fmt.Sprintf("process %d killed", i+1), func() time.Time {
			from := time.Now()
			y.kill(i)
			return from
		})
		y.begin(i)
	}
	y.during("database killed and started again", func() time.Time {
		y.pg.Kill()
		y.pg.Restart()
		return time.Now() // from when it answers again
	})
	y.during("process 1 ends in order", func() time.Time {
		defer y.end(0)
		return time.Now()
	})
	y.compare()
	fmt.Printf("load at the end %s\n", loadNow())
}

func loadNow() string {
	text, _ := os.ReadFile("/proc/loadavg")
	fields := strings.Fields(string(text))
	return strings.Join(fields[:min(3, len(fields))], " ")
}

// yard is a club with its processes, classes and phones.
type yard struct {
	t        *testing.T
	pg       *postgres.Server
	kept     Kept
	program  string
	line     []string
	ports    [2]string
	cmds     [2]*exec.Cmd
	running  [2]atomic.Bool
	turn     atomic.Int64
	gate     sync.RWMutex // held while no request may come
	client   *http.Client
	teachers []*schoolmistress
	phones   []*phone
	round    int
}

func newYard(t *testing.T) *yard {
	y := &yard{t: t, pg: postgres.Start(t), program: filepath.Join(t.TempDir(), "secondpass")}
	if out, err := exec.Command("go", "build", "-o", y.program, "secondpass/cmd/secondpass").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	owner, serving := y.pg.NewDatabase(t, "club", "")
	d, err := store.Connect(serving, owner)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.Close() })
	y.kept = Kept{d}
	y.line = []string{"club", "--database", serving, "--public-url", "https://club.example"}
	for i := range y.ports {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		y.ports[i] = l.Addr().String()
		l.Close()
	}
	y.client = &http.Client{Transport: &http.Transport{DialContext: (&net.Dialer{Timeout: time.Second}).DialContext, MaxIdleConnsPerHost: 100},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	t.Cleanup(y.client.CloseIdleConnections)
	public, _ := url.Parse("https://club.example")
	h := &house{t: t, club: club.New(store.People{Database: d}), kept: y.kept, address: public.String()}
	if h.front, err = New(Setup{Club: h.club, Teachers: h.kept, Public: public, Log: slog.New(slog.DiscardHandler)}); err != nil {
		t.Fatal(err)
	}
	by := h.somebody(nil, club.Owner, "Olga")
	for i := range loadClasses {
		p := h.somebody(&by, club.Teacher, fmt.Sprintf("Teacher %d", i))
		who := &schoolmistress{y: y, workbook: p.Workbook, cookies: map[string]string{}}
		session := h.session(&p)
		who.cookies[session.Name] = session.Value
		y.teachers = append(y.teachers, who)
	}
	return y
}

// begin starts a process, end ends it in order, kill at once.
func (y *yard) begin(i int) {
	y.t.Helper()
	cmd := exec.Command(y.program, append(y.line, "--data", filepath.Join(y.t.TempDir(), "data"), "--listen", y.ports[i])...)
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		y.t.Fatal(err)
	}
	y.t.Cleanup(func() { cmd.Process.Kill() })
	if !bufio.NewScanner(out).Scan() {
		y.t.Fatal("a process did not start")
	}
	go io.Copy(io.Discard, out)
	y.cmds[i] = cmd
	y.running[i].Store(true)
}

func (y *yard) end(i int) {
	if err := errors.Join(y.cmds[i].Process.Signal(syscall.SIGTERM), y.cmds[i].Wait()); err != nil {
		y.t.Error(err)
	}
	y.running[i].Store(false)
}

func (y *yard) kill(i int) {
	y.cmds[i].Process.Kill() // SIGKILL
	y.running[i].Store(false)
	y.cmds[i].Wait()
}

// memory is the most that each process has held, and how many workbooks are open in it.
func (y *yard) memory() (all []string) {
	for i, cmd := range y.cmds {
		if !y.running[i].Load() {
			continue
		}
		status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", cmd.Process.Pid))
		var kB int
		if _, rest, ok := strings.Cut(string(status), "VmHWM:"); ok {
			fmt.Sscan(rest, &kB)
		}
		workbooks := "no"
		if r, err := y.client.Get("http://" + y.ports[i] + "/metrics"); err == nil {
			text, _ := io.ReadAll(r.Body)
			r.Body.Close()
			if found := regexp.MustCompile(`(?m)^secondpass_workbooks_open (\d+)`).FindSubmatch(text); found != nil {
				workbooks = string(found[1])
			}
		}
		all = append(all, fmt.Sprintf("%d MB and %s workbooks", kB/1024, workbooks))
	}
	return all
}

// ask sends a request to the processes in turn, to the next where one lets nobody in.
func (y *yard) ask(ctx context.Context, method, path, kind, body string, cookies map[string]string, from string) (*http.Response, error) {
	y.gate.RLock()
	y.gate.RUnlock()
	first := y.turn.Add(1)
	var answer *http.Response
	var err error
	for i := range int64(len(y.ports)) {
		r, _ := http.NewRequestWithContext(ctx, method, "http://"+y.ports[(first+i)%2]+path, strings.NewReader(body))
		r.Host = "club.example"
		r.Header.Set("X-Forwarded-For", from)
		if kind != "" {
			r.Header.Set("Content-Type", kind)
		}
		for name, value := range cookies {
			r.AddCookie(&http.Cookie{Name: name, Value: value})
		}
		var refused *net.OpError
		if answer, err = y.client.Do(r); !errors.As(err, &refused) || refused.Op != "dial" {
			break
		}
	}
	if err != nil {
		return nil, err
	}
	for _, c := range answer.Cookies() {
		cookies[c.Name] = c.Value
	}
	return answer, nil
}

// hold is one vote of all classes, with something done while it is open; taps come within a time each.
func (y *yard) hold(within time.Duration, meanwhile func()) (seen []time.Duration, kept []ack) {
	y.round++
	var all sync.WaitGroup
	opened := map[*schoolmistress]time.Time{}
	tiles := map[*schoolmistress][]string{}
	var mu sync.Mutex
	for _, who := range y.teachers {
		all.Go(func() {
			route := who.find(`name="route" value="([^"]+)"`)
			time.Sleep(rand.N(time.Second)) // not all at once
			begun := time.Now()
			who.do("POST", who.class+"/vote", url.Values{"after": {fmt.Sprint(y.round - 1)}, "route": route})
			rack := who.find(`href="#t-([0-9][bcd]|[NEWSRG0F])"`)
			mu.Lock()
			defer mu.Unlock()
			opened[who], tiles[who] = begun, rack
		})
	}
	all.Wait()
	for _, p := range y.phones {
		all.Go(func() { p.vote(y.round, tiles[p.of], within) })
	}
	if meanwhile != nil {
		time.Sleep(within)
		meanwhile()
	}
	all.Wait()
	for _, who := range y.teachers {
		all.Go(func() { who.do("POST", who.class+"/close", url.Values{"round": {fmt.Sprint(y.round)}}) })
	}
	for _, p := range y.phones {
		all.Go(func() { p.until(y.round, "counted") })
	}
	all.Wait()
	for _, who := range y.teachers {
		if text := who.do("GET", who.class, nil); !strings.Contains(text, fmt.Sprintf(`<b class="num">%d of %d</b> answered`, loadPhones, loadPhones)) {
			y.t.Errorf("vote %d: not all are counted", y.round)
		}
	}
	for _, p := range y.phones {
		seen, kept = append(seen, p.seen.Sub(opened[p.of])), append(kept, p.acks...)
		p.acks = nil
	}
	return seen, kept
}

// tails are 99th percentiles.
type tails struct{ Seen, Kept time.Duration }

// measure is a few votes in which nothing else happens.
func (y *yard) measure(name string) tails {
	var seen, kept []time.Duration
	begun := loadNow()
	for range loadRounds {
		s, k := y.hold(300*time.Millisecond, nil)
		seen, kept = append(seen, s...), append(kept, taken(k)...)
	}
	fmt.Printf("| %s | vote opened until a phone shows it %s | tap until it is kept %s | %s | load %s to %s |\n", name, spread(seen), spread(kept), strings.Join(y.memory(), ", "), begun, loadNow())
	return tails{part(seen, 99), part(kept, 99)}
}

// during is a vote in whose middle something happens; happens returns from when on phones should come back, and choices that wait be kept.
func (y *yard) during(name string, happens func() time.Time) {
	var from time.Time
	_, acks := y.hold(1500*time.Millisecond, func() { from = happens() })
	var gone, waited []time.Duration
	for _, p := range y.phones {
		if back := time.Unix(0, p.back.Load()); back.After(from) {
			gone = append(gone, back.Sub(from))
		}
	}
	for _, a := range acks {
		if a.made.Before(from) && a.kept.After(from) {
			waited = append(waited, a.kept.Sub(from))
		}
	}
	fmt.Printf("| %s | streams that ended are back after %s | taps that waited are kept after %s | tap until it is kept %s | %s | load %s |\n",
		name, spread(gone), spread(waited), spread(taken(acks)), strings.Join(y.memory(), ", "), loadNow())
	if most := max(part(gone, 100), part(waited, 100)); most > 2*time.Second {
		y.t.Errorf("%s: somebody waits for %v", name, most)
	}
}

// everybodyBack waits until each phone has had a new stream since a moment.
func (y *yard) everybodyBack(since time.Time) {
	for late := time.Now().Add(time.Minute); slices.ContainsFunc(y.phones, func(p *phone) bool { return time.Unix(0, p.back.Load()).Before(since) }); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(late) {
			y.t.Fatal("not everybody comes back")
		}
	}
}

// compare finds every choice that was acknowledged in the database.
func (y *yard) compare() {
	found := 0
	for _, who := range y.teachers {
		c, err := y.kept.For(who.workbook).LoadClass(1)
		if err != nil {
			y.t.Fatal(err)
		}
		ids := map[string]int{}
		for _, s := range c.Students {
			ids[s.Name] = s.ID
		}
		for _, p := range y.phones {
			if p.of != who {
				continue
			}
			for round, own := range p.kept {
				v := c.Rounds[round-1].Votes[ids[p.name]]
				if v.Seq != own.seq || v.Choice.Own.Len() != int(own.seq) {
					y.t.Errorf("%s of %d: vote %d: acknowledged %+v, in the database %+v", p.name, who.workbook, round, own, v)
				}
				found++
			}
		}
	}
	fmt.Printf("%d choices were acknowledged last, all are in the database: %v\n", found, !y.t.Failed())
}

// part is a percentile.
func part(d []time.Duration, percent int) time.Duration {
	if len(d) == 0 {
		return 0
	}
	d = slices.Clone(d)
	slices.Sort(d)
	return d[(len(d)-1)*percent/100]
}

func spread(d []time.Duration) string {
	if len(d) == 0 {
		return "(none)"
	}
	return fmt.Sprintf("%d ms (median), %d ms (99 %%), %d ms (last of %d)", part(d, 50).Milliseconds(), part(d, 99).Milliseconds(), part(d, 100).Milliseconds(), len(d))
}
