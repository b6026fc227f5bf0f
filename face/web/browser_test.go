package web_test

import (
	"context"
	"errors"
	"flag"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"secondpass/face/cli"
	"secondpass/face/web"
	"secondpass/internal/browser"
	"secondpass/store/files"
	"secondpass/store/sql"
)

var (
	pictures = flag.String("pictures", "", "folder to write a picture of every page to")
	only     = flag.String("only", "", "look only at the pages whose name matches a pattern")
)

// program is the name by which the binary of these tests is the program itself, in a process of its own.
const program = "secondpass"

func TestMain(m *testing.M) {
	testscript.Main(browsing{m}, map[string]func(){program: func() { cli.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }})
}

// browsing ends the browser with the tests.
type browsing struct{ *testing.M }

func (b browsing) Run() int { return browser.Run(b.M) }

// book is a workbook of its own on loopback, with the sample exercise as number 1.
type book struct {
	t       testing.TB
	dir     string
	address string
	client  *http.Client
}

func open(t testing.TB) *book {
	t.Helper()
	return openIn(t, t.TempDir())
}

// openIn serves the workbook of a data folder until the test ends.
func openIn(t testing.TB, dir string) *book {
	t.Helper()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	w, err := web.New(s, files.In(dir, nil), dir, slog.New(slog.NewTextHandler(t.Output(), &slog.HandlerOptions{Level: slog.LevelWarn})))
	if err == nil {
		w.SendsTo(twoMachines)
		err = w.FirstStart()
	}
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	over := make(chan error, 1)
	go func() { over <- w.Serve(ctx, l) }()
	t.Cleanup(func() {
		stop()
		if err := <-over; err != nil && !errors.Is(err, http.ErrServerClosed) {
			t.Errorf("the server ended with %v", err)
		}
		s.Close()
	})
	return at(t, dir, "http://"+l.Addr().String())
}

func at(t testing.TB, dir, address string) *book {
	return &book{t: t, dir: dir, address: address, client: &http.Client{}}
}

// see opens a page of the workbook in the browser. An exception of its script, or a rule of the content policy that it
// breaks, fails the test.
func (b *book) see(look browser.Look, path string) *browser.Page {
	b.t.Helper()
	p := browser.Open(b.t, look, b.address+path)
	b.t.Cleanup(func() {
		for _, text := range p.Complaints() {
			// a page with a status of 4xx is told so too, and that nobody answers is told by htmx
			if !strings.HasPrefix(text, "Failed to load resource") && !strings.HasPrefix(text, "htmx: htmx:error: Failed to fetch") && !strings.HasPrefix(text, "htmx: htmx:sse:error: Failed to fetch") {
				b.t.Errorf("the browser complains: %s", text)
			}
		}
	})
	return p
}

// get is a page's text and status.
func (b *book) get(path string) (int, string) {
	b.t.Helper()
	r, err := b.client.Get(b.address + path)
	return b.answer(r, err)
}

func (b *book) answer(r *http.Response, err error) (int, string) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return r.StatusCode, string(text)
}

// post sends a form, as a browser without script does, and gives the path where it led to. The answer must be good.
func (b *book) post(path string, f url.Values) string {
	b.t.Helper()
	r, err := b.client.PostForm(b.address+path, f)
	code, text := b.answer(r, err)
	if code != http.StatusOK {
		b.t.Fatalf("POST %s %v: %d\n%s", path, f, code, shorten(text))
	}
	return r.Request.URL.RequestURI()
}

// shorten is what stands in a page's main part, for failures.
func shorten(text string) string {
	if _, main, ok := strings.Cut(text, "<main"); ok {
		text = main
	}
	return text[:min(len(text), 1500)]
}

// deal makes an exercise with more fields of the first page and gives the path of its first step.
func (b *book) deal(fields ...string) string {
	b.t.Helper()
	f := url.Values{"act": {"deal"}}
	for i := 0; i+1 < len(fields); i += 2 {
		f.Set(fields[i], fields[i+1])
	}
	return b.post("/exercises", f)
}

var (
	atField   = regexp.MustCompile(`name="at" value="(\d+)"`)
	tileField = regexp.MustCompile(`name="tile" value="([^"]+)"`)
	needField = regexp.MustCompile(`data-need="(\d)"`)
	headField = regexp.MustCompile(`<h1>([^<]*)</h1>`)
	handField = regexp.MustCompile(`name="hand" value="([^"]+)"`)
)

func first(re *regexp.Regexp, text string) string {
	if m := re.FindStringSubmatch(text); m != nil {
		return m[1]
	}
	return ""
}

// stepOnce decides what is due on a route, tamely: the first tiles that may go, go on, two across. It gives the
// heading of what was due.
func (b *book) stepOnce(step string) string {
	b.t.Helper()
	_, text := b.get(step)
	f := url.Values{"at": {first(atField, text)}}
	head := first(headField, text)
	switch {
	case needField.MatchString(text):
		need := int(first(needField, text)[0] - '0')
		for _, m := range tileField.FindAllStringSubmatch(text, -1) {
			if m[1] != "J" && len(f["tile"]) < need {
				f.Add("tile", m[1])
			}
		}
	case strings.Contains(text, `name="stop"`):
		f.Set("stop", "no")
	case strings.Contains(text, `name="count"`):
		f.Set("count", "2")
	default:
		b.t.Fatalf("nothing is due on %s: %s", step, shorten(text))
	}
	b.post(step+"/decide", f)
	return head
}

// walkTo decides until the heading of what is due begins with a text.
func (b *book) walkTo(step, heading string) {
	b.t.Helper()
	for range 12 {
		_, text := b.get(step)
		if strings.HasPrefix(first(headField, text), heading) {
			return
		}
		b.stepOnce(step)
	}
	b.t.Fatalf("%s never came to %q", step, heading)
}

// voteOrName says whether a page asks to stop or for a number.
func voteOrName(text string) bool {
	return strings.Contains(text, `name="stop"`) || strings.Contains(text, `name="count"`)
}
