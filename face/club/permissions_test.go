//go:build unix

package club

import (
	_ "embed"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"secondpass/club"
	"secondpass/face/web"
	"secondpass/face/web/page"
	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/teach/lesson"
)

//go:embed testdata/routes.txt
var routesText string

// routesTable is who may use each route.
func routesTable(t *testing.T) map[string][]club.Role {
	t.Helper()
	table := map[string][]club.Role{}
	var may []club.Role
	for line := range strings.Lines(routesText) {
		line = strings.TrimSpace(line)
		switch roles, heading := strings.CutPrefix(line, "# "); {
		case line == "" || strings.HasPrefix(line, "//"):
		case heading:
			may = nil
			for _, r := range strings.Fields(roles) {
				if r == "visitor" {
					r = ""
				}
				may = append(may, club.Role(r))
			}
		default:
			if table[line] != nil {
				t.Errorf("%s stands twice in the table", line)
			}
			table[line] = may
		}
	}
	return table
}

// routes is all that a club answers.
func (h *house) routes() []string {
	all := slices.Concat(h.front.own.Patterns(), h.front.phones.Patterns(), h.front.lobby.server.Routes())
	slices.Sort(all)
	return slices.Compact(all)
}

// mark stands in the names of all that is one teacher's.
const mark = "Zanzibar"

// settle fills a teacher's workbook with so many of each sort, under a name, so that numbers of somebody who has more are not those of
// somebody who has few. held is what a request names in place of the parts of a route, token that of a student in the class, key the
// teacher's of it.
func (h *house) settle(p *club.Person, name string, many int) (held map[string]string, token, key string) {
	h.t.Helper()
	v := h.as(p)
	s, kept := h.kept.Kept(p.Workbook)
	for range many {
		at := v.must(303)(v.post("/exercises", url.Values{"act": {"deal"}, "seed": {"7"}, "name": {name + " deal"}}))
		if at == "" {
			h.t.Fatal("no exercise")
		}
		v.must(303)(v.post("/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}, "seconds": {"0"}}))
	}
	st, err := s.AddStudent(name)
	if err != nil {
		h.t.Fatal(err)
	}
	own, err := s.StudentToken(st.Name)
	if err != nil {
		h.t.Fatal(err)
	}
	for i := range many {
		if _, err := s.AddLesson(&lesson.Lesson{Title: fmt.Sprint(name, " ", i)}); err != nil {
			h.t.Fatal(err)
		}
	}
	text := strings.Replace(card.PracticeText, card.Practice().Name, name, 1)
	if _, err := kept.Cards.Keep(name, "", []byte(text), nil); err != nil {
		h.t.Fatal(err)
	}
	list, err := s.Classes()
	if err != nil {
		h.t.Fatal(err)
	}
	c, err := s.LoadClass(list[0].ID)
	if err != nil {
		h.t.Fatal(err)
	}
	phone := h.as(nil)
	phone.must(303)(phone.post("/join", url.Values{"code": {c.Code}, "name": {name}}))
	at, _ := url.Parse(h.address)
	for _, k := range phone.client.Jar.Cookies(at) {
		if k.Name == studentCookie {
			token = k.Value
		}
	}
	held = map[string]string{"{id}": fmt.Sprint(list[0].ID), "{name}": name, "{route}": "A", "{at}": "0", "{try}": "1", "{number}": "1", "{file}": "x", "{code}": c.Code, "{token}": own, "{$}": ""}
	return held, token, c.Key
}

// request is a request to a route about what is held.
func (h *house) request(route string, held map[string]string, role club.Role, who *club.Person, token string, keys ...string) *http.Request {
	h.t.Helper()
	method, path, ok := strings.Cut(route, " ")
	if !ok {
		method, path = "GET", route
	}
	if path == "/" {
		path = "/nowhere"
	}
	for part, value := range held {
		path = strings.ReplaceAll(path, part, value)
	}
	r, err := http.NewRequest(method, h.address+path, strings.NewReader(""))
	if err != nil {
		h.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("X-Forwarded-For", "192.0.2."+fmt.Sprint(100+len(role)))
	if who != nil {
		r.AddCookie(h.session(who))
	}
	if token != "" {
		r.AddCookie(&http.Cookie{Name: studentCookie, Value: token})
	}
	for i, k := range keys {
		r.AddCookie(&http.Cookie{Name: fmt.Sprint("class-", i+1), Value: k})
	}
	return r
}

// ask is the status and text of an answer, or where it leads; of a stream the status alone.
func (v *visitor) ask(r *http.Request) (int, string) {
	v.t.Helper()
	answer, err := v.client.Do(r)
	if err != nil {
		v.t.Fatal(err)
	}
	if strings.HasPrefix(answer.Header.Get("Content-Type"), "text/event-stream") {
		answer.Body.Close()
		return answer.StatusCode, ""
	}
	return v.answer(answer, nil)
}

// letIn is what a workbook answers here where somebody is let in.
const letIn = http.StatusTeapot

// Every route, every role, for what is their own and for what is somebody else's. For their own those in the table are let in and
// nobody else is. What is another teacher's is not found, whoever asks for it by its number, name or token, nor is it changed.
func TestPermissions(t *testing.T) {
	h := newHouse(t)
	table := routesTable(t)
	for _, route := range h.routes() {
		if table[route] == nil {
			t.Errorf("%s is in no row of testdata/routes.txt: who may use it?", route)
		}
	}
	for route := range table {
		if !slices.Contains(h.routes(), route) {
			t.Errorf("%s of testdata/routes.txt is no route", route)
		}
	}
	owner := h.somebody(nil, club.Owner, "Olga")
	ana := h.somebody(&owner, club.Teacher, "Ana")
	anas := h.somebody(&ana, club.Assistant, "Ana's Hal")
	theirs, foreignToken, _ := h.settle(&ana, mark, 3)
	before := h.everything(&ana)

	bea := h.somebody(&owner, club.Teacher, "Bea")
	beas := h.somebody(&bea, club.Assistant, "Bea's Hal")
	held, token, key := h.settle(&bea, "Own", 1)
	ownerHeld, _, ownerKey := h.settle(&owner, "Own", 1)
	ours := map[club.Role]struct {
		who    *club.Person
		held   map[string]string
		token  string
		key    string
		person int64 // whom they manage
	}{
		club.Owner:     {&owner, ownerHeld, "", ownerKey, bea.ID},
		club.Teacher:   {&bea, held, "", key, beas.ID},
		club.Assistant: {&beas, held, "", key, bea.ID},
		club.Student:   {nil, held, token, "", bea.ID},
		club.Visitor:   {nil, held, "", "", bea.ID},
	}
	v := h.as(nil)
	// Somebody else's. People of another workbook are asked for by their numbers.
	for route := range table {
		if !strings.Contains(route, "{") || strings.Contains(route, "{$}") || strings.Contains(route, "/assets/") || strings.Contains(route, "/invitation") || strings.Contains(route, "/join") {
			continue // names nothing that is somebody's, or what lets whoever has it in
		}
		for role, our := range ours {
			foreign := map[string]string{}
			for part, value := range theirs {
				foreign[part] = value
			}
			if strings.Contains(route, "/people/") {
				foreign["{id}"] = fmt.Sprint(anas.ID)
			}
			foreign["{token}"] = strings.Repeat("A", len(theirs["{token}"]))
			status, text := v.ask(h.request(route, foreign, role, our.who, our.token, our.key, our.key, our.key))
			refused := status == 401 || status == 403 || status == 404 || status == 303 && strings.HasPrefix(text, signInPath)
			leadsOn := status == 303 && strings.HasPrefix(route, "GET /practice/") // to the page that asks who practises
			if !refused && !leadsOn && !strings.Contains(route, "/live") && status < 400 || strings.Contains(text, mark) && !strings.Contains(route, "{name}") {
				t.Errorf("%q asks %s for what is somebody else's: %d %s", role, route, status, shorten(text))
			}
		}
	}
	if after := h.everything(&ana); after != before {
		t.Error("something of Ana's was changed by others")
	}
	if _, err := h.club.Person(anas.ID); err != nil {
		t.Error("Ana's assistant:", err)
	}
	if phone, text := v.ask(h.request("GET /room", nil, club.Student, nil, foreignToken)); phone != 200 || !strings.Contains(text, mark) {
		t.Error("Ana's student is not in her class any more:", phone)
	}

	// Their own. Where the club lets somebody into a workbook nothing more is done here.
	h.front.books.close()
	open := h.front.books.open
	h.front.books.open = func(teacher int64, s store.Store, files store.Files) (*web.Server, error) {
		may := h.front.mayCome(teacher)
		return web.InClub(s, files, h.front.Log, web.Club{Address: h.address, Room: web.NewRoom(), May: func(r *http.Request, route string) error {
			if err := may(r, route); err != nil {
				return err
			}
			return page.Errorf(letIn, "Let in.")
		}})
	}
	defer func() { h.front.books.open = open }()
	for route, may := range table {
		for role, our := range ours {
			mine := map[string]string{}
			for part, value := range our.held {
				mine[part] = value
			}
			if strings.Contains(route, "/people/{id}") {
				mine["{id}"] = fmt.Sprint(our.person)
			}
			if role != club.Student && strings.Contains(route, "{token}") && strings.HasPrefix(strings.TrimLeft(route, "GETPOS "), "/own") {
				mine["{token}"] = strings.Repeat("A", len(mine["{token}"])) // they hold none
			}
			r := h.request(route, mine, role, our.who, our.token, our.key, our.key)
			if route == "POST /people/{id}/end" {
				r.Body = http.NoBody // asked without being sure: nobody is ended
			}
			status, text := v.ask(r)
			refused := status == 401 || status == 403 || status == 303 && strings.HasPrefix(text, signInPath)
			switch want := slices.Contains(may, role); {
			case strings.HasPrefix(route, "GET /room"), strings.HasPrefix(route, "POST /room"), strings.Contains(route, "/own/"):
				// Who holds no token is told that they have no place, or that nothing is there: see below.
				if want && (status == 401 || status == 403) || !want && strings.Contains(text, "Own") {
					t.Errorf("%q asks %s: %d %s", role, route, status, shorten(text))
				}
			case slices.Contains(may, club.Visitor):
				if status == 403 || status == letIn {
					t.Errorf("%q asks %s, which is for everybody: %d", role, route, status)
				}
			case want == refused:
				t.Errorf("%q asks %s: %d, may %v: %s", role, route, status, want, shorten(text))
			}
		}
	}
}

// everything is all that a teacher keeps, as text.
func (h *house) everything(p *club.Person) string {
	h.t.Helper()
	s, kept := h.kept.Kept(p.Workbook)
	var b strings.Builder
	list, err := s.List(false)
	if err != nil {
		h.t.Fatal(err)
	}
	for _, e := range list {
		x, err := s.Load(fmt.Sprint(e.ID))
		if err != nil {
			h.t.Fatal(err)
		}
		fmt.Fprintf(&b, "%d %s %d\n", e.ID, e.Name, e.Revision)
		if err := x.Write(&b); err != nil {
			h.t.Fatal(err)
		}
	}
	lessons, err := s.Lessons()
	if err != nil {
		h.t.Fatal(err)
	}
	for _, l := range lessons {
		fmt.Fprintf(&b, "lesson %d %s %d\n", l.ID, l.Title, l.Revision)
	}
	classes, err := s.Classes()
	if err != nil {
		h.t.Fatal(err)
	}
	for _, c := range classes {
		fmt.Fprintf(&b, "class %d %d %v\n", c.ID, c.Students, c.Ended)
	}
	d, err := s.StudentData(mark)
	if err != nil {
		h.t.Fatal(err)
	}
	if err := d.Write(&b); err != nil {
		h.t.Fatal(err)
	}
	text, err := kept.Cards.Text(mark)
	if err != nil {
		h.t.Fatal(err)
	}
	return b.String() + string(text)
}
