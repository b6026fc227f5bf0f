package exercise

import (
	"slices"
	"strings"
	"testing"

	"secondpass/internal/beginner"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Events say what the lines of the record say, and number the player's decisions as the route keeps them.
func TestEventsAgreeWithRecordAndRoute(t *testing.T) {
	e := newExercise(t, charleston.South, TablePasses, 7)
	if _, err := e.WalkAll([][]string{nil}); err != nil {
		t.Fatal(err)
	}
	r := e.Routes[0]
	seen := map[EventKind]int{}
	for range 60 {
		trail, err := e.Replay(r)
		if err != nil {
			t.Fatal(err)
		}
		g := trail.Game
		events, err := g.Events(len(r.Decisions))
		if err != nil {
			t.Fatal(err)
		}
		lines, err := g.Lines()
		if err != nil {
			t.Fatal(err)
		}
		var told, numbered []string
		for _, ev := range events {
			seen[ev.Kind]++
			if ev.Number >= 0 {
				if c := r.Choice(ev.Number); c.Action != ev.Action {
					t.Fatalf("event %v has number %d, where the route has %v", ev.Action, ev.Number, c.Action)
				}
				numbered = append(numbered, ev.Action.String())
			}
			switch {
			case ev.Kind == Draws && ev.Seat != e.Seat:
				t.Fatalf("a draw of %s is told", ev.Seat.Name())
			case ev.Kind == Draws:
				told = append(told, ev.Seat.String()+" draws "+ev.Tile.String())
			case ev.Kind == Acts && ev.Action.Kind != table.Decline:
				told = append(told, ev.Action.String())
			}
		}
		lines = slices.DeleteFunc(lines, func(line string) bool {
			return strings.Contains(line, " wins") || strings.HasPrefix(line, "payment") || strings.Contains(line, "is dead")
		})
		if !slices.Equal(told, lines) {
			t.Fatalf("events %q\nbut the record %q", told, lines)
		}
		if want := r.Len() - len(r.Decisions); len(numbered) != want {
			t.Fatalf("%d events are the player's decisions (%q), the route has %d", len(numbered), numbered, want)
		}
		checkLaidOut(t, g)
		if g.Over() {
			break
		}
		if _, err := e.Act(r.Name, beginner.Action(g.View().Legal())); err != nil {
			t.Fatal(err)
		}
	}
	for kind, name := range map[EventKind]string{Acts: "acts", Draws: "draws", Ends: "an end"} {
		if seen[kind] == 0 {
			t.Errorf("the game had no event that tells of %s; another seed is needed", name)
		}
	}
}

// checkLaidOut holds what LayOut lays out against the count of Near, which goes by kinds and not by groups.
func checkLaidOut(t *testing.T, g *Game) {
	t.Helper()
	v := g.View()
	c := v.Game().Card()
	open, n := v.Open(v.Seat())
	all := make([]int, len(c.Hands))
	for i := range all {
		all[i] = i
	}
	for _, near := range g.Nearest(all, len(all)) {
		missing, jokers := 0, 0
		var used tile.Rack
		for _, l := range LayOut(c, near.Variant, v.Rack(), open[:n]) {
			missing += l.Missing()
			if l.Missing() < 0 || l.Jokers > 0 && !l.TakesJokers() {
				t.Fatalf("%s: %+v", c.Hands[near.Hand].Name, l)
			}
			if !l.Open {
				used[l.Kind] += uint8(l.Naturals)
				jokers += l.Jokers
			}
		}
		used[tile.Joker] += uint8(jokers)
		if missing != near.Away || !v.Rack().Contains(used) {
			t.Fatalf("%s: laid out %d are missing, %d away; used %s of %s", c.Hands[near.Hand].Name, missing, near.Away, used, v.Rack())
		}
	}
}
