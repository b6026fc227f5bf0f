package web_test

import (
	"fmt"
	"html"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/store/sql"
)

var (
	playTile    = regexp.MustCompile(`name="tile" value="([^"]+)" required`)
	claimGroup  = regexp.MustCompile(`name="group" value="([^"]+)"`)
	exchangeFor = regexp.MustCompile(`name="tile" value="([^"]+)"><input type="hidden" name="from" value="(\w)"`)
)

// kept is an exercise as it is saved.
func (b *book) kept(step string) (store.Store, *store.Saved) {
	b.t.Helper()
	s, err := sql.Open(b.dir)
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() { s.Close() })
	x, err := s.Load(strings.Split(step, "/")[2])
	if err != nil {
		b.t.Fatal(err)
	}
	return s, x
}

// game is the play of the first route as it is saved.
func game(t *testing.T, x *store.Saved) *exercise.Game {
	t.Helper()
	trail, err := x.Replay(x.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	return trail.Game
}

// keenly is what a keen beginner answers, of what the page offers: mahjong, then a claim where it claims at all,
// then an exchange, then the last natural of the rack.
func keenly(text string, claims bool) url.Values {
	f := url.Values{"at": {first(atField, text)}}
	switch {
	case strings.Contains(text, `value="mahjong"`):
		f.Set("act", "mahjong")
	case strings.Contains(text, `value="declare"`):
		f.Set("act", "declare")
	case claimGroup.MatchString(text) && claims:
		f.Set("act", "claim")
		f.Set("group", first(claimGroup, text))
	case strings.Contains(text, `value="decline"`):
		f.Set("act", "decline")
	case exchangeFor.MatchString(text):
		m := exchangeFor.FindStringSubmatch(text)
		f.Set("act", "exchange")
		f.Set("tile", m[1])
		f.Set("from", m[2])
	default:
		f.Set("act", "discard")
		for _, m := range playTile.FindAllStringSubmatch(text, -1) {
			if m[1] != "J" || f.Get("tile") == "" {
				f.Set("tile", m[1])
			}
		}
	}
	return f
}

// Whole games by the forms of the page: each page offers what is legal, and at the end the payments are those of the
// rules of play.
func TestWholeGames(t *testing.T) {
	t.Parallel()
	b := open(t)
	done := map[string]int{}
	for n, deal := range [][]string{{"seat", "E", "seed", "22"}, {"seat", "S", "seed", "11"}} {
		step := atPlay(b, deal...)
		_, text := b.get(step)
		for turn := 0; !strings.Contains(text, `class="how"`); turn++ {
			if turn == 90 {
				t.Fatalf("%v has no end", deal)
			}
			f := keenly(text, n == 0)
			done[f.Get("act")]++
			b.post(step+"/play", f)
			_, text = b.get(step)
		}
		_, x := b.kept(step)
		g := game(t, x)
		if !g.Over() {
			t.Fatalf("the page shows an end, and the saved play has none: %s", shorten(text))
		}
		checkEnd(t, text, g)
	}
	for _, act := range []string{"discard", "claim", "decline", "exchange"} {
		if done[act] == 0 {
			t.Errorf("no game had a %s (%v); other seeds are needed", act, done)
		}
	}
	t.Logf("what was done: %v", done)
}

// checkEnd holds the last page against the table of payments in the rules of play.
func checkEnd(t *testing.T, text string, g *exercise.Game) {
	t.Helper()
	text = html.UnescapeString(text)
	res, state := g.Result(), g.State()
	record, err := g.Record().Text()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text, record) {
		t.Error("the record does not stand on the last page")
	}
	for seat := range charleston.Seat(charleston.Seats) {
		_, rack, ok := strings.Cut(text, `aria-label="Concealed tiles of `+seat.Name()+`"`)
		rack, _, _ = strings.Cut(rack, "</ul>")
		if n := strings.Count(rack, "<li"); !ok || n != state.Rack(seat).Size() {
			t.Errorf("%s: %d concealed tiles are shown, %d are there", seat.Name(), n, state.Rack(seat).Size())
		}
	}
	if !res.Ending.Won() {
		if !strings.Contains(text, "Wall game") || strings.Contains(text, `class="pays"`) {
			t.Errorf("a wall game ends with %q", first(headField, text))
		}
		return
	}
	_, pays, _ := strings.Cut(text, `class="pays"`)
	pays, _, _ = strings.Cut(pays, "</table>")
	var net []int
	for _, m := range regexp.MustCompile(`<td class="num">([^<]+)</td>`).FindAllStringSubmatch(pays, -1) {
		n, err := strconv.Atoi(strings.NewReplacer("−", "-", "+", "").Replace(m[1]))
		if err != nil {
			t.Fatal(err)
		}
		net = append(net, n)
	}
	// Source: docs/rules.md 5.1 and 5.2 (common practice, no source).
	base := res.Points
	if res.HoldsJoker && !res.Joker {
		base *= 2
	}
	want := make([]int, charleston.Seats)
	for seat := range want {
		if charleston.Seat(seat) == res.Winner {
			continue
		}
		pay := base
		if res.Ending == table.SelfDrawn || charleston.Seat(seat) == res.Discarder {
			pay *= 2
		}
		want[seat] -= pay
		want[res.Winner] += pay
	}
	if !slices.Equal(net, want) {
		t.Errorf("%s: the page pays %v, the rules %v", first(headField, text), net, want)
	}
}

// otherwise is the exercise with hidden tiles that are not what they are, but of which the player cannot know: the wall
// that is left in the reverse order, and one concealed tile of each other seat in exchange for one of that wall.
// It says how many racks were changed.
func otherwise(t *testing.T, x *store.Saved) int {
	t.Helper()
	g := game(t, x)
	state := g.State()
	left := state.View(x.Seat).WallLeft()
	wall := slices.Clone(x.Hidden.Wall)
	slices.Reverse(wall[len(wall)-left:])
	x.Hidden.Wall = wall
	if _, err := x.Replay(x.Routes[0]); err != nil {
		t.Fatalf("the same play with another wall: %v", err)
	}
	racks := 0
	for seat := range charleston.Seat(charleston.Seats) {
		if seat != x.Seat && swapOne(x, &state, seat, len(wall)-left) {
			racks++
		}
	}
	return racks
}

// swapOne exchanges a dealt tile that a seat still holds for one of another seat's or of the wall from a place on, so
// that all that was done can still have been done.
func swapOne(x *store.Saved, state *table.State, seat charleston.Seat, from int) bool {
	before := x.Hidden
	// still says whether a seat holds a tile of a kind that it was dealt.
	still := func(seat charleston.Seat, k tile.Kind) bool {
		return seat != x.Seat && state.Rack(seat)[k] > 0 && before.Racks[seat][k] > 0
	}
	try := func(mine, other tile.Kind, change func(h *exercise.Hidden)) bool {
		if mine == other || !still(seat, mine) {
			return false
		}
		x.Hidden = exercise.Hidden{Racks: before.Racks, Wall: slices.Clone(before.Wall)}
		x.Hidden.Racks[seat][mine]--
		x.Hidden.Racks[seat][other]++
		change(&x.Hidden)
		_, err := x.Replay(x.Routes[0])
		return err == nil
	}
	for mine := range tile.Kind(tile.Kinds) {
		for i := from; i < len(before.Wall); i++ {
			if try(mine, before.Wall[i], func(h *exercise.Hidden) { h.Wall[i] = mine }) {
				return true
			}
		}
		for other := range tile.Kind(tile.Kinds) {
			o := charleston.Right.To(seat)
			if still(o, other) && try(mine, other, func(h *exercise.Hidden) { h.Racks[o][other]--; h.Racks[o][mine]++ }) {
				return true
			}
		}
	}
	x.Hidden = before
	return false
}

// What is concealed never comes to a page before the end. The check: with other hidden tiles, of which the player
// cannot know, every page is the same to the byte. At the end, when all is shown, it is not: so the check can fail.
func TestHiddenTilesStayHidden(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := atPlay(b, "seat", "E", "seed", "21")
	sheet, _, _ := strings.Cut(step, "/routes")
	pages := func() (all []string) {
		for _, path := range []string{step, step + "/advice", step + "/advice?at=2", step + "/review", step + "/hands", sheet} {
			code, text := b.get(path)
			if code != 200 && !strings.Contains(text, "come to its end") {
				t.Fatalf("%s: %d %s", path, code, shorten(text))
			}
			all = append(all, text)
		}
		return all
	}
	// compare says whether pages differ when hidden tiles do, and how many racks were changed.
	compare := func() (differ bool, racks int) {
		_, x := b.kept(step)
		seen := pages()
		s, x := b.kept(step)
		was := x.Hidden
		racks = otherwise(t, x)
		if err := s.Save(x); err != nil {
			t.Fatal(err)
		}
		differ = !slices.Equal(pages(), seen)
		s, x = b.kept(step)
		x.Hidden = was
		if err := s.Save(x); err != nil {
			t.Fatal(err)
		}
		return differ, racks
	}
	looks, changed := 0, 0
	for n := range 90 {
		_, text := b.get(step)
		if strings.Contains(text, `class="how"`) {
			break
		}
		f := keenly(text, true)
		if n%6 == 0 || f.Get("act") == "claim" {
			differ, racks := compare()
			if differ {
				t.Fatalf("decision %s: a page shows what the player cannot know", f.Get("at"))
			}
			looks, changed = looks+1, changed+racks
		}
		b.post(step+"/play", f)
	}
	if looks < 3 || changed < looks {
		t.Errorf("%d looks with %d racks changed are too few for a check", looks, changed)
	}
	if differ, _ := compare(); !differ {
		t.Error("at the end other hidden tiles make the same pages: nothing was checked")
	}
}

func TestPlayRefuses(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := atPlay(b, "seat", "E", "seed", "21")
	_, before := b.get(step)
	at := first(atField, before)
	held := map[string]bool{}
	for _, m := range playTile.FindAllStringSubmatch(before, -1) {
		held[m[1]] = true
	}
	var not, have string
	for k := range tile.Joker {
		if held[k.String()] {
			have = k.String()
		} else {
			not = k.String()
		}
	}
	for _, try := range []struct {
		says string
		f    url.Values
	}{
		{"is not in the rack", url.Values{"act": {"discard"}, "tile": {not}}},
		{"One tile is right for the discard, and 0 were chosen", url.Values{"act": {"discard"}}},
		{"2 were chosen", url.Values{"act": {"discard"}, "tile": {have, not}}},
		{"is no tile", url.Values{"act": {"discard"}, "tile": {"12x"}}},
		{"No discard waits for an answer", url.Values{"act": {"claim"}, "group": {"333b"}}},
		{"no discard waits for an answer", url.Values{"act": {"decline"}}},
		{"make no hand of the card", url.Values{"act": {"mahjong"}}},
		{"make no hand of the card", url.Values{"act": {"declare"}}},
		{"no joker in an open group", url.Values{"act": {"exchange"}, "tile": {have}, "from": {"N"}}},
		{"seat", url.Values{"act": {"exchange"}, "tile": {have}, "from": {"Q"}}},
		{"nothing that is done in the play", url.Values{"act": {"sing"}}},
		{"nothing that is done in the play", url.Values{}},
	} {
		try.f.Set("at", at)
		code, text := b.send("POST", step+"/play", try.f.Encode())
		_, said, _ := strings.Cut(text, `role="alert"><b>`)
		said, _, _ = strings.Cut(said, "</b>")
		if code != 422 || !strings.Contains(said, try.says) {
			t.Errorf("%v: %d %q, wanted 422 with %q", try.f, code, said, try.says)
		}
		if first(atField, text) != at {
			t.Errorf("%v: the refused page is not where the play stands", try.f)
		}
	}
	discard := url.Values{"at": {at}, "act": {"discard"}, "tile": {have}}
	b.post(step+"/play", discard)
	if code, text := b.send("POST", step+"/play", discard.Encode()); code != 409 || !strings.Contains(text, "decided already") {
		t.Errorf("a second tap: %d, wanted 409: %s", code, shorten(text))
	}
	_, after := b.get(step)
	if first(atField, after) == at {
		t.Fatal("the discard was not kept")
	}
	b.post(step+"/undo", url.Values{"at": {first(atField, after)}})
	_, back := b.get(step)
	again := regexp.MustCompile(`(?s)<form method="post" action="[^"]*/redo">.*?</form>`)
	if !again.MatchString(back) || strings.Join(strings.Fields(again.ReplaceAllString(back, "")), " ") != strings.Join(strings.Fields(before), " ") {
		t.Error("taken back, the page is not what it was before, with a way to do it again")
	}
	mock := b.deal("seed", "7", "seat", "S")
	if code, text := b.send("POST", mock+"/play", "at=0&act=discard&tile=1b"); code != 422 || !strings.Contains(text, `role="alert"`) {
		t.Errorf("a discard where there is no play: %d", code)
	}
}

// East, dealt a complete hand, declares it before the passing.
func TestDealtHandIsDeclared(t *testing.T) {
	t.Parallel()
	b := open(t)
	c := card.Practice()
	v := &c.Variants[slices.IndexFunc(c.Variants, func(v card.Variant) bool { return tile.Usual.Holds(v.Small.Plus(v.Large)) == nil })]
	rack := v.Small.Plus(v.Large)
	step := b.post("/exercises", url.Values{"act": {"rack"}, "rack": {rack.String()}, "incoming": {"table"}, "players": {"nearest"}, "seed": {"3"}})
	if _, text := b.get(step); !strings.Contains(text, `value="declare"`) {
		t.Fatalf("the hand that was dealt cannot be declared: %s", shorten(text))
	}
	b.post(step+"/play", url.Values{"at": {"0"}, "act": {"declare"}})
	_, text := b.get(step)
	if want := "You win with " + c.Hands[v.Hand].Name; first(headField, text) != want {
		t.Errorf("the page says %q, wanted %q", first(headField, text), want)
	}
	_, x := b.kept(step)
	checkEnd(t, text, game(t, x))
	b.post(step+"/undo", url.Values{"at": {"1"}})
	if _, text := b.get(step); !needField.MatchString(text) {
		t.Errorf("taken back, the first pass is not due: %s", shorten(text))
	}
}

// A fork from within the play keeps what came before, and the first route as it was.
func TestForkWithinThePlay(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := atPlay(b, "seat", "S", "seed", "11")
	_, start := b.get(step)
	for range 4 {
		_, text := b.get(step)
		b.post(step+"/play", keenly(text, true))
	}
	_, end := b.get(step)
	fork := b.post(step+"/fork", url.Values{"at": {first(atField, start)}})
	if _, text := b.get(fork); first(atField, text) != first(atField, start) || first(headField, text) != first(headField, start) {
		t.Errorf("the fork stands at %s, %q", first(atField, text), first(headField, text))
	}
	if _, text := b.get(step); first(headField, text) != first(headField, end) || first(atField, text) != first(atField, end) {
		t.Error("the fork changed the route that it came from")
	}
	code, text := b.get(step + "/advice?at=" + first(atField, start))
	if code != 200 || !strings.Contains(text, "of the play") {
		t.Errorf("advice on a decision of the play: %d %s", code, shorten(text))
	}
}

// Each decision of the play has a page of its own, as the decisions of the passing have: with the plan of then, a remark, a picture
// and a fork.
func TestDecisionsOfThePlayAsTheyWere(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := atPlay(b, "seat", "S", "seed", "11")
	early := b.pinFirst(step)
	for range 3 {
		_, text := b.get(step)
		b.post(step+"/play", keenly(text, true))
	}
	b.post(step+"/pin", nil)
	_, x := b.kept(step)
	route := x.Routes[0]
	first := len(route.Decisions)
	for at := first; at < route.Len(); at++ {
		code, text := b.get(fmt.Sprintf("%s/steps/%d", step, at))
		cut := route.Upto(at)
		then, err := x.Replay(&cut)
		if err != nil {
			t.Fatal(err)
		}
		if want := fmt.Sprintf("Play %d: ", at-first+1); code != 200 || !strings.HasPrefix(headField.FindStringSubmatch(text)[1], want) || !strings.Contains(text, "Plan: "+early+".") {
			t.Errorf("decision %d: %d, %q, without %q or the plan %s", at, code, headField.FindStringSubmatch(text)[1], want, early)
		}
		_, held, _ := strings.Cut(text, "Held then")
		held, rest, _ := strings.Cut(held, "Decided")
		if n := strings.Count(held, "<li"); n != then.Game.View().Rack().Size() {
			t.Errorf("decision %d: %d tiles are held, %d were", at, n, then.Game.View().Rack().Size())
		}
		if a := route.Choice(at).Action; a.Kind == table.Discard && (!strings.Contains(held, a.Tile.Name()+", chosen") && !strings.Contains(held, a.Tile.Name()+", just drawn, chosen") || !strings.Contains(rest, "discard")) {
			t.Errorf("decision %d: the discard of %s is not marked", at, a.Tile.Name())
		}
		for _, path := range []string{fmt.Sprintf("%s/picture?at=%d", step, at), fmt.Sprintf("%s/picture?at=%d&form=svg", step, at)} {
			if code, _ := b.get(path); code != 200 {
				t.Errorf("%s: %d", path, code)
			}
		}
	}
	b.post(step+"/remark", url.Values{"at": {strconv.Itoa(first)}, "remark": {"Why this one?"}})
	if _, text := b.get(fmt.Sprintf("%s/steps/%d", step, first)); !strings.Contains(text, `<p class="remarked">Why this one?`) {
		t.Error("the remark is not beside its decision")
	}
	for at, want := range map[int]string{route.Len(): step, first: fmt.Sprintf("%s/steps/%d", step, first)} {
		p := b.address + fmt.Sprintf("%s/steps/%d", step, at)
		answer, err := b.client.Get(p)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.Request.URL.Path != want {
			t.Errorf("step %d leads to %s, not %s", at, answer.Request.URL.Path, want)
		}
	}
	if code, _ := b.get(fmt.Sprintf("%s/steps/%d", step, route.Len()+1)); code != 404 {
		t.Errorf("a step that there is not: %d", code)
	}
}
