package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// halfPlayed is a table exercise that stands in the play, after some own turns, and one route in the passing.
func halfPlayed(t *testing.T, seat charleston.Seat, turns int) *exercise.Exercise {
	t.Helper()
	c := card.Practice()
	deal, _, err := deal.Draw(deal.Condition{}, seat.DealtTiles(), tile.Usual, fit.New(c), 7)
	if err != nil {
		t.Fatal(err)
	}
	e, err := exercise.NewTable("Lesson", c, house.Usual, seat, deal, "nearest", 7)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.WalkAll([][]string{nil}); err != nil {
		t.Fatal(err)
	}
	for range turns {
		trail, err := e.Replay(e.Routes[0])
		if err != nil {
			t.Fatal(err)
		}
		if trail.Game.Over() {
			t.Fatal("the game is over too soon for this test; another seed is needed")
		}
		if _, err := e.Act("A", lastDiscard(trail.Game.View().Legal())); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := e.Fork("A", 2, ""); err != nil {
		t.Fatal(err)
	}
	return e
}

// lastDiscard is the discard of the last natural in canonical order; of answers to a discard, to let it go.
func lastDiscard(legal []table.Action) table.Action {
	a := legal[0]
	for _, next := range legal {
		if next.Kind == table.Discard && next.Tile < tile.Joker {
			a = next
		}
	}
	return a
}

// printedOf is all that the commands print of an exercise that is not over, to people and to programs.
func printedOf(t *testing.T, file string) string {
	t.Helper()
	data := t.TempDir()
	var all strings.Builder
	run := func(stdin string, args ...string) {
		t.Helper()
		var out bytes.Buffer
		if status := Main(append([]string{"--data", data}, args...), strings.NewReader(stdin), &out, &out); status != command.ExitDone {
			t.Fatalf("%v: exit status %d\n%s", args, status, out.String())
		}
		all.WriteString(out.String())
	}
	run("", "exercise", "import", file)
	run("", "exercise", "list", "--json")
	run("", "exercise", "show", "Lesson")
	run("", "compare", "Lesson")
	run("", "compare", "--json", "Lesson")
	run("plan\nsort plan\nroutes\nsteps\nrecord\nroute A\nplan\nrecord\nsteps\nback\nmahjong\nclaim 111b\nexchange F\nquit\n", "walk", "Lesson")
	_, out, _ := strings.Cut(all.String(), "\n") // the number and the time in the list may differ
	return out[strings.Index(out, "Exercise"):]
}

// saveAs writes an exercise to a file.
func saveAs(t *testing.T, e *exercise.Exercise) string {
	t.Helper()
	var b bytes.Buffer
	if err := e.Write(&b); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "lesson.json")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// As long as a game is not over nothing that is printed depends on tiles that the player has not seen: with the tiles
// still hidden dealt in another way every command prints the same.
func TestHiddenTilesAreNotShown(t *testing.T) {
	for _, seat := range []charleston.Seat{charleston.South, charleston.East, charleston.North} {
		e := halfPlayed(t, seat, 6)
		before := printedOf(t, saveAs(t, e))
		other := *e
		if !redeal(t, &other) {
			t.Fatal("no other deal of the hidden tiles fits what the others did; another seed is needed")
		}
		if after := printedOf(t, saveAs(t, &other)); after != before {
			t.Errorf("%s: printed\n%s\nand with other hidden tiles\n%s", seat.Name(), before, after)
		}
	}
}

// redeal turns the tiles round that are still in the wall, and swaps tiles of the other racks with it as far as the
// others can have done the same with the new ones.
func redeal(t *testing.T, e *exercise.Exercise) bool {
	t.Helper()
	trail, err := e.Replay(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	e.Hidden.Wall = append([]tile.Kind{}, e.Hidden.Wall...)
	left := e.Hidden.Wall[len(e.Hidden.Wall)-trail.Game.View().WallLeft():]
	for i := range len(left) / 2 {
		left[i], left[len(left)-1-i] = left[len(left)-1-i], left[i]
	}
	swapped := 0
	for seat := range charleston.Seat(charleston.Seats) {
		for k := range tile.Kind(tile.Kinds) {
			if seat != e.Seat && e.Hidden.Racks[seat][k] > 0 && swap(e, seat, k, &left[swapped]) {
				swapped++
				break
			}
		}
	}
	return swapped > 0
}

// swap exchanges a tile of a rack with one of the wall if all routes replay all the same.
func swap(e *exercise.Exercise, seat charleston.Seat, k tile.Kind, wall *tile.Kind) bool {
	if k == *wall {
		return false
	}
	racks, tile := e.Hidden.Racks, *wall
	e.Hidden.Racks[seat][k]--
	e.Hidden.Racks[seat][tile]++
	*wall = k
	for _, r := range e.Routes {
		if _, err := e.Replay(r); err != nil {
			e.Hidden.Racks, *wall = racks, tile
			return false
		}
	}
	return true
}

// The racks of the others and the wall are nowhere to be read before the end.
func TestHiddenTilesAreNotFound(t *testing.T) {
	e := halfPlayed(t, charleston.South, 8)
	text := printedOf(t, saveAs(t, e))
	trail, err := e.Replay(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	state := trail.Game.State()
	var wall []string
	for _, k := range state.Wall()[:5] {
		wall = append(wall, k.String())
	}
	secrets := []string{strings.Join(wall, " "), "wall  "}
	for seat := range charleston.Seat(charleston.Seats) {
		if seat != e.Seat {
			secrets = append(secrets, e.Hidden.Racks[seat].String(), state.Rack(seat).String())
		}
	}
	for _, secret := range secrets {
		if strings.Contains(text, secret) {
			t.Errorf("%q is printed:\n%s", secret, text)
		}
	}
	if own := trail.Game.View().Rack().String(); !strings.Contains(text, own) {
		t.Errorf("the own rack %s is not printed", own)
	}
}

// A whole game typed in: the walk tells of the end, the record is complete, compare says how it ended.
func TestWalkToTheEnd(t *testing.T) {
	for _, seat := range []string{"E", "W"} {
		data := t.TempDir()
		run := func(stdin string, args ...string) string {
			var out bytes.Buffer
			args = append([]string{"--data", data}, args...)
			if status := Main(args, strings.NewReader(stdin), &out, &out); status != command.ExitDone {
				t.Fatalf("%v: exit status %d\n%s", args, status, out.String())
			}
			return out.String()
		}
		walk := func(stdin string, args ...string) string {
			text := run(stdin, append([]string{"walk"}, args...)...)
			for line := range strings.Lines(text) {
				if n := len([]rune(strings.TrimRight(line, "\n"))); n > command.PageWidth {
					t.Errorf("%d columns: %s", n, line)
				}
			}
			return text
		}
		walk("", "--seed", "5", "--incoming", "table", "--players", "nearest", "--seat", seat, "--name", "Game")
		var export string
		commands := 0
		for ; commands < 300; commands++ {
			export = run("", "exercise", "export", "Game", "--quiet")
			e, err := exercise.Read(strings.NewReader(export))
			if err != nil {
				t.Fatal(err)
			}
			line := nextCommand(t, e)
			if line == "" {
				break
			}
			if line == "enter" {
				line = ""
			}
			walk(line+"\n", "Game")
		}
		end := walk("record\ndiscard 1b\nback\nback\nfork Other\nquit\n", "Game")
		for _, want := range []string{"the game is over", "Not done: the game is over", "record   1", "taken back: ", "route Other begins after"} {
			if !strings.Contains(end, want) {
				t.Errorf("seat %s, after %d commands: %q is not in\n%s", seat, commands, want, end)
			}
		}
	}
}

// nextCommand is what to type next, "" at the end of the game.
func nextCommand(t *testing.T, e *exercise.Exercise) string {
	trail, err := e.Replay(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	if g := trail.Game; g != nil {
		if g.Over() {
			return ""
		}
		a := lastDiscard(g.View().Legal())
		if a.Kind == table.Decline {
			return "enter"
		}
		return "discard " + a.Tile.String()
	}
	p := player.NewSteady(e.Card, prepared.Of(e.Card).Index())
	v := trail.Now.View()
	switch v.Phase {
	case charleston.Passing:
		own, blind := p.Pass(&v)
		if blind > 0 {
			return strings.TrimSpace("blind " + string(rune('0'+blind)) + " " + own.String())
		}
		return own.String()
	case charleston.Voting:
		return "go"
	case charleston.Naming:
		return "offer 2"
	}
	give := p.Give(&v)
	return give.String()
}
