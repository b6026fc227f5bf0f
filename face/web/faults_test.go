package web_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"html"
	"log/slog"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"secondpass/face/web"
	"secondpass/store/files"
	"secondpass/store/sql"
)

var (
	faultRounds = flag.Int("rounds", 150, "rounds of mixed work on pages with writes that fail at random")
	faultSeed   = flag.Uint64("seed", 1, "seed of the mixed work")
)

// pages is a workbook over such a disk, and what it has acknowledged.
type pages struct {
	*testing.T
	dir     string
	disk    *fault
	kept    *sql.Store
	handler http.Handler
	r       *rand.Rand
	did     map[string]int

	exercises, lessons map[int64]*keptExercise // by number
	students           map[string]int          // the tries of each
	shown              string                  // when a drill was shown last
	cards              map[string]string       // text by name
	seen               map[string]string       // the revision of a card that its window knows
	made               int
}

// keptExercise is an exercise or, without decisions, a lesson.
type keptExercise struct {
	name      string
	decisions int
	played    int  // actions of the seat in the play
	table     bool // simulated players sit at it, and its route is walked on into the play
	deleted   bool
}

func newPages(t *testing.T, seed uint64) *pages {
	p := &pages{T: t, dir: t.TempDir(), disk: &fault{}, r: rand.New(rand.NewPCG(seed, 0)), did: map[string]int{}, exercises: map[int64]*keptExercise{},
		lessons: map[int64]*keptExercise{}, students: map[string]int{}, cards: map[string]string{}, seen: map[string]string{}}
	p.start()
	t.Cleanup(func() { p.kept.Close() })
	c, drills := someDrills(t)
	if _, err := p.kept.AddDrills(drills, c); err != nil {
		t.Fatal(err)
	}
	return p
}

func (p *pages) start() {
	s, err := sql.Open(p.dir)
	if err != nil {
		p.Fatal(err)
	}
	kept := files.In(p.dir, nil)
	kept.Cards = cardsOnBadDisk{kept.Cards, p.disk}
	w, err := web.New(onBadDisk{s, p.disk}, kept, p.dir, slog.New(slog.DiscardHandler))
	if err != nil {
		p.Fatal(err)
	}
	p.kept, p.handler = s, w.Handler()
}

// ask sends a request. No answer is a 500, and none tells what only the log may.
func (p *pages) ask(method, path string, form url.Values, headers ...string) *httptest.ResponseRecorder {
	p.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
	r.Host = "127.0.0.1:7520"
	if method == "POST" {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	p.handler.ServeHTTP(w, r)
	if body := w.Body.String(); w.Code == http.StatusInternalServerError || strings.Contains(body, "/home/somebody") {
		p.Errorf("%s %s %v: %d\n%.600s", method, path, form, w.Code, body[max(0, strings.Index(body, "<main")):])
	}
	return w
}

// post sends a form; ok says that it is acknowledged, and then path is where it leads. What the disk has not taken answers
// 507 or 503 and says so.
func (p *pages) post(what, path string, form url.Values, headers ...string) (to string, ok bool) {
	p.Helper()
	before := p.disk.failed
	w := p.ask("POST", path, form, headers...)
	ok = w.Code < 400
	switch failed := p.disk.failed > before; {
	case failed && (w.Code != http.StatusInsufficientStorage && w.Code != http.StatusServiceUnavailable || !strings.Contains(strings.ToLower(w.Body.String()), "not saved")):
		p.Errorf("%s: a write has failed, and the answer is %d", what, w.Code)
	case failed:
		p.did[what+" refused"]++
	case ok:
		p.did[what]++
	default:
		p.did[what+" not now"]++
	}
	return w.Header().Get("Location"), ok
}

var (
	seenField     = regexp.MustCompile(`name="seen" value="([^"]*)"`)
	revisionField = regexp.MustCompile(`name="revision" value="([^"]*)"`)
	inPath        = regexp.MustCompile(`^/[a-z]+/(\d+)`)
)

func found(re *regexp.Regexp, text string) string { return html.UnescapeString(first(re, text)) }

func (p *pages) name(of string) string {
	p.made++
	return fmt.Sprintf("%s %d", of, p.made)
}

// one is one of those kept that are deleted or not.
func (p *pages) one(of map[int64]*keptExercise, deleted bool) (id int64, x *keptExercise) {
	ids := slices.DeleteFunc(slices.Sorted(maps.Keys(of)), func(id int64) bool { return of[id].deleted != deleted })
	if len(ids) == 0 {
		return 0, &keptExercise{}
	}
	id = ids[p.r.IntN(len(ids))]
	return id, of[id]
}

// add notes a new one where a form has led to it.
func (p *pages) add(of map[int64]*keptExercise, path string, x keptExercise) {
	id, err := strconv.ParseInt(found(inPath, path), 10, 64)
	if err != nil || of[id] != nil {
		p.Errorf("what is new is at %q, %v", path, of[id])
		return
	}
	of[id] = &x
}

func (p *pages) deal() {
	name := p.name("Exercise")
	if to, ok := p.post("deal", "/exercises", url.Values{"act": {"deal"}, "seed": {strconv.Itoa(p.made)}, "name": {name}}); ok {
		p.add(p.exercises, to, keptExercise{name: name})
	}
}

func (p *pages) decide() {
	id, x := p.one(p.exercises, false)
	step := fmt.Sprintf("/exercises/%d/routes/A", id)
	if id == 0 || x.decisions >= 3 {
		return
	}
	text := p.ask("GET", step, nil).Body.String()
	form := url.Values{"at": {found(atField, text)}}
	for _, m := range tileField.FindAllStringSubmatch(text, -1) {
		if m[1] != "J" && len(form["tile"]) < 3 {
			form.Add("tile", m[1])
		}
	}
	if _, ok := p.post("decide", step+"/decide", form); ok {
		x.decisions++
		if p.r.IntN(3) == 0 { // the same once more, as from a second press
			if _, ok := p.post("decide again", step+"/decide", form); ok {
				p.Errorf("one decision is taken twice")
			}
		}
	}
}

func (p *pages) undo() {
	id, x := p.one(p.exercises, false)
	if id == 0 || x.decisions == 0 {
		return
	}
	step := fmt.Sprintf("/exercises/%d/routes/A", id)
	if _, ok := p.post("undo", step+"/undo", url.Values{"at": {strconv.Itoa(x.decisions + x.played)}}); ok {
		if x.played > 0 {
			x.played--
		} else {
			x.decisions--
		}
	}
}

// play takes a game at a table one action on: the passing, then what a keen beginner does of what the page offers.
func (p *pages) play() {
	var id int64
	for n, x := range p.exercises {
		if x.table && !x.deleted {
			id = max(id, n)
		}
	}
	if id == 0 {
		name := p.name("Table")
		form := url.Values{"act": {"deal"}, "seed": {strconv.Itoa(p.made)}, "name": {name}, "incoming": {"table"}, "players": {"nearest"}}
		if to, ok := p.post("deal a table", "/exercises", form); ok {
			p.add(p.exercises, to, keptExercise{name: name, table: true})
		}
		return
	}
	x, step := p.exercises[id], fmt.Sprintf("/exercises/%d/routes/A", id)
	text := p.ask("GET", step, nil).Body.String()
	form := url.Values{"at": {found(atField, text)}}
	switch {
	case needField.MatchString(text):
		for _, m := range tileField.FindAllStringSubmatch(text, -1) {
			if m[1] != "J" && len(form["tile"]) < int(first(needField, text)[0]-'0') {
				form.Add("tile", m[1])
			}
		}
	case strings.Contains(text, `name="stop"`):
		form.Set("stop", "no")
	case strings.Contains(text, `name="count"`):
		form.Set("count", "0")
	case strings.Contains(text, `class="how"`): // the game is over
		x.table = false
		return
	default:
		form = keenly(text, p.r.IntN(2) == 0)
		for range 1 + p.r.IntN(2) { // again, as from a second press
			if _, ok := p.post("play", step+"/play", form); ok {
				x.played++
			}
		}
		return
	}
	if _, ok := p.post("decide", step+"/decide", form); ok {
		x.decisions++
	}
}

func (p *pages) rename() {
	id, x := p.one(p.exercises, false)
	name := p.name("Renamed")
	if _, ok := p.post("rename", fmt.Sprintf("/exercises/%d/rename", id), url.Values{"name": {name}}); ok {
		x.name = name
	}
}

func (p *pages) duplicate() {
	id, x := p.one(p.exercises, false)
	if to, ok := p.post("duplicate", fmt.Sprintf("/exercises/%d/duplicate", id), nil); ok {
		n, _ := strconv.ParseInt(found(inPath, to), 10, 64)
		copied, err := p.kept.Load(strconv.FormatInt(n, 10))
		if err != nil {
			p.Errorf("the copy at %s: %v", to, err)
			return
		}
		p.add(p.exercises, to, keptExercise{name: copied.Entry.Name, decisions: x.decisions, played: x.played})
	}
}

// away deletes one, or brings one back.
func (p *pages) away(what string, of map[int64]*keptExercise, path string) {
	gone := p.r.IntN(2) == 0
	act := map[bool]string{false: "delete", true: "restore"}[gone]
	id, x := p.one(of, gone)
	if _, ok := p.post(act+" "+what, fmt.Sprintf("/%s/%d/%s", path, id, act), nil); ok {
		x.deleted = !gone
	}
}

func (p *pages) newLesson() {
	name := p.name("Lesson")
	if to, ok := p.post("new lesson", "/lessons", url.Values{"title": {name}}); ok {
		p.add(p.lessons, to, keptExercise{name: name})
	}
}

func (p *pages) changeLesson() {
	id, x := p.one(p.lessons, false)
	name := p.name("Retitled")
	if id == 0 {
		return
	}
	path := fmt.Sprintf("/lessons/%d", id)
	form := url.Values{"revision": {found(revisionField, p.ask("GET", path, nil).Body.String())}, "title": {name}}
	if _, ok := p.post("change lesson", path, form); ok {
		x.name = name
	}
}

func (p *pages) student() {
	name := p.name("Student")
	if len(p.students) > 3 && p.r.IntN(2) == 0 {
		name = slices.Sorted(maps.Keys(p.students))[0]
		if _, ok := p.post("delete student", "/students/"+url.PathEscape(name)+"/delete", url.Values{"sure": {name}}); ok {
			delete(p.students, name)
		}
		return
	}
	if _, ok := p.post("new student", "/practice", url.Values{"act": {"add"}, "name": {name}}); ok {
		p.students[name] = 0
	}
}

// try answers a drill as a student does; a second tap, or the same again after a refusal, is the same try.
func (p *pages) try() {
	if len(p.students) == 0 {
		return
	}
	names := slices.Sorted(maps.Keys(p.students))
	name := names[p.r.IntN(len(names))]
	cookie, _, _ := strings.Cut(p.ask("POST", "/practice", url.Values{"name": {name}}).Header().Get("Set-Cookie"), ";")
	path := fmt.Sprintf("/practice/drills/%d", 1+p.r.IntN(3))
	shown := found(shownField, p.ask("GET", path, nil, "Cookie", cookie).Body.String())
	if shown == "" || shown == p.shown {
		p.Errorf("%s shows the moment %q, and before %q", path, shown, p.shown)
		return
	}
	p.shown = shown
	kept := false
	for range 1 + p.r.IntN(3) {
		if _, ok := p.post("try", path, url.Values{"shown": {shown}, "choice": {strconv.Itoa(1 + p.r.IntN(2))}}, "Cookie", cookie); ok && !kept {
			kept = true
			p.students[name]++
		}
	}
}

func (p *pages) card() {
	names := slices.Sorted(maps.Keys(p.cards))
	text := fmt.Sprintf("card C\nsection S\n25 exposed FFF 22x 444y 66z 8888x # %d\n", p.made)
	if len(names) < 2 {
		name := p.name("Card")
		if _, ok := p.post("new card", "/cards", url.Values{"name": {name}, "text": {text}}); ok {
			p.cards[name] = text
		}
		return
	}
	name := names[p.r.IntN(len(names))]
	path := "/cards/" + url.PathEscape(name)
	switch p.r.IntN(6) {
	case 0:
		if _, ok := p.post("delete card", path+"/delete", nil); ok {
			back := p.cards[name]
			delete(p.cards, name)
			if _, ok := p.post("restore card", path+"/restore", nil); ok {
				p.cards[name] = back
			}
		}
	default:
		seen := found(seenField, p.ask("GET", path+"/edit", nil).Body.String())
		if p.r.IntN(4) == 0 && p.seen[name] != "" {
			seen = p.seen[name] // a window that was left open
		}
		p.seen[name] = seen
		if _, ok := p.post("edit card", path+"/text", url.Values{"text": {text + p.name("#")}, "seen": {seen}}); ok {
			p.cards[name] = text + fmt.Sprintf("# %d", p.made)
		}
	}
}

// restart ends the program in order, or leaves it as a kill does, and starts it again.
func (p *pages) restart() {
	p.did["restart"]++
	if old := p.kept; p.r.IntN(2) == 0 {
		old.Close()
		p.start()
	} else {
		p.start()
		old.Close() // whatever it has not yet folded in is in the log, which the new one reads
	}
}

// look compares what is kept, what the pages show, and what was acknowledged.
func (p *pages) look() {
	p.Helper()
	entries, err := p.kept.List(false)
	deleted, err2 := p.kept.List(true)
	if err != nil || err2 != nil {
		p.Fatal(err, err2)
	}
	if len(entries)+len(deleted) != len(p.exercises) {
		p.Errorf("%d exercises and %d deleted are kept; %d were acknowledged", len(entries), len(deleted), len(p.exercises))
	}
	for _, e := range append(entries, deleted...) {
		if x := p.exercises[e.ID]; x == nil || x.name != e.Name || x.deleted != e.Deleted {
			p.Errorf("kept is %+v; acknowledged %+v", e, x)
		}
	}
	if id, x := p.one(p.exercises, false); id != 0 {
		var file struct {
			Name, Seat string
			Routes     []struct {
				Decisions []any
				Play      []string
			}
		}
		body := p.ask("GET", fmt.Sprintf("/exercises/%d/file", id), nil).Body.Bytes()
		if err := json.Unmarshal(body, &file); err != nil || file.Name != x.name || len(file.Routes) != 1 || len(file.Routes[0].Decisions) != x.decisions ||
			len(slices.DeleteFunc(file.Routes[0].Play, func(act string) bool { return !strings.HasPrefix(act, file.Seat+" ") })) != x.played {
			p.Errorf("shown is %s with %+v, %v; acknowledged %+v", file.Name, file.Routes, err, x)
		}
	}
	lessons, err := p.kept.Lessons()
	there := 0
	for _, x := range p.lessons {
		if !x.deleted {
			there++
		}
	}
	if err != nil || len(lessons) != there {
		p.Errorf("%d lessons are kept, %d were acknowledged; %v", len(lessons), there, err)
	}
	for _, l := range lessons {
		if x := p.lessons[l.ID]; x == nil || x.deleted || x.name != l.Title {
			p.Errorf("kept is the lesson %+v; acknowledged %+v", l, x)
		}
	}
	students, err := p.kept.Students()
	if err != nil || len(students) != len(p.students) {
		p.Errorf("%d students are kept, %d were acknowledged; %v", len(students), len(p.students), err)
	}
	for _, st := range students {
		want, known := p.students[st.Name]
		if tries, err := p.kept.Tries(st.ID); !known || err != nil || len(tries) != want {
			p.Errorf("kept are %d tries of student %s, %v; acknowledged (%v) are %d", len(tries), st.Name, err, known, want)
		}
	}
	kept := files.In(p.dir, nil).Cards
	names, err := kept.List()
	if err != nil || !slices.Equal(names, slices.Sorted(maps.Keys(p.cards))) {
		p.Errorf("the cards %v are kept; acknowledged are %v, %v", names, p.cards, err)
	}
	for name, want := range p.cards {
		if text, err := kept.Text(name); err != nil || string(text) != want {
			p.Errorf("of %s is kept %q, %v; acknowledged is %q", name, text, err, want)
		}
	}
	lists := map[string]string{"/exercises": "/exercises/", "/lessons": "/lessons/", "/students": "/students/", "/cards": "/cards/", "/drills": "", "/practice": "", "/backups": "", "/standing": ""}
	path := slices.Sorted(maps.Keys(lists))[p.r.IntN(len(lists))]
	if w := p.ask("GET", path, nil); w.Code != http.StatusOK {
		p.Errorf("%s: %d", path, w.Code)
	}
}

// Mixed work on the pages of exercises, games, lessons, students, drills and cards: forms are sent, again and from windows that were left
// open, while one write of three fails a third of the time; the program ends and starts. After each round what is kept and
// shown is what was acknowledged: nothing less, nothing more, nothing twice. No page answers 500.
func TestRandomFaults(t *testing.T) {
	const ofOneFolder = 150
	did := map[string]int{}
	for i := range uint64((*faultRounds + ofOneFolder - 1) / ofOneFolder) {
		p := newPages(t, *faultSeed+i)
		acts := []func(){p.deal, p.decide, p.decide, p.decide, p.undo, p.play, p.play, p.play, p.play, p.play, p.rename, p.duplicate, p.newLesson, p.changeLesson, p.student, p.try, p.try, p.card, p.card, p.card,
			func() { p.away("exercise", p.exercises, "exercises") }, func() { p.away("lesson", p.lessons, "lessons") }, p.restart}
		for range ofOneFolder {
			if p.r.IntN(3) == 0 {
				p.disk.luck = rand.New(rand.NewPCG(p.r.Uint64(), 1))
			}
			acts[p.r.IntN(len(acts))]()
			p.disk.luck = nil
			p.look()
			if t.Failed() {
				t.Fatalf("seed %d, after %v", *faultSeed+i, p.did)
			}
		}
		for what, n := range p.did {
			did[what] += n
		}
		p.kept.Close()
	}
	for _, what := range []string{"deal", "deal refused", "decide", "decide refused", "play", "play refused", "undo", "rename", "duplicate", "new lesson", "change lesson", "new student", "try", "try refused", "edit card", "edit card refused", "restore exercise", "restart"} {
		if did[what] == 0 && *faultRounds >= 2000 {
			t.Errorf("in %d rounds there was no %q: %v", *faultRounds, what, did)
		}
	}
	t.Logf("%d rounds: %v", *faultRounds, did)
}
