package web_test

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

func TestForkAndCompare(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "31", "name", "Two ways")
	b.stepOnce(step)
	b.stepOnce(step)
	p := b.see(browser.Desk, parent(step))
	if p.Text("#comparison h2") != "Where the route stands" {
		t.Errorf("one route alone has the foot %q", p.Text("#comparison h2"))
	}
	// One click forks at the second step: what was passed before stays, the second pass is open again.
	p.Follow(`button[aria-label="fork here, 2 First across, route A"]`)
	p.UntilText("h1", "Three across")
	if p.Count(".last .passed") != 3 {
		t.Error("the fork has lost the pass before it")
	}
	browser.Eval[bool](p, `[...document.querySelectorAll(".rack input:not([data-joker])")].slice(-3).every(i => (i.click(), true))`)
	p.Follow("#go")
	second := p.Path()
	b.walkTo(step, "The passing is over")
	b.walkTo(second, "The passing is over")

	p.Reload()
	p.Follow(p.Named("Compare the routes"))
	p.UntilText(".routes", "The routes part here.")
	rows := browser.Eval[[]string](p, `[...document.querySelectorAll(".routes tbody tr")].map(r => r.className + ":" + (r.querySelector("th")?.innerText.split("\n")[0] ?? "") + ":" + r.querySelectorAll("td:not(.none)").length)`)
	if len(rows) < 6 || rows[1] != ":1 First right:1" || rows[2] != "fork::1" || rows[4] != ":2 First across:2" {
		t.Errorf("the sheet's rows are %q; wanted the first pass shared, then the fork, then two columns", rows)
	}
	if tops := browser.Eval[int](p, `new Set([...document.querySelectorAll(".routes tr.last > *")].map(c => c.getBoundingClientRect().top)).size`); tops != 1 {
		t.Errorf("the ends of the routes stand in %d rows, wanted one beside the other", tops)
	}
	if p.Count("#comparison tbody tr") < 7 || p.Count("#comparison thead .badge") != 2 {
		t.Error("the comparison has not two columns of seven measures")
	}
	p.UntilText("#comparison thead", "B beside A")

	p.Click(p.Named("Rename or remove route B"))
	browser.Eval[string](p, `document.querySelector("#comparison details[open] [name=name]").value = ""`)
	p.Type("#comparison details[open] [name=name]", "Keep the flowers")
	p.Follow(p.Named("Rename"))
	p.UntilText(".heads", "Keep the flowers")

	// A third route beside the two, by the boxes above.
	p.Follow(`.routes button[aria-label^="fork here, Dealt"]`)
	p.Go(b.address + parent(step))
	for range p.Count(`form.choose label:not(:has(:checked))`) {
		p.Click(`form.choose label:not(:has(:checked))`)
	}
	p.Follow(p.Named("Show"))
	if n := p.Count(".heads td:not(.none)"); n != 3 {
		t.Errorf("%d routes stand side by side, wanted 3 (%s)", n, p.Path())
	}
	p.As(browser.Phone)
	said := browser.Eval[[]string](p, `[...document.querySelectorAll("#comparison tbody:first-of-type tr:nth-child(2) td")].map(td => (td.dataset.of ? getComputedStyle(td, "::before").content : td.innerText.split(" ")[0]) + (td.innerText.trim() ? "" : " empty"))`)
	if got := strings.Join(said, " "); got != `"A" "B" "C" B C` {
		t.Errorf("on a phone the cells of a measure are headed %s", got)
	}
}

// width is how wide the first interval of an element is, from its words "low to high".
func width(p *browser.Page, css string) float64 {
	text := strings.ReplaceAll(p.Text(css), "−", "-")
	fields := strings.Fields(text)
	for i := 1; i+1 < len(fields); i++ {
		if fields[i] == "to" {
			low, bad := strconv.ParseFloat(fields[i-1], 64)
			high, worse := strconv.ParseFloat(fields[i+1], 64)
			if bad == nil && worse == nil {
				return high - low
			}
		}
	}
	return 0
}

const showsInterval = `/[0-9.]+ to [0-9.]+/.test(document.querySelector(%q)?.innerText ?? "")`

// tightens starts a simulation and watches its first interval until it is narrower by a fifth, while the page stays.
func tightens(t *testing.T, p *browser.Page, start, interval string) {
	t.Helper()
	p.Follow(p.Named(start))
	p.Until("a first interval", fmt.Sprintf(showsInterval, interval))
	wide := width(p, interval)
	browser.Eval[bool](p, `window.testSamePage = true`)
	p.Until(fmt.Sprintf("an interval narrower than %.1f by a fifth", wide), fmt.Sprintf(`(() => { const m = /(-?[0-9.]+) to (-?[0-9.]+)/.exec((document.querySelector(%q)?.innerText ?? "").replaceAll("\u2212", "-")); return m && m[2] - m[1] < %g })()`, interval, 0.8*wide))
	if !browser.Eval[bool](p, `window.testSamePage === true`) {
		t.Error("the page was loaded anew in between: nothing is live")
	}
}

func TestLiveOutlook(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, "/exercises/1")
	const chance = ".simulated tr:first-child td.num .cap"
	tightens(t, p, "Simulate chance and net points", chance)
	for _, says := range []string{"games a route, paired, seed 4711", "95 % intervals"} {
		p.UntilText("#outlook", says)
	}
	if n := p.Count(".simulated tr:first-child td.num"); n != 3 {
		t.Errorf("the chance has %d cells, wanted one for each route and the difference", n)
	}
	stop(p)
	games := count(p, "#outlook .live .num")
	if games == 0 {
		t.Fatal("what was played is not kept after the stop")
	}
	judge(t, p, "sheet-simulated")
	p.As(browser.Desk)
	p.Reload()
	if now := count(p, "#outlook .live .num"); now != games {
		t.Errorf("stopped at %d games, and a reload shows %d", games, now)
	}
	p.Follow(p.Named("Go on"))
	p.Until("more games than before the stop", fmt.Sprintf(`parseInt(document.querySelector("#outlook .live .num")?.innerText) > %d`, games))
}

// stop stops what is simulated, which may come to its end at any moment by itself, and waits until it stands.
func stop(p *browser.Page) {
	browser.Eval[bool](p, `Boolean(document.querySelector("form.live button[value=stop]")?.click()) || true`)
	p.Until("the end of the simulation", `document.readyState === "complete" && document.querySelector("form.live button")?.innerText.startsWith("Go on")`)
}

// count is the number that an element begins with.
func count(p *browser.Page, css string) int {
	n, _ := strconv.Atoi(strings.SplitN(p.Text(css)+" ", " ", 2)[0])
	return n
}

func TestLiveAdvice(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "32")
	p := b.see(browser.Desk, step)
	p.Click(p.Named("Your three first"))
	p.Follow(p.Named("Open it now"))
	if p.Count(".cands") > 0 {
		t.Error("the advice is there before it was asked for")
	}
	tightens(t, p, "Show the advice", ".cands tbody tr:first-child .cap")
	if p.Count(".cands tr.in") == 0 {
		t.Error("no candidate is in the top group")
	}
	stop(p)
	p.Reload()
	if p.Count(".cands tbody tr") == 0 {
		t.Error("the advice found so far is gone after the stop and a reload")
	}
	judge(t, p, "advice")
	if b.post(step+"/advice", url.Values{"act": {"stop"}}) == "" {
		t.Error("a second stop is refused")
	}
}
