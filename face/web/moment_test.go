package web_test

import (
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// pinFirst pins the nearest hand of a step and gives its name.
func (b *book) pinFirst(step string) string {
	b.t.Helper()
	_, text := b.get(step)
	hand := first(handField, text)
	b.post(step+"/pin", url.Values{"hand": {hand}})
	return hand
}

// A step that is opened later shows the plan, the rack and the hands that it had, and a fork there takes its plan.
func TestAStepIsAsItWas(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "31")
	early := b.pinFirst(step)
	b.stepOnce(step)
	_, before := b.get(step + "/steps/0")
	b.post(step+"/pin", url.Values{}) // frees the plan
	late := ""
	_, text := b.get(step)
	for _, m := range handField.FindAllStringSubmatch(text, -1) {
		if m[1] != early {
			late = m[1]
		}
	}
	b.post(step+"/pin", url.Values{"hand": {late}})
	b.stepOnce(step)
	p := b.see(browser.Desk, step)
	p.Follow(".ladder a") // the first step
	p.UntilText("h1", "Step 1: Three to the right")
	p.UntilText("section .cap", "Plan: "+early)
	if _, now := b.get(step + "/steps/0"); asItWas(now) != asItWas(before) {
		t.Errorf("the first step was\n%s\nand after a change of plan it is\n%s", asItWas(before), asItWas(now))
	}
	if _, text := b.get(step + "/steps/1"); !strings.Contains(text, "Plan: "+late+".") {
		t.Errorf("the second step has not the plan %s: %s", late, shorten(text))
	}
	p.Follow(p.Named("Fork here"))
	p.UntilText(".plan-head", "Your plan")
	if got := p.Text("#beside .hands h3"); got != early {
		t.Errorf("the fork at the first step is planned for %s, not %s", got, early)
	}
	p.Go(b.address + parent(step))
	if p.Count(`a[aria-label="look at 1 First right, route A"]`)+p.Count(`a[aria-label^="look at"]`) == 0 {
		t.Error("the sheet does not lead to the steps")
	}
	for path, want := range map[string]int{"/steps/9": 404, "/steps/x": 404, "/steps/-1": 404} {
		if code, _ := b.get(step + path); code != want {
			t.Errorf("GET %s: %d", path, code)
		}
	}
}

// asItWas is what a page of a step says of then: what was held, decided and near.
func asItWas(text string) string {
	_, text, _ = strings.Cut(text, "Held then")
	held, rest, _ := strings.Cut(text, `<div class="acts below">`)
	_, near, _ := strings.Cut(rest, "Nearest hands then")
	return held + near
}

// What was taken back is done again, by the button and the key, also after a reload; another decision ends it.
func TestRedoInTheBrowser(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "32")
	b.stepOnce(step)
	b.stepOnce(step)
	p := b.see(browser.Desk, step)
	was := p.Text(".last")
	p.Follow(`[data-key="u"]`)
	p.Follow(`[data-key="u"]`)
	p.UntilText("h1", "Three to the right")
	p.Reload()
	p.Follow(`[data-key="r"]`)
	p.UntilText("h1", "Three across")
	p.PressOn("r")
	p.UntilText("h1", "Three to the left")
	if got := p.Text(".last"); got != was {
		t.Errorf("done again stands %q where it was %q", got, was)
	}
	if p.Count(`[data-key="r"]`) != 0 {
		t.Error("there is more to be done again than was taken back")
	}
	// A plan pinned in place is taken back in its turn, and a remark.
	p.Click("#beside .pinning button")
	p.UntilText(".back", "Undo the plan")
	p.Until("the plan is shown", `document.querySelector("#beside .plan-head")`)
	b.post(step+"/remark", url.Values{"at": {"0"}, "remark": {"Why not the flowers?"}})
	if code, _ := b.send("POST", step+"/undo", url.Values{"at": {"2"}, "changes": {"1"}}.Encode()); code != http.StatusConflict {
		t.Errorf("an undo made for the plan, where a remark came after it: %d", code)
	}
	p.Reload()
	p.Follow(`[title="the remark at the deal"]`)
	p.UntilText(".back", "Redo the remark")
	p.PressOn("u")
	p.Until("no plan is shown", `!document.querySelector("#beside .plan-head")`)
	p.UntilText(".back", "Redo the plan")
	p.PressOn("r")
	p.Until("the plan is shown", `document.querySelector("#beside .plan-head")`)
	p.Follow(`[data-key="u"]`)
	p.Until("no plan is shown", `!document.querySelector("#beside .plan-head")`)
	p.Follow(`[data-key="u"]`)
	code, _ := b.send("POST", step+"/redo", url.Values{"at": {"7"}}.Encode())
	if code != http.StatusConflict {
		t.Errorf("a redo for another moment: %d", code)
	}
	p.UntilText("h1", "Three across")
	browser.Eval[bool](p, `[...document.querySelectorAll(".rack input:not([data-joker])")].slice(-3).every(i => (i.click(), true))`)
	p.Follow("#go")
	if code, text := b.send("POST", step+"/redo", url.Values{"at": {"2"}}.Encode()); code != http.StatusUnprocessableEntity || !strings.Contains(text, "Nothing of route A was taken back") {
		t.Errorf("a redo after another decision: %d", code)
	}
}

// A mistyped tile is mended where it stands; the decisions after it are taken again, and what does not fit is named.
func TestMendingInTheBrowser(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.post("/exercises", url.Values{"act": {"rack"}, "rack": {"123b 456c 789d NEWS"}, "incoming": {"entered"}})
	for i, d := range [][]string{{"N", "E", "W", "1b 4c 7d"}, {"2b", "5c", "8d", "G R 0"}, {"G", "R", "0", "F 9b 9c"}} {
		b.post(step+"/decide", url.Values{"at": {string(rune('0' + i))}, "tile": d[:3], "came": {d[3]}})
	}
	p := b.see(browser.Desk, step+"/steps/0")
	p.Click("#mend summary")
	browser.Eval[string](p, `document.querySelector("#mend [name=came]").value = "1b 4c 8c"`)
	p.Follow("#mend button")
	p.UntilText("[role=status].said", "Route A is mended; all decisions after it still fit.")
	if _, text := b.get(step); !strings.Contains(text, `name="stop"`) {
		t.Errorf("the later decisions are gone: %s", shorten(text))
	}
	p.Go(b.address + step + "/steps/1")
	p.Click("#mend summary")
	browser.Eval[string](p, `document.querySelector("#mend [name=came]").value = "5b R 0"`)
	p.Follow("#mend button")
	p.UntilText("[role=status].said", "G is not in the rack")
	if code, text := b.send("POST", step+"/mend", url.Values{"at": {"0"}, "came": {"1b"}}.Encode()); code != http.StatusUnprocessableEntity || !strings.Contains(text, "1 tiles came") && !strings.Contains(text, "Nothing is mended") {
		t.Errorf("one tile for three: %d", code)
	}
	if code, _ := b.send("POST", step+"/mend", url.Values{"at": {"0"}, "deal": {"123b"}}.Encode()); code != http.StatusUnprocessableEntity {
		t.Errorf("a deal of three tiles: %d", code)
	}
	p.Go(b.address + step)
	p.Press("r")
	p.UntilText("[role=alert]", "G is not in the rack")
}

func TestRemarks(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "33")
	b.stepOnce(step)
	b.post(step+"/remark", url.Values{"at": {"0"}, "remark": {"Why not <the> flowers?"}})
	b.post(step+"/remark", url.Values{"at": {"1"}, "remark": {"Now it is your turn."}})
	for path, want := range map[string]string{step + "/steps/0": "Why not &lt;the&gt; flowers?", step: "Now it is your turn.", parent(step): "Why not &lt;the&gt; flowers?"} {
		if _, text := b.get(path); !strings.Contains(text, `<p class="remarked">`+want) {
			t.Errorf("%s does not show %q", path, want)
		}
	}
	for at, want := range map[string]int{"9": 404, "x": 404} {
		if code, _ := b.send("POST", step+"/remark", url.Values{"at": {at}, "remark": {"?"}}.Encode()); code != want {
			t.Errorf("a remark at %s: %d", at, code)
		}
	}
	if code, _ := b.send("POST", step+"/remark", url.Values{"at": {"0"}, "remark": {strings.Repeat("x", 2001)}}.Encode()); code != http.StatusUnprocessableEntity {
		t.Errorf("a remark of 2001 characters: %d", code)
	}
}

// A removed route comes back with its letter and address.
func TestARemovedRouteComesBackInTheBrowser(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "34")
	b.stepOnce(step)
	second := b.post(step+"/fork", url.Values{"at": {"1"}})
	p := b.see(browser.Desk, parent(step))
	p.Click(p.Named("Rename or remove route B"))
	p.Follow(p.Named("Remove route B"))
	p.UntilText(".said", "Route B is removed.")
	if code, _ := b.get(second); code != http.StatusNotFound {
		t.Error("the removed route is still there")
	}
	p.Follow(p.Named("Undo"))
	p.UntilText(".routes", "The routes part here.")
	if code, _ := b.get(second); code != http.StatusOK {
		t.Error("the route that came back has another address")
	}
	b.post(second+"/remove", nil)
	if _, text := b.get(parent(step)); !strings.Contains(text, `aria-label="Bring back route B"`) {
		t.Error("the sheet does not offer the removed route")
	}
	b.post(second+"/restore", nil)
	if code, _ := b.send("POST", second+"/restore", ""); code != http.StatusUnprocessableEntity {
		t.Error("a route restored that is not removed")
	}
}

// The end of the passing has a page of its own, and from there any exercise is played on.
func TestTheEndAndPlayingOn(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "10")
	b.walkTo(step, "The passing is over")
	p := b.see(browser.Desk, step+"/end")
	for _, says := range []string{"Spare for the nearest hand", "clean", "Options", "Chance and net points"} {
		p.UntilText("main", says)
	}
	p.Follow(p.Named("Simulate chance and net points"))
	p.Until("the simulation", `document.querySelector("#outlook button[value=stop]") || /games a route/.test(document.querySelector("#outlook").innerText)`)
	if !strings.HasSuffix(p.Path(), "/end") {
		t.Errorf("the simulation led away to %s", p.Path())
	}
	p.Follow(p.Named("Play on against three players"))
	p.UntilText("main", "Nobody sat at the other seats during the passing")
	if p.Count(".rack input, .window button") == 0 {
		t.Error("nothing is to be decided in the play")
	}
	p.Follow(p.Named("The end of the passing"))
	p.UntilText("h1", "The passing is over")
	table := b.deal("seed", "41", "incoming", "table", "players", "random")
	at := ""
	for range 12 {
		if _, text := b.get(table); strings.Contains(text, `id="discard"`) || strings.Contains(text, `class="window due"`) {
			break
		}
		_, text := b.get(table)
		f := url.Values{"at": {first(atField, text)}}
		for _, m := range tileField.FindAllStringSubmatch(text, -1) {
			if need := needField.FindString(text); m[1] != "J" && need != "" && len(f["tile"]) < int(first(needField, text)[0]-'0') {
				f.Add("tile", m[1])
			}
		}
		f.Set("stop", "yes")
		f.Set("count", "0")
		at = b.post(table+"/decide", f)
	}
	if !strings.HasSuffix(at, "/end") {
		t.Errorf("the last pass at a table led to %s, not to the end of the passing", at)
	}
	if code, _ := b.send("POST", step+"/playon", url.Values{"at": {"99"}}.Encode()); code != http.StatusConflict {
		t.Errorf("playing on at another moment: %d", code)
	}
}

// A class begins at a step that is looked at, and a section of the card is aimed at.
func TestFromAStepOnwards(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "35")
	b.stepOnce(step)
	b.stepOnce(step)
	id := number(step)
	b.client.Jar, _ = cookiejar.New(nil)
	if path := b.post("/classes", url.Values{"exercise": {id}, "mode": {"vote"}, "start": {"A"}, "at": {"1"}}); !strings.HasPrefix(path, "/classes/") {
		t.Errorf("the class led to %s", path)
	}
	if _, text := b.get(parent(step) + "/routes/B"); first(atField, text) != "1" {
		t.Errorf("the route of the class stands at %s, not after the first decision", first(atField, text))
	}
	if code, _ := b.send("POST", "/classes", url.Values{"exercise": {id}, "mode": {"vote"}, "start": {"A"}, "at": {"9"}}.Encode()); code != http.StatusUnprocessableEntity {
		t.Errorf("a class at a step that there is not: %d", code)
	}
	b.post(step+"/pin", url.Values{"section": {"Runs"}})
	if _, text := b.get(step); !strings.Contains(text, "Free the plan (Runs)") {
		t.Errorf("no section is aimed at: %s", shorten(text))
	}
	if code, _ := b.send("POST", step+"/pin", url.Values{"section": {"Nothing"}}.Encode()); code != http.StatusUnprocessableEntity {
		t.Errorf("a section that there is not: %d", code)
	}
}

// Exercises are found by tiles, card and plan; card and seat of the last deal are remembered, and a card deals.
func TestFindingAndRemembering(t *testing.T) {
	t.Parallel()
	b := open(t)
	b.client.Jar, _ = cookiejar.New(nil)
	b.post("/exercises", url.Values{"act": {"rack"}, "rack": {"1122b 3344c 556d JJ"}, "name": {"Two jokers"}})
	aimed := b.deal("seed", "3", "name", "Aimed", "seat", "W")
	b.post(aimed+"/pin", url.Values{"section": {"Evens"}})
	for query, want := range map[string]string{"has=JJ": "Two jokers", "aim=even&on=lantern": "Aimed", "q=aimed": "Aimed", "aim=Nothing": "No exercise fits that."} {
		_, text := b.get("/exercises?" + query)
		if _, list, _ := strings.Cut(text, `id="list"`); !strings.Contains(list, want) || strings.Count(list, `class="acts-of"`) > 2 {
			t.Errorf("%s does not find %q", query, want)
		}
	}
	if code, text := b.get("/exercises?has=xyz"); code != http.StatusUnprocessableEntity || !strings.Contains(text, "The tiles that were dealt: ") {
		t.Errorf("wrong tiles: %d", code)
	}
	if _, text := b.get("/exercises"); !strings.Contains(text, `<option value="W" selected>`) {
		t.Error("the seat of the last deal is forgotten")
	}
	b.post("/cards", url.Values{"name": {"Own card"}, "text": {"card Own card\nsection Pairs\n25 exposed FFF 22x 444y 66z 8888x\n"}})
	if _, text := b.get("/exercises?card=Own+card"); !strings.Contains(text, "<option selected>Own card</option>") || !strings.Contains(text, "the card Own card") {
		t.Error("a card does not lead to a deal with it")
	}
	if _, text := b.get("/cards/Own%20card"); !strings.Contains(text, `href="/exercises?card=Own%20card"`) && !strings.Contains(text, `href="/exercises?card=Own+card"`) {
		t.Error("the page of a card has no way to a deal")
	}
	b.deal("card", "Own card", "seed", "1")
	if _, text := b.get("/exercises"); !strings.Contains(text, "<option selected>Own card</option>") {
		t.Error("the card of the last deal is forgotten")
	}
}

// Where a section is the plan, its hands are not pinned by themselves: one of them can become the plan alone.
func TestAHandOfASectionAimedAt(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "15")
	b.post(step+"/pin", url.Values{"section": {"Runs"}})
	_, text := b.get(step)
	if n := strings.Count(text, ">only this<"); n != 3 || strings.Contains(text, ">unpin<") {
		t.Errorf("%d hands of the section can be aimed at alone, 3 are shown", n)
	}
	if _, all := b.get(step + "/hands"); !strings.Contains(all, ">steer for this one alone<") || strings.Contains(all, ">unpin from the plan<") {
		t.Error("on the page of all hands they are pinned by themselves")
	}
	hand := first(handField, text)
	b.post(step+"/pin", url.Values{"hand": {hand}, "only": {"yes"}})
	if _, text = b.get(step); strings.Count(text, ">unpin<") != 1 || !strings.Contains(text, "unpin<span class=\"skip\"> "+hand) {
		t.Errorf("%s alone is not the plan", hand)
	}
}
