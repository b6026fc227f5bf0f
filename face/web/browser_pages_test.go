package web_test

import (
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// screen is a page as somebody meets it.
type screen struct{ name, path string }

// screens fills a workbook so that every kind of page has something to show, and lists them.
func screens(b *book) []screen {
	b.t.Helper()
	pass := b.deal("seed", "7", "name", "A deal of its own")
	vote := b.deal("seed", "8", "name", "At the vote")
	b.walkTo(vote, "Stop here")
	name := b.deal("seed", "9", "name", "At the courtesy")
	b.walkTo(name, "Courtesy: how")
	give := b.deal("seed", "9", "name", "At the giving")
	b.walkTo(give, "Courtesy: two")
	over := b.deal("seed", "10", "name", "At the end")
	b.walkTo(over, "The passing is over")
	typed := b.deal("seed", "11", "name", "Real tiles", "incoming", "entered")
	blind := b.deal("seed", "12", "name", "Blind allowed")
	for range 2 {
		b.stepOnce(blind)
	}
	three := parent(b.post(pass+"/fork", url.Values{"at": {"0"}, "name": {"With the flowers"}}))
	b.post(pass+"/fork", url.Values{"at": {"0"}, "name": {"To the winds"}})
	pinned := b.deal("seed", "13", "name", "With a plan")
	_, text := b.get(pinned)
	b.post(pinned+"/pin", url.Values{"hand": {first(handField, text)}})
	gone := b.deal("seed", "14", "name", "Thrown away")
	b.post(parent(gone)+"/delete", nil)
	b.post("/cards", url.Values{"name": {"Own card"}, "text": {faulty}})
	discard := atPlay(b, "seed", "41", "name", "At the discard")
	claim, end := playPages(b)
	noted := b.deal("seed", "15", "name", "With remarks")
	b.pinFirst(noted)
	b.stepOnce(noted)
	b.post(noted+"/remark", url.Values{"at": {"0"}, "remark": {"The pairs decide it: which of them would you keep?"}})
	b.post(noted+"/pin", url.Values{"section": {"Runs"}})
	b.stepOnce(noted)
	b.post(noted+"/undo", url.Values{"at": {"2"}})
	b.post(b.post(noted+"/fork", url.Values{"at": {"1"}})+"/remove", nil)
	mended := b.post("/exercises", url.Values{"act": {"rack"}, "rack": {"123b 456c 789d NEWS"}, "incoming": {"entered"}})
	b.post(mended+"/decide", url.Values{"at": {"0"}, "tile": {"N", "E", "W"}, "came": {"1b 4c 7d"}})
	return []screen{
		{"exercises", "/exercises?deleted=" + number(gone)}, {"exercises-none-found", "/exercises?q=zzz"},
		{"sheet", "/exercises/1"}, {"sheet-under-way", parent(blind)}, {"sheet-three-routes", three + "?routes=0,1,2"},
		{"step-pass", pass}, {"step-blind", blind}, {"step-vote", vote}, {"step-courtesy", name}, {"step-give", give}, {"step-over", over},
		{"step-typed", typed}, {"step-plan", pinned}, {"hands", pass + "/hands"},
		{"step-noted", noted}, {"step-past", noted + "/steps/0"}, {"step-mend", mended + "/steps/0"}, {"sheet-noted", parent(noted)}, {"end", over + "/end"}, {"end-play", end + "/end"},
		{"advice-closed", pass + "/advice"}, {"review-closed", "/exercises/1/routes/A/review"},
		{"play-discard", discard}, {"play-claim", claim}, {"play-end", end},
		{"play-past", fmt.Sprintf("%s/steps/%d", end, b.passed(end)+1)},
		{"cards", "/cards"}, {"card", "/cards/Lantern"}, {"card-kept", "/exercises/1/card"}, {"card-editor", "/cards/Own%20card/edit"}, {"card-earlier", "/cards/Own%20card/history/1"},
		{"lessons", "/lessons"}, {"lesson", b.post("/lessons", url.Values{"title": {"Two plans"}})}, {"students", "/students"}, {"classes", "/classes"},
		{"experiments", "/experiments"}, {"experiment-new", "/experiments/new"}, {"experiment", severalMeasures(b)}, {"series", b.endedSeries()}, {"workers", "/workers"}, {"card-report", "/cards/Lantern/report"},
		{"drills", "/drills"}, {"practice", "/practice"}, {"reading", "/practice/reading"}, {"record", discard + "/record"}, {"replies", "/exercises/1/replies"}, {"reader-pages", "/reader-pages"},
		{"pictures", "/exercises/1/pictures"}, {"help", "/help"}, {"backups", "/backups"}, {"stop", "/stop"}, {"not-found", "/nowhere"},
	}
}

// playPages are a discard that may be claimed and the end of a play.
func playPages(b *book) (claim, end string) {
	b.t.Helper()
	for seed := 42; seed < 62; seed++ {
		step := atPlay(b, "seed", strconv.Itoa(seed), "name", fmt.Sprintf("At a claim, %d", seed))
		over := false
		for n := 0; n < 90 && !over && (claim == "" || end == ""); n++ {
			_, text := b.get(step)
			f := url.Values{"at": {first(atField, text)}}
			switch {
			case strings.Contains(text, `class="how"`):
				end, over = step, true
				continue
			case strings.Contains(text, `value="claim"`) && claim == "":
				claim = b.post(step+"/fork", f)
				f.Set("act", "decline")
			case strings.Contains(text, `value="decline"`):
				f.Set("act", "decline")
			default:
				f.Set("act", "discard")
				f.Set("tile", first(tileField, text))
			}
			b.post(step+"/play", f)
		}
		if claim != "" && end != "" {
			return claim, end
		}
	}
	b.t.Fatal("no play has an end, or none a discard to claim")
	return "", ""
}

// passed is the number of decisions of a route's passing.
func (b *book) passed(step string) int {
	b.t.Helper()
	_, x := b.kept(step)
	return len(x.Routes[0].Decisions)
}

func parent(step string) string { return step[:strings.Index(step, "/routes/")] }

func number(step string) string { return strings.TrimPrefix(parent(step), "/exercises/") }

// Every page, with all that can be opened open: nothing that keeps somebody out, nothing beyond the window, nothing too
// small to read or to hit.
func TestPages(t *testing.T) {
	t.Parallel()
	b := open(t)
	all := screens(b)
	t.Run("looked at", func(t *testing.T) {
		for part := range 2 { // two tabs side by side
			t.Run(fmt.Sprint(part), func(t *testing.T) {
				t.Parallel()
				p := browser.Open(t, browser.Desk, b.address+"/help")
				for i := part; i < len(all); i += 2 {
					if *only != "" && !regexp.MustCompile(*only).MatchString(all[i].name) {
						continue
					}
					p.Go(b.address + all[i].path)
					judge(t, p, all[i].name)
				}
				for _, text := range p.Complaints() {
					if !strings.Contains(text, "404") { // the page that is not there
						t.Errorf("the browser complains: %s", text)
					}
				}
			})
		}
	})
	covered(t, all)
}

// judge looks at the page that is open in light and dark, wide and narrow, and writes its pictures where they are
// wanted.
func judge(t *testing.T, p *browser.Page, name string) {
	t.Helper()
	browser.Eval[int](p, `document.querySelectorAll("details").forEach(d => d.open = true), 0`)
	blame := func(what string, lines []string) {
		t.Helper()
		for _, line := range lines {
			t.Errorf("%s: %s: %s", name, what, line)
		}
	}
	measures := func(look browser.Look, tap float64) {
		t.Helper()
		where := fmt.Sprintf(", %d wide", look.Width)
		blame("beyond the window"+where, p.Sideways())
		blame("too small to read"+where, p.Small(16))
		blame("too small to tap"+where, p.Cramped(tap))
		blame("a word a line"+where, p.Stacked())
		if look.Width < 640 {
			if head := browser.Eval[float64](p, `document.querySelector("nav.bar")?.getBoundingClientRect().height ?? 0`); head > 80 {
				t.Errorf("%s: the head takes %.0f px of a phone, wanted 80 at most", name, head)
			}
		}
	}
	take := func(look browser.Look) {
		if *pictures != "" {
			shade := map[bool]string{false: "light", true: "dark"}[look.Dark]
			p.Picture(filepath.Join(*pictures, fmt.Sprintf("%s-%s-%d.png", name, shade, look.Width)))
		}
	}
	light, dark, phone, night := browser.Desk, browser.Desk, browser.Phone, browser.Phone
	dark.Dark, night.Dark = true, true
	p.As(light)
	blame("barrier in light", p.Barriers())
	blame("links of one name", p.Namesakes())
	blame("no minus sign", p.Hyphened())
	measures(light, 24)
	take(light)
	p.As(dark) // what differs are colours
	blame("barrier in dark", p.Barriers("color-contrast", "link-in-text-block"))
	take(dark)
	p.As(night)
	blame("barrier on a phone in the dark", p.Barriers())
	measures(night, 24)
	take(night)
	if *pictures != "" {
		p.As(phone)
		take(phone)
	}
}

// noPage is the addresses that answer something else than a page: files, pictures, live figures, a part of a page.
var noPage = regexp.MustCompile(`^/(assets/.*|standing|rack|pictures/rack|practice/next|own/\{token\}/next|room/card|students\.csv|\{\$\})?$|/(live|now|series|file|picture|reader-page|pictures\.zip|record\.json|plot|paper|\{file\})$`)

// apart is the pages that take a class, phones, an experiment or answers to come to: tests of their own judge them.
var apart = []string{"/classes/{id}", "/classes/{id}/sheet", "/classes/{id}/projector", "/classes/{id}/students", "/join", "/join/{code}", "/room", "/drills/{id}", "/practice/drills/{id}", "/practice/tries/{try}",
	"/students/{name}", "/drills/new", "/own/{token}", "/own/{token}/drills/{id}", "/own/{token}/tries/{try}"}

// covered makes sure that a new page is not forgotten above: every address that the sources route is visited.
func covered(t *testing.T, all []screen) {
	t.Helper()
	files, err := filepath.Glob("*.go")
	inAreas, err2 := filepath.Glob("*/*.go")
	if err != nil || err2 != nil || len(inAreas) == 0 {
		t.Fatal(err, err2)
	}
	files = append(files, inAreas...)
	route, place := regexp.MustCompile(`"GET (/[^"]*)"`), regexp.MustCompile(`\\\{[^}]*\\\}`)
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil || strings.HasSuffix(file, "_test.go") {
			continue
		}
		for _, m := range route.FindAllStringSubmatch(string(text), -1) {
			page := regexp.MustCompile("^" + place.ReplaceAllString(regexp.QuoteMeta(m[1]), `[^/?]+`) + `(\?|$)`)
			seen := noPage.MatchString(m[1]) || slices.Contains(apart, m[1])
			for _, s := range all {
				seen = seen || page.MatchString(s.path)
			}
			if !seen {
				t.Errorf("%s: no test looks at the page %s", file, m[1])
			}
		}
	}
}
