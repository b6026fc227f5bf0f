package cli

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// findPlay plays table exercises for the nearest hand, claiming whatever it can, until an action of some kind is
// legal.
func findPlay(t *testing.T, kind table.ActionKind) *exercise.Exercise {
	t.Helper()
	c := card.Practice()
	x := fit.New(c)
	for seed := range uint64(60) {
		deal, _, err := deal.Draw(deal.Condition{}, 13, tile.Usual, x, seed)
		if err != nil {
			t.Fatal(err)
		}
		e, err := exercise.NewTable("Lesson", c, house.Usual, charleston.South, deal, "random", seed)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := e.WalkAll([][]string{nil}); err != nil {
			t.Fatal(err)
		}
		if playUntil(t, e, kind) {
			return e
		}
	}
	t.Fatalf("no game came to an action of kind %d; other seeds are needed", kind)
	return nil
}

func playUntil(t *testing.T, e *exercise.Exercise, kind table.ActionKind) bool {
	t.Helper()
	all, err := exercise.Hands(e.Card, nil)
	if err != nil {
		t.Fatal(err)
	}
	trail, err := e.Replay(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	for g := trail.Game; !g.Over(); {
		legal := g.View().Legal()
		if slices.ContainsFunc(legal, func(a table.Action) bool { return a.Kind == kind }) {
			return true
		}
		if g, err = e.Act("A", forNearest(e.Card, g, all, legal)); err != nil {
			t.Fatal(err)
		}
	}
	return false
}

// forNearest discards what the nearest hand does not use and claims what it does.
func forNearest(c *card.Card, g *exercise.Game, all []int, legal []table.Action) table.Action {
	v := c.Variants[g.Nearest(all, 1)[0].Variant]
	needed, rack := v.Small.Plus(v.Large), g.View().Rack()
	for _, a := range legal {
		switch {
		case a.Kind == table.Discard && a.Tile < tile.Joker && rack[a.Tile] > needed[a.Tile]:
			return a
		case a.Kind == table.Expose && v.Large[a.Tile] == a.Size:
			return a
		}
	}
	return legal[0]
}

// What the walk says one may do can be typed as it stands, and is then told as done.
func TestHintsCanBeTyped(t *testing.T) {
	for _, tt := range []struct {
		kind       table.ActionKind
		hint, told string
	}{
		{table.Expose, "claim ", "  S claims "},
		{table.Exchange, "exchange ", "  S exchanges "},
		{table.Mahjong, "mahjong", "(you) wins on "},
		{table.Declare, "declare", "(you) wins self-drawn"},
	} {
		data := t.TempDir()
		run := func(stdin string, args ...string) string {
			var out bytes.Buffer
			if status := Main(append([]string{"--data", data}, args...), strings.NewReader(stdin), &out, &out); status != command.ExitDone {
				t.Fatalf("%v: exit status %d\n%s", args, status, out.String())
			}
			return out.String()
		}
		run("", "exercise", "import", saveAs(t, findPlay(t, tt.kind)))
		text := strings.Join(strings.Fields(run("quit\n", "walk", "Lesson")), " ")
		_, may, _ := strings.Cut(text, ", or ")
		hints := strings.Split(may[:strings.Index(may, ". >")], ", ")
		at := slices.IndexFunc(hints, func(h string) bool { return strings.HasPrefix(h, tt.hint) })
		if at < 0 {
			t.Fatalf("no hint %q: %s", tt.hint, text)
		}
		after := run(hints[at]+"\nquit\n", "walk", "Lesson")
		if strings.Contains(after, "Not done") || !strings.Contains(after, tt.told) {
			t.Errorf("%q typed: %q is not told in\n%s", hints[at], tt.told, after)
		}
	}
}
