package exercise

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// act makes one random legal decision of the play; false at its end.
func act(t *rapid.T, e *Exercise, r *Route, g *Game) bool {
	if g.Over() {
		return false
	}
	legal := g.View().Legal()
	if _, err := e.Act(r.Name, rapid.SampledFrom(legal).Draw(t, "action")); err != nil {
		t.Fatal(err)
	}
	return true
}

// recordText is the record of a game, "" where it has not begun.
func recordText(t interface{ Fatal(...any) }, g *Game) string {
	if g == nil {
		return ""
	}
	text, err := g.Record().Text()
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// playOut takes a route through the passing by the steady player and through the play by choose.
func playOut(t interface{ Fatal(...any) }, e *Exercise, r *Route, choose func([]table.Action) table.Action) *Game {
	if err := e.WalkOn(r.Name, 0); err != nil {
		t.Fatal(err)
	}
	for {
		trail, err := e.Replay(r)
		if err != nil {
			t.Fatal(err)
		}
		if trail.Game.Over() {
			return trail.Game
		}
		if _, err := e.Act(r.Name, choose(trail.Game.View().Legal())); err != nil {
			t.Fatal(err)
		}
	}
}

// plainPlay wins when it can and else discards the tile that is last in canonical order but no joker, and lets discards go.
func plainPlay(legal []table.Action) table.Action {
	best := legal[0]
	for _, a := range legal {
		if a.Kind == table.Declare || a.Kind == table.Mahjong || a.Kind == table.Discard && a.Tile < tile.Joker {
			best = a
		}
	}
	return best
}

// tableExercises are one at the deal, one in the passing, and one played to its end with a fork.
func tableExercises(t interface{ Fatal(...any) }) []*Exercise {
	var all []*Exercise
	for i, seat := range []charleston.Seat{charleston.South, charleston.East, charleston.West} {
		e := newExercise(t, seat, TablePasses, uint64(20+i))
		if i > 0 {
			playOut(t, e, e.Routes[0], plainPlay)
			if _, err := e.Fork("A", e.Routes[0].Len()/i, ""); err != nil {
				t.Fatal(err)
			}
		}
		all = append(all, e)
	}
	return all
}

// The tiles of all seats and the wall stay the set, whatever is decided.
func TestTableKeepsItsTiles(t *testing.T) {
	for _, e := range tableExercises(t) {
		r := e.Routes[0]
		for keep := range r.Len() + 1 {
			cut := r.Upto(keep)
			trail, src, err := e.replay(&cut)
			if err != nil {
				t.Fatal(err)
			}
			all := tile.RackOf(e.Hidden.Wall...)
			for seat := range charleston.Seat(charleston.Seats) {
				all = all.Plus(src.table.state.Rack(seat))
			}
			if all != tile.Rack(e.Set) {
				t.Fatalf("after %d decisions the passing holds %s", keep, all)
			}
			if own := src.table.state.Rack(e.Seat); trail.Game == nil && own != trail.Now.Rack() {
				t.Fatalf("after %d decisions the table has %s, the seat %s", keep, own, trail.Now.Rack())
			}
			if trail.Game != nil {
				checkTiles(t, trail.Game)
			}
		}
	}
}

func checkTiles(t *testing.T, g *Game) {
	v := g.View()
	all := v.Seen()
	for seat := range charleston.Seat(charleston.Seats) {
		if seat != g.seat {
			all = all.Plus(g.state.Rack(seat))
		}
	}
	if all = all.Plus(tile.RackOf(g.state.Wall()...)); all != tile.Rack(g.View().Game().Set()) {
		t.Fatalf("the play holds %s", all)
	}
}

// The same pass brings the same tiles again; another changes what the neighbours pass in some deals.
func TestChainReaction(t *testing.T) {
	changed := 0
	for seed := range uint64(12) {
		e := newExercise(t, charleston.Seat(seed%charleston.Seats), TablePasses, seed)
		if err := e.WalkOn(e.Routes[0].Name, 0); err != nil {
			t.Fatal(err)
		}
		same, other := e.refork(t), e.refork(t)
		var seen [2][]charleston.Parcel
		for i, d := range e.Routes[0].Decisions {
			again, err := e.Do(same.Name, Decision{Own: d.Own, Count: d.Count, Stop: d.Stop})
			if err != nil || again != d {
				t.Fatalf("seed %d, decision %d: %+v the first time, then %+v, %v", seed, i, d, again, err)
			}
			seen[0] = append(seen[0], d.Came)
		}
		// The other route passes the last three tiles at the first right and then goes on as the steady player would.
		parcels := charleston.Parcels(e.Deal, charleston.PassTiles)
		first, err := e.Do(other.Name, Decision{Own: parcels[len(parcels)-1]})
		if err != nil {
			t.Fatal(err)
		}
		if first.Came != e.Routes[0].Decisions[0].Came {
			t.Errorf("seed %d: what comes at the first right cannot depend on the own pass", seed)
		}
		if err := e.WalkOn(other.Name, 0); err != nil {
			t.Fatal(err)
		}
		for _, d := range other.Decisions {
			seen[1] = append(seen[1], d.Came)
		}
		if fmt.Sprint(seen[0]) != fmt.Sprint(seen[1]) {
			changed++
		}
	}
	if changed == 0 {
		t.Error("a changed pass changed nothing that came in any deal")
	}
}

func (e *Exercise) refork(t *testing.T) *Route {
	t.Helper()
	r, err := e.Fork("A", 0, "")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The hidden tiles and all that the players do follow from the seed.
func TestTableIsReproducible(t *testing.T) {
	run := func() string {
		e := newExercise(t, charleston.North, TablePasses, 33)
		playOut(t, e, e.Routes[0], plainPlay)
		return write(t, e)
	}
	if a, b := run(), run(); a != b {
		t.Errorf("first\n%s\nthen\n%s", a, b)
	}
}

// Taking back gives every earlier state again, and deciding the same once more the same game.
func TestUndoInPlay(t *testing.T) {
	e := newExercise(t, charleston.South, TablePasses, 5)
	r := e.Routes[0]
	playOut(t, e, r, plainPlay)
	want, choices := write(t, e), []Choice{}
	n := r.Len()
	for keep := n - 1; keep >= 0; keep-- {
		cut := r.Upto(keep)
		if cut.Len() != keep || PartsAt(&cut, r) != keep {
			t.Fatalf("cut to %d decisions: %d are left, parts at %d", keep, cut.Len(), PartsAt(&cut, r))
		}
		last, err := e.Undo("A")
		if err != nil {
			t.Fatal(err)
		}
		choice := last.Choice()
		if stands(r) != stands(&cut) {
			t.Fatalf("taken back to %d decisions\n%v\nwhere\n%v was right", keep, *r, cut)
		}
		choices = append(choices, choice)
	}
	for i := range choices {
		redo(t, e, choices[len(choices)-1-i])
	}
	if again := write(t, e); again != want {
		t.Errorf("first\n%s\nafter taking back and the same decisions\n%s", want, again)
	}
}

// stands is where a route stands, without what was taken back and can be done again.
func stands(r *Route) string {
	now := r.Upto(r.Len())
	unseen := now.Unseen
	now.Unseen = nil
	return fmt.Sprint(now, unseen)
}

func redo(t *testing.T, e *Exercise, c Choice) {
	t.Helper()
	var err error
	if c.InPlay() {
		_, err = e.Act("A", c.Action)
	} else {
		_, err = e.Do("A", Decision{Own: c.Decision.Own, Count: c.Decision.Count, Stop: c.Decision.Stop})
	}
	if err != nil {
		t.Fatal(err)
	}
}

// Whatever is decided, taking back goes through every earlier state, a fork shares what lies before it, and going on
// with the fork changes nothing of where it came from.
func TestBackAndForkAtRandom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seat := charleston.Seat(rapid.IntRange(0, 3).Draw(t, "seat"))
		e := newExercise(t, seat, TablePasses, rapid.Uint64Range(0, 1000).Draw(t, "seed"))
		r := e.Routes[0]
		if rapid.Bool().Draw(t, "in play") {
			if err := e.WalkOn(r.Name, 0); err != nil {
				t.Fatal(err)
			}
		}
		first := r.Len()
		states := []string{stands(r)}
		for range rapid.IntRange(0, 25).Draw(t, "steps") {
			if !step(t, e, r) {
				break
			}
			states = append(states, stands(r))
		}
		whole := states[len(states)-1]
		keep := rapid.IntRange(first, r.Len()).Draw(t, "keep")
		fork, err := e.Fork(r.Name, keep, "")
		if err != nil {
			t.Fatal(err)
		}
		if a, b := r.Upto(keep), fork.Upto(keep); fmt.Sprint(a.Decisions, a.Play) != fmt.Sprint(b.Decisions, b.Play) {
			t.Fatalf("the fork begins with %v %v, not with %v %v", b.Decisions, b.Play, a.Decisions, a.Play)
		}
		step(t, e, fork)
		if stands(r) != whole {
			t.Fatal("going on with a fork changed the route it came from")
		}
		for i := len(states) - 2; i >= 0; i-- {
			if _, err := e.Undo(r.Name); err != nil {
				t.Fatal(err)
			}
			if stands(r) != states[i] {
				t.Fatalf("taken back\n%v\nwhere it was\n%s", *r, states[i])
			}
		}
		for i := range states[1:] {
			if _, err := e.Redo(r.Name); err != nil {
				t.Fatal(err)
			}
			if stands(r) != states[i+1] {
				t.Fatalf("done again\n%v\nwhere it was\n%s", *r, states[i+1])
			}
		}
	})
}

// A route does what it says the others did, whoever sits there now.
func TestReplayAsksNobody(t *testing.T) {
	e := newExercise(t, charleston.South, TablePasses, 5)
	g := playOut(t, e, e.Routes[0], plainPlay)
	text := write(t, e)
	other, err := Read(strings.NewReader(strings.Replace(text, `"players": "nearest"`, `"players": "random"`, 1)))
	if err != nil {
		t.Fatal(err)
	}
	trail, err := other.Replay(other.Routes[0])
	if err != nil || trail.Game.Result() != g.Result() {
		t.Fatalf("%+v, %v; want %+v", trail.Game.Result(), err, g.Result())
	}
	if _, err := other.Undo("A"); err != nil {
		t.Fatal(err)
	}
	record, err := g.Record().Text()
	if err != nil {
		t.Fatal(err)
	}
	back, err := table.ReadRecord(record, func(table.Head) (*table.Game, error) { return e.kit.game(), nil })
	if err != nil {
		t.Fatal(err)
	}
	if s, err := back.Replay(); err != nil || s.Result() != g.Result() {
		t.Errorf("the record ends with %+v, %v", s.Result(), err)
	}
}

// The lines of the play tell of no tile that another seat draws.
func TestLinesHideDraws(t *testing.T) {
	e := newExercise(t, charleston.West, TablePasses, 8)
	g := playOut(t, e, e.Routes[0], plainPlay)
	lines, err := g.Lines()
	if err != nil {
		t.Fatal(err)
	}
	own := 0
	for _, line := range lines {
		if strings.Contains(line, " draws ") {
			own++
			if !strings.HasPrefix(line, "W ") {
				t.Errorf("told: %s", line)
			}
		}
	}
	if own == 0 || len(lines) < 2*own {
		t.Errorf("%d draws in %d lines", own, len(lines))
	}
}

// East may declare what it was dealt before any pass, and nothing else.
func TestDealtHand(t *testing.T) {
	c := card.Practice()
	v := &c.Variants[slices.IndexFunc(c.Variants, func(v card.Variant) bool { return tile.Usual.Holds(v.Small.Plus(v.Large)) == nil })]
	deal := v.Small.Plus(v.Large)
	e, err := NewTable("Dealt", c, house.Usual, charleston.East, deal, "nearest", 1)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.Act("A", table.Action{Kind: table.Discard, Tile: deal.Tiles()[0]}); err == nil || !strings.Contains(err.Error(), "the passing is not over") {
		t.Errorf("a discard before the passing: %v", err)
	}
	g, err := e.Act("A", table.Action{Kind: table.Declare})
	if err != nil || !g.Over() || g.Result().Ending != table.SelfDrawn || g.Result().Net[charleston.East] <= 0 {
		t.Fatalf("%v, %v", g, err)
	}
	if _, err := e.Do("A", Decision{Own: charleston.Parcels(deal, 3)[0]}); err == nil || !strings.Contains(err.Error(), "over") {
		t.Errorf("a pass after the game: %v", err)
	}
	back, err := Read(strings.NewReader(write(t, e)))
	if err != nil || write(t, back) != write(t, e) {
		t.Fatal(err)
	}
	if _, err := e.Undo("A"); err != nil || e.Routes[0].Len() != 0 {
		t.Fatal(err)
	}
	plainDeal := newExercise(t, charleston.East, TablePasses, 3)
	if _, err := plainDeal.Act("A", table.Action{Kind: table.Declare}); err == nil || !strings.Contains(err.Error(), "make no hand") {
		t.Errorf("an incomplete hand declared: %v", err)
	}
	mock := newExercise(t, charleston.East, MockPasses, 3)
	if _, err := mock.Act("A", table.Action{Kind: table.Declare}); err == nil || !strings.Contains(err.Error(), "the passing is not over") {
		t.Errorf("play with mock passes: %v", err)
	}
}
