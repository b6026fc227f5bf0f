//go:build unix

package club

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"secondpass/club"
	"secondpass/store/folder"
	"secondpass/store/sql"
	"secondpass/teach/class"
)

// house is a club that is served, as people reach it: with TLS, by a name, through a proxy.
type house struct {
	t     testing.TB
	club  *club.Club
	kept  Kept
	front *Front
	// address is the public one.
	address string
	// proxy is what passes requests on to the process, which others reach at inner.
	proxy, inner *httptest.Server
	handler      atomic.Value // http.HandlerFunc
	log          *bytes.Buffer
	// database is where all is kept, by the role that serves.
	database string
}

// serve serves a club until the test ends.
func serve(t testing.TB, kept Kept, end func()) *house { return serveAt(t, kept, end, "") }

// serveAt is that under the public address of another process of the same club; "" for one of its own.
func serveAt(t testing.TB, kept Kept, end func(), address string) *house {
	t.Helper()
	h := &house{t: t, log: &bytes.Buffer{}, club: club.New(sql.People{Database: kept.Database}), kept: kept, address: address}
	h.proxy = httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { h.handler.Load().(http.HandlerFunc)(w, r) }))
	h.inner = httptest.NewUnstartedServer(nil)
	listening := h.proxy.Listener.Addr().String()
	if address == "" {
		_, port, _ := net.SplitHostPort(listening)
		h.address = "https://localhost:" + port
	}
	public, _ := url.Parse(h.address)
	var err error
	h.front, err = New(Setup{Club: h.club, Teachers: kept, Public: public, Proxies: []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32")},
		Inner: h.inner.Listener.Addr().String(), Log: NewLog(&locked{to: h.log})})
	if err != nil {
		t.Fatal(err)
	}
	h.handler.Store(http.HandlerFunc(h.front.Handler().ServeHTTP))
	h.proxy.Config.ErrorLog = slog.NewLogLogger(slog.DiscardHandler, slog.LevelDebug)
	h.inner.Config.ErrorLog, h.inner.Config.Handler = h.proxy.Config.ErrorLog, h.front.Handler()
	h.proxy.StartTLS()
	h.inner.Start()
	through := h.proxy.Client().Transport.(*http.Transport)
	through.TLSClientConfig.ServerName = "example.com" // as its certificate says
	through.DialContext = func(ctx context.Context, network, _ string) (net.Conn, error) {
		return (&net.Dialer{}).DialContext(ctx, network, listening)
	}
	t.Cleanup(func() {
		h.dies()
		h.front.Close()
		end()
	})
	return h
}

// dies ends all connections of the process at once, as the system does when it is killed.
func (h *house) dies() {
	for _, s := range []*httptest.Server{h.proxy, h.inner} {
		s.Listener.Close()
		s.CloseClientConnections()
	}
	h.front.Leave()
	for _, s := range []*httptest.Server{h.proxy, h.inner} {
		s.CloseClientConnections()
		s.Close()
	}
}

// locked is a log that several write to.
type locked struct {
	mu sync.Mutex
	to io.Writer
}

func (l *locked) Write(data []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.to.Write(data)
}

// somebody comes into the club by an invitation, without a browser.
func (h *house) somebody(by *club.Person, role club.Role, name string) club.Person {
	h.t.Helper()
	token, err := "", error(nil)
	if by == nil {
		token, err = h.club.OwnerToken()
	} else {
		token, err = h.club.Invite(by, role, name)
	}
	if err != nil {
		h.t.Fatal(err)
	}
	p, _, err := h.club.Accept(token, name, club.Passkey{ID: name, Name: "a device", Credential: []byte("{}")})
	if err != nil {
		h.t.Fatal(err)
	}
	return p
}

// as is a browser without scripts, in which somebody is signed in; nil for nobody.
func (h *house) as(p *club.Person) *visitor {
	h.t.Helper()
	jar, _ := cookiejar.New(nil)
	v := &visitor{t: h.t, address: h.address}
	v.client = &http.Client{Transport: h.proxy.Client().Transport, Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	if p == nil {
		return v
	}
	at, _ := url.Parse(h.address)
	jar.SetCookies(at, []*http.Cookie{h.session(p)})
	return v
}

// session is the cookie of a new session of somebody.
func (h *house) session(p *club.Person) *http.Cookie {
	h.t.Helper()
	s := h.front.sessions
	ctx, err := s.Load(context.Background(), "")
	if err != nil {
		h.t.Fatal(err)
	}
	if err := h.front.signIn((&http.Request{Header: http.Header{}}).WithContext(ctx), p); err != nil {
		h.t.Fatal(err)
	}
	token, _, err := s.Commit(ctx)
	if err != nil {
		h.t.Fatal(err)
	}
	return &http.Cookie{Name: s.Cookie.Name, Value: token, Path: "/", Secure: true}
}

type visitor struct {
	t       testing.TB
	address string
	client  *http.Client
}

// answer is the status and text of an answer.
func (v *visitor) answer(r *http.Response, err error) (int, string) {
	v.t.Helper()
	if err != nil {
		v.t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	if to := r.Header.Get("Location"); to != "" {
		return r.StatusCode, to
	}
	return r.StatusCode, string(text)
}

func (v *visitor) get(path string) (int, string) {
	v.t.Helper()
	return v.answer(v.client.Get(v.address + path))
}

func (v *visitor) post(path string, form url.Values) (int, string) {
	v.t.Helper()
	return v.answer(v.client.PostForm(v.address+path, form))
}

// sample puts the sample exercise into a workbook in which nothing is yet: it gets the number 1.
func (v *visitor) sample() {
	v.t.Helper()
	v.must(303)(v.post("/exercises/sample", nil))
}

// must is an answer that is wanted.
func (v *visitor) must(want int) func(status int, text string) string {
	return func(status int, text string) string {
		v.t.Helper()
		if status != want {
			v.t.Fatalf("status %d, wanted %d: %s", status, want, shorten(text))
		}
		return text
	}
}

func shorten(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if len(text) > 400 {
		text = text[len(text)-400:]
	}
	return text
}

// Each teacher finds her own exercises at the address at which another finds hers; a student's code, link and token lead to the right one.
func TestEachTeacherHerOwn(t *testing.T) {
	h := newHouse(t)
	owner := h.somebody(nil, club.Owner, "Olga")
	ana, bea := h.somebody(&owner, club.Teacher, "Ana"), h.somebody(&owner, club.Teacher, "Bea")
	hal := h.somebody(&ana, club.Assistant, "Hal")
	a, b, helper := h.as(&ana), h.as(&bea), h.as(&hal)
	a.sample()
	b.sample()
	a.must(303)(a.post("/exercises/1/rename", url.Values{"name": {"Only Ana's"}}))
	for who, v := range map[string]*visitor{"Ana": a, "Hal": helper} {
		if text := v.must(200)(v.get("/exercises")); !strings.Contains(text, "Only Ana&#39;s") {
			t.Errorf("%s does not see it: %s", who, shorten(text))
		}
	}
	if text := b.must(200)(b.get("/exercises")); strings.Contains(text, "Only Ana") {
		t.Error("Bea sees Ana's exercise")
	}
	// A class of each, with phones that know the code alone.
	code := func(v *visitor) (at, code string) {
		at = v.must(303)(v.post("/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}, "seconds": {"0"}}))
		text := v.must(200)(v.get(at))
		_, rest, _ := strings.Cut(text, `<p class="bigcode">`)
		code, _, _ = strings.Cut(rest, "<")
		if !strings.Contains(text, h.address+"/join") {
			t.Errorf("the way in is not the public address: %s", shorten(text))
		}
		return at, code
	}
	atA, codeA := code(a)
	atB, codeB := code(b)
	if atA != atB || codeA == codeB || codeA == "" {
		t.Fatalf("classes %s %s and %s %s", atA, codeA, atB, codeB)
	}
	for name, c := range map[string]struct {
		code  string
		at    *visitor
		other *visitor
	}{"Plum": {codeA, a, b}, "Fig": {codeB, b, a}} {
		phone := h.as(nil)
		phone.must(303)(phone.post("/join", url.Values{"code": {c.code}, "name": {name}}))
		if text := phone.must(200)(phone.get("/room")); !strings.Contains(text, name) {
			t.Errorf("the room of %s: %s", name, shorten(text))
		}
		if text := c.at.must(200)(c.at.get(atA)); !strings.Contains(text, name) {
			t.Errorf("%s did not come to the right class", name)
		}
		if text := c.other.must(200)(c.other.get(atA)); strings.Contains(text, name) {
			t.Errorf("%s came to the other's class", name)
		}
	}
	// A student's own link.
	if _, err := h.kept.For(ana.Workbook).AddStudent("Quince"); err != nil {
		t.Fatal(err)
	}
	token, err := h.kept.For(ana.Workbook).StudentToken("Quince")
	if err != nil {
		t.Fatal(err)
	}
	phone := h.as(nil)
	if text := phone.must(200)(phone.get("/own/" + token)); !strings.Contains(text, "Quince") {
		t.Error(shorten(text))
	}
	if text := a.must(200)(a.get("/students/Quince")); !strings.Contains(text, h.address+"/own/"+token) {
		t.Error("the link is not at the public address")
	}
	phone.must(404)(phone.get("/own/" + strings.Repeat("A", len(token))))
	if status, _ := b.get("/students/Quince"); status != 404 {
		t.Errorf("Bea asks for Ana's student: %d", status)
	}
}

// All cookies travel encrypted alone and are out of reach of scripts; the club answers to no other name.
func TestCookiesAndNames(t *testing.T) {
	h := newHouse(t)
	owner := h.somebody(nil, club.Owner, "Olga")
	v := h.as(&owner)
	v.sample()
	r, err := v.client.PostForm(h.address+"/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}, "seconds": {"0"}})
	if err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	cookies := r.Cookies()
	phone, err := h.as(nil).client.Get(h.address + "/join")
	if err != nil {
		t.Fatal(err)
	}
	phone.Body.Close()
	cookies = append(cookies, phone.Cookies()...)
	cookies = append(cookies, signedInCookies(h, &owner)...)
	if len(cookies) < 3 {
		t.Errorf("%d cookies", len(cookies))
	}
	for _, c := range cookies {
		if !c.Secure || !c.HttpOnly || c.SameSite != http.SameSiteLaxMode {
			t.Errorf("the cookie %s: %+v", c.Name, c)
		}
	}
	for name, want := range map[string]int{"elsewhere.example": 421, "127.0.0.1": 421, strings.TrimPrefix(h.address, "https://"): 200} {
		r, _ := http.NewRequest("GET", h.address+"/sign-in", nil)
		r.Host = name
		if status, _ := v.answer(v.client.Do(r)); status != want {
			t.Errorf("asked as %s: %d, wanted %d", name, status, want)
		}
	}
	// A form on another site.
	r2, _ := http.NewRequest("POST", h.address+"/account/codes", nil)
	r2.Header.Set("Sec-Fetch-Site", "cross-site")
	if status, _ := v.answer(v.client.Do(r2)); status != 403 {
		t.Errorf("a form on another site: %d", status)
	}
}

// signedInCookies are those of signing in by a recovery code.
func signedInCookies(h *house, p *club.Person) []*http.Cookie {
	h.t.Helper()
	codes, err := h.club.RenewCodes(p)
	if err != nil {
		h.t.Fatal(err)
	}
	r, err := h.as(nil).client.PostForm(h.address+"/sign-in/code", url.Values{"code": {codes[0]}})
	if err != nil {
		h.t.Fatal(err)
	}
	r.Body.Close()
	if r.StatusCode != 303 {
		h.t.Fatalf("a recovery code: %d", r.StatusCode)
	}
	return r.Cookies()
}

// A recovery code signs in once; wrong ones are bounded by the address that a trusted proxy names, so that nobody else is shut out, and one
// who makes an address up is not believed.
func TestRecoveryAndFloods(t *testing.T) {
	h := newHouse(t)
	owner := h.somebody(nil, club.Owner, "Olga")
	codes, err := h.club.RenewCodes(&owner)
	if err != nil {
		t.Fatal(err)
	}
	try := func(code string, way ...string) int {
		r, _ := http.NewRequest("POST", h.address+"/sign-in/code", strings.NewReader(url.Values{"code": {code}}.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header["X-Forwarded-For"] = way
		status, _ := h.as(nil).answer(h.as(nil).client.Do(r))
		return status
	}
	if status := try(codes[0], "192.0.2.1"); status != 303 {
		t.Errorf("a code: %d", status)
	}
	if status := try(codes[0], "192.0.2.1"); status != 401 {
		t.Errorf("the code a second time: %d", status)
	}
	refused := 0
	for i := range 30 { // from one address, whatever it says of those before it
		if try("made up", fmt.Sprintf("203.0.113.%d, 192.0.2.66", i)) == 429 {
			refused++
		}
	}
	if refused < 15 {
		t.Errorf("%d of 30 wrong codes were refused unseen", refused)
	}
	if status := try(codes[1], "192.0.2.2"); status != 303 {
		t.Errorf("somebody else meanwhile: %d", status)
	}
	// So are passkeys asked for.
	refused = 0
	for range 40 {
		r, _ := http.NewRequest("POST", h.address+"/sign-in/begin", nil)
		r.Header.Set("X-Forwarded-For", "192.0.2.66")
		if status, _ := h.as(nil).answer(h.as(nil).client.Do(r)); status == 429 {
			refused++
		}
	}
	if refused < 10 {
		t.Errorf("%d of 40 were refused", refused)
	}
	// And codes of classes.
	refused = 0
	for range 20 {
		r, _ := http.NewRequest("GET", h.address+"/join/"+class.CodeLetters[:class.CodeLength], nil)
		r.Header.Set("X-Forwarded-For", "192.0.2.66")
		if status, _ := h.as(nil).answer(h.as(nil).client.Do(r)); status == 429 {
			refused++
		}
	}
	if refused < 5 {
		t.Errorf("%d of 20 wrong codes of classes were refused", refused)
	}
}

// X-Forwarded-For is read from its end, past trusted proxies alone.
func TestRealAddress(t *testing.T) {
	f := &Front{Setup: Setup{Proxies: []netip.Prefix{netip.MustParsePrefix("10.0.0.0/8"), netip.MustParsePrefix("::1/128")}}}
	for _, c := range []struct {
		from string
		way  []string
		want string
	}{
		{"192.0.2.9:1", []string{"198.51.100.1"}, "192.0.2.9"},                          // no proxy of ours
		{"10.1.1.1:1", nil, "10.1.1.1"},                                                 // a proxy that says nothing
		{"10.1.1.1:1", []string{"198.51.100.1"}, "198.51.100.1"},                        // one proxy
		{"10.1.1.1:1", []string{"203.0.113.7, 198.51.100.1, 10.2.2.2"}, "198.51.100.1"}, // two, and something made up
		{"10.1.1.1:1", []string{"203.0.113.7", "198.51.100.1"}, "198.51.100.1"},         // in two lines
		{"10.1.1.1:1", []string{"198.51.100.1, nonsense, 10.2.2.2"}, "10.2.2.2"},        // what stands before nonsense is none
		{"[::1]:1", []string{"2001:db8:1:2:3::4"}, "2001:db8:1:2::/64"},                 // a network counts as one
		{"10.1.1.1:1", []string{"::ffff:198.51.100.1"}, "198.51.100.1"},
	} {
		r := &http.Request{RemoteAddr: c.from, Header: http.Header{"X-Forwarded-For": c.way}}
		got := ""
		f.fromProxies(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { got = addressOf(r) })).ServeHTTP(httptest.NewRecorder(), r)
		if got != c.want {
			t.Errorf("%s %q: %s, wanted %s", c.from, c.way, got, c.want)
		}
	}
}

// What is logged and counted tells nothing of anybody: no names, no tokens, no addresses of pages, also where something fails inside.
func TestWatching(t *testing.T) {
	h := newHouse(t)
	owner := h.somebody(nil, club.Owner, "Olga")
	v := h.as(&owner)
	s := h.kept.For(owner.Workbook)
	if _, err := s.AddStudent("Quince"); err != nil {
		t.Fatal(err)
	}
	token, err := s.StudentToken("Quince")
	if err != nil {
		t.Fatal(err)
	}
	invitation, err := h.club.Invite(&owner, club.Teacher, "Ana")
	if err != nil {
		t.Fatal(err)
	}
	v.must(200)(v.get("/students/Quince"))
	v.must(404)(v.get("/students/Nobody"))
	v.must(200)(v.get("/own/" + token))
	v.must(200)(v.get("/invitation/" + invitation))
	v.must(403)(v.get("/metrics")) // it comes through a proxy, as far as anybody can tell
	read := func(path string) string {
		w := httptest.NewRecorder()
		r := httptest.NewRequest("GET", path, nil)
		r.RemoteAddr = "127.0.0.1:1"
		h.front.Handler().ServeHTTP(w, r)
		return w.Body.String()
	}
	metrics := read("/metrics")
	for _, want := range []string{`secondpass_requests_total{route="GET /students/{name}",status="200"} 1`, `secondpass_requests_total{route="GET /students/{name}",status="404"} 1`,
		`secondpass_requests_total{route="GET /own/{token}",status="200"} 1`, `secondpass_workbooks_open 1`, "secondpass_request_seconds_bucket", "go_goroutines"} {
		if !strings.Contains(metrics, want) {
			t.Errorf("no %s in the metrics", want)
		}
	}
	if health := read("/healthz"); health != "well\n" {
		t.Error(health)
	}
	at, _ := url.Parse(h.address)
	session := v.client.Jar.Cookies(at)[0].Value
	// The disk is gone.
	h.kept.Close()
	status, text := v.get("/students/Quince")
	if status != 500 && status != 503 {
		t.Errorf("with the database closed: %d", status)
	}
	log := h.log.String()
	for _, secret := range []string{"Quince", "Nobody", "Olga", token, invitation, session} {
		for where, told := range map[string]string{"the log": log, "the metrics": metrics + read("/metrics")} {
			if strings.Contains(told, secret) {
				t.Errorf("%s tells %q", where, secret)
			}
		}
	}
	if !strings.Contains(log, `route="GET /students/{name}" status=404`) || !strings.Contains(log, "level=ERROR") || strings.Contains(text, "closed") {
		t.Errorf("the log: %s\nthe page: %s", log, shorten(text))
	}
}

// Sessions are listed and ended one by one, by whom they belong to alone.
func TestSessions(t *testing.T) {
	h := newHouse(t)
	owner := h.somebody(nil, club.Owner, "Olga")
	ana := h.somebody(&owner, club.Teacher, "Ana")
	here, there, other := h.as(&ana), h.as(&ana), h.as(&owner)
	sessions, err := h.club.Sessions(ana.ID, h.club.Now())
	if err != nil || len(sessions) != 2 {
		t.Fatal(sessions, err)
	}
	hash := func(text string) (hashes []string) {
		for _, part := range strings.Split(text, `name="session" value="`)[1:] {
			one, _, _ := strings.Cut(part, `"`)
			hashes = append(hashes, one)
		}
		return hashes
	}
	text := here.must(200)(here.get("/account"))
	listed := hash(text)
	if len(listed) != 1 || strings.Count(text, "this browser") != 1 {
		t.Fatalf("%d others listed: %s", len(listed), shorten(text))
	}
	other.must(404)(other.post("/account/sessions/end", url.Values{"session": {listed[0]}}))
	there.must(200)(there.get("/account"))
	here.must(303)(here.post("/account/sessions/end", url.Values{"session": {listed[0]}}))
	there.must(303)(there.get("/account"))
	there.must(401)(there.post("/exercises", nil))
	third := h.as(&ana)
	here.must(303)(here.post("/account/sessions/end", nil))
	third.must(303)(third.get("/account"))
	here.must(200)(here.get("/account"))
	// A session that somebody ended by signing out does not come back with its cookie.
	at, _ := url.Parse(h.address)
	cookies := here.client.Jar.Cookies(at)
	here.must(303)(here.post("/sign-out", nil))
	here.client.Jar.SetCookies(at, cookies)
	here.must(303)(here.get("/account"))
}

// Signing in leads to where one was going within the club, and nowhere else.
func TestInside(t *testing.T) {
	for to, want := range map[string]string{"/lessons?part=2": "/lessons?part=2", "": "/", "https://elsewhere.example": "/", "//elsewhere.example": "/", `/\elsewhere.example`: "/", "/\t/elsewhere.example": "/"} {
		if got := inside(to); got != want {
			t.Errorf("%q leads to %q, wanted %q", to, got, want)
		}
	}
}

// So many workbooks are held and no more: the one idle longest is closed, none in which somebody is, and what it kept is there again.
func TestWorkbooksAreBounded(t *testing.T) {
	h := newHouse(t)
	h.front.books.most = 2
	owner := h.somebody(nil, club.Owner, "Olga")
	ana, bea := h.somebody(&owner, club.Teacher, "Ana"), h.somebody(&owner, club.Teacher, "Bea")
	for i, p := range []*club.Person{&owner, &ana, &bea, &owner} {
		v := h.as(p)
		if i < 3 {
			v.sample()
		}
		v.must(200)(v.get("/exercises/1"))
		if n := h.front.books.held(); n > 2 {
			t.Errorf("%v workbooks", n)
		}
	}
	_, leaveAna, _, err := h.front.books.of(ana.Workbook)
	if err != nil {
		t.Fatal(err)
	}
	_, leaveBea, _, err := h.front.books.of(bea.Workbook)
	if err != nil {
		t.Fatal(err)
	}
	v := h.as(&owner)
	v.must(503)(v.get("/exercises/1"))
	leaveBea()
	v.must(200)(v.get("/exercises/1"))
	leaveAna()
}

// square is a QR code: it holds the address of the club.
var square = regexp.MustCompile(`(?s)<svg class="qr".*?</svg>`)

// A workbook goes out as one file, which is a backup of a data folder, and into an empty workbook of another club, where the same is then;
// over what is there already, and from what is no backup, nothing comes in.
func TestMoving(t *testing.T) {
	h, other := newHouse(t), newHouse(t)
	owner, others := h.somebody(nil, club.Owner, "Olga"), other.somebody(nil, club.Owner, "Oskar")
	h.settle(&owner, "Quince", 2)
	v, w := h.as(&owner), other.as(&others)
	backup := v.must(200)(v.get("/account/workbook/file"))
	send := func(v *visitor, data string) (int, string) {
		var body bytes.Buffer
		form := multipart.NewWriter(&body)
		f, _ := form.CreateFormFile("file", "workbook.zip")
		io.WriteString(f, data)
		form.Close()
		return v.answer(v.client.Post(v.address+"/account/workbook/import", form.FormDataContentType(), &body))
	}
	for _, bad := range []string{"", "no backup", backup[:len(backup)/2]} {
		if text := w.must(422)(send(w, bad)); !strings.Contains(text, "no sound backup") {
			t.Error(shorten(text))
		}
	}
	w.must(303)(send(w, backup))
	for _, path := range []string{"/exercises", "/students/Quince", "/lessons", "/cards/Quince", "/classes"} {
		before, after := v.must(200)(v.get(path)), w.must(200)(w.get(path))
		before, after = square.ReplaceAllString(before, ""), square.ReplaceAllString(strings.ReplaceAll(after, other.address, h.address), "")
		if after != before {
			t.Errorf("%s: %s\nbefore: %s", path, shorten(after), shorten(before))
		}
	}
	if text := w.must(422)(send(w, backup)); !strings.Contains(text, "holds something already") {
		t.Error(shorten(text))
	}
	// It is a data folder too.
	dir := t.TempDir()
	file := filepath.Join(t.TempDir(), "workbook.zip")
	if err := os.WriteFile(file, []byte(backup), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := folder.Restore(dir, file, time.Now()); err != nil {
		t.Fatal(err)
	}
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if list, err := s.List(false); err != nil || len(list) != 2 {
		t.Error(list, err)
	}
}

// What a teacher gives comes to others as a copy of their own: exercise, lesson, card and drills; twice under another name. What is for one is not
// taken by another.
func TestSharing(t *testing.T) {
	h := newHouse(t)
	owner := h.somebody(nil, club.Owner, "Olga")
	ana, bea, cleo := h.somebody(&owner, club.Teacher, "Ana"), h.somebody(&owner, club.Teacher, "Bea"), h.somebody(&owner, club.Teacher, "Cleo")
	h.settle(&ana, "Quince", 1)
	a, b, c := h.as(&ana), h.as(&bea), h.as(&cleo)
	text := a.must(200)(a.get("/shelf"))
	for _, what := range []string{"exercise 1", "lesson 1", "card Quince"} {
		if !strings.Contains(text, `value="`+what+`"`) {
			t.Errorf("no %s to give: %s", what, shorten(text))
		}
		a.must(303)(a.post("/shelf", url.Values{"what": {what}, "for": {fmt.Sprint(bea.Workbook)}, "remark": {"For the first evening"}}))
	}
	text = b.must(200)(b.get("/shelf"))
	takes := regexp.MustCompile(`/shelf/(\d+)/take`).FindAllStringSubmatch(text, -1)
	if len(takes) != 3 || !strings.Contains(text, "For the first evening") {
		t.Fatalf("Bea sees %v: %s", takes, shorten(text))
	}
	if text := c.must(200)(c.get("/shelf")); strings.Contains(text, "Quince") {
		t.Error("Cleo sees what is Bea's")
	}
	for range 2 {
		for _, take := range takes {
			b.must(303)(b.post("/shelf/"+take[1]+"/take", nil))
			c.must(404)(c.post("/shelf/"+take[1]+"/take", nil))
		}
	}
	for path, names := range map[string][]string{"/exercises": {"Quince deal", "Quince deal 2"}, "/lessons": {"Quince 0", "Quince 0 2"}, "/cards": {"Quince", "Quince 2"}} {
		text := b.must(200)(b.get(path))
		for _, name := range names {
			if !strings.Contains(text, ">"+name+"<") {
				t.Errorf("%s is not on %s: %s", name, path, shorten(text))
			}
		}
	}
	// Ana's own changes nothing of them.
	a.must(303)(a.post("/exercises/1/rename", url.Values{"name": {"Changed since"}}))
	if text := b.must(200)(b.get("/exercises")); strings.Contains(text, "Changed since") {
		t.Error("a copy follows its original")
	}
	for _, bad := range []url.Values{{}, {"what": {"exercise 99"}, "for": {"0"}}, {"what": {"student 1"}, "for": {"0"}}, {"what": {"card none"}, "for": {"0"}}, {"what": {"drills none"}, "for": {"0"}}, {"what": {"lesson x"}, "for": {"0"}}, {"what": {"exercise 1"}, "for": {"me"}}, {"what": {"exercise 1"}, "for": {"99"}}} {
		if status, text := a.post("/shelf", bad); status != 422 && status != 404 {
			t.Errorf("%v: %d %s", bad, status, shorten(text))
		}
	}
}
