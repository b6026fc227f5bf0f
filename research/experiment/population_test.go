package experiment

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// played is the worker of an experiment whose deals have been played up to so many, with what look sees of each.
func playedDeals(t *testing.T, text string, deals int, look func(w *worker)) {
	t.Helper()
	x, c, err := Read("population", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		t.Fatal(err)
	}
	if again, _, err := Read("again", []byte(x.Text()), func(tile.Set) (*card.Card, error) { return c, nil }); err != nil || again.Text() != x.Text() {
		t.Fatalf("%s reads back as %v", x.Text(), err)
	}
	tuning, _ := player.TuningFor(c)
	p, err := prepare(x, c, tuning, 11)
	if err != nil {
		t.Fatal(err)
	}
	w, err := p.newWorker()
	if err != nil {
		t.Fatal(err)
	}
	for n := range deals {
		if err := w.play(n); err != nil {
			t.Fatal(err)
		}
		look(w)
	}
}

const populated = "experiment P\nothers nearest\nmeasure held F\nclaim more by 1\nway \"a\" nearest+stop=never\nway \"b\" random\n"

// What a seat gave and what came to it, step by step, lead from its deal to its rack at the end of the passing, blind passes and the
// courtesy among them.
func TestRackAfterLeadsToTheEnd(t *testing.T) {
	for rules, all := range map[string]bool{"+stop=never": true, "+stop=never+blind=always": true, "+stop=always": false} {
		second := 0
		playedDeals(t, strings.NewReplacer("+stop=never", rules, "others nearest", "others nearest"+rules).Replace(populated), 60, func(w *worker) {
			p := &w.played[0]
			end, ok := rackAfter(p.dealt, &p.view, charleston.Courtesy)
			if p.passed && (!ok || end != p.rack) {
				t.Fatalf("%s leads to %s, the passing to %s", p.dealt, end, p.rack)
			}
			if _, ok := rackAfter(p.dealt, &p.view, charleston.LastRight); p.passed && ok {
				second++
			}
		})
		if all != (second > 50) || !all && second > 0 {
			t.Errorf("%s: %d of 60 passings had a last right", rules, second)
		}
	}
}

// What the population asks for is so on every deal: of the deal, and after a step as the first way passes, whatever the other does.
func TestPopulationsOfMeasuresAndSteps(t *testing.T) {
	c := card.Practice()
	accountant, err := exercise.NewAccountant(c, nil)
	if err != nil {
		t.Fatal(err)
	}
	runs, err := c.Find("Runs")
	if err != nil {
		t.Fatal(err)
	}
	nearest := func(r tile.Rack) int {
		near, _ := fit.NewRater(prepared.Of(c).Index()).Nearest(&r, 1, nil)
		return near[0].Hand
	}
	for _, pairing := range []string{"wall", "none"} {
		differ := 0
		text := populated + "pairing " + pairing + "\npopulation held F 1..2 ; options 2..60 ; nearest Runs after first-left ; pairs 1..4 after first-right ; away 2..6 after first-left\n"
		playedDeals(t, text, 40, func(w *worker) {
			for i := range w.played {
				p := &w.played[i]
				if n := int(p.dealt[tile.Flower]); n < 1 || n > 2 {
					t.Fatalf("%s is dealt", p.dealt)
				}
				if n := accountant.Account(p.dealt).Options; n < 2 || n > 60 {
					t.Fatalf("%s leaves %d options", p.dealt, n)
				}
			}
			p := &w.played[0]
			first, _ := rackAfter(p.dealt, &p.view, charleston.FirstRight)
			left, ok := rackAfter(p.dealt, &p.view, charleston.FirstLeft)
			pairs := gauge{pairs: true}
			if n := pairs.count(first); n < 1 || n > 4 || !ok {
				t.Fatalf("%s has %d pairs after the first right", first, n)
			}
			if away := accountant.Account(left).Nearest.Away; !slices.Contains(runs, nearest(left)) || away < 2 || away > 6 {
				t.Fatalf("%s is not near Runs after the first left", left)
			}
			if w.played[1].dealt == p.dealt != (pairing == "wall") {
				t.Fatalf("pairing %s: dealt %s and %s", pairing, p.dealt, w.played[1].dealt)
			}
			if w.played[1].rack != p.rack {
				differ++
			}
		})
		if differ == 0 {
			t.Error("both ways passed alike")
		}
	}
}

// An experiment without such conditions has the deals that it has with one that every rack meets: results that were kept stay.
func TestConditionsLeaveTheDealsAsTheyWere(t *testing.T) {
	deals := func(more string) (all []tile.Rack) {
		playedDeals(t, populated+more, 20, func(w *worker) { all = append(all, w.played[0].dealt, w.played[0].rack, w.played[1].rack) })
		return all
	}
	if !slices.Equal(deals(""), deals("population away 0..14 after first-right ; held F 0..14\n")) {
		t.Error("a condition that all meet changes the deals")
	}
	x := New()
	x.Population.Also = []RackCondition{{Band: Band{Measure{Of: Away}, deal.Range{High: 3}}, After: 99}}
	if err := x.Check(card.Practice()); err == nil || !strings.Contains(err.Error(), "seven steps") {
		t.Errorf("a step that there is not: %v", err)
	}
}

// A band that no deal can be in is refused, with what there can be; one that goes further up than there can be says "or more".
func TestBandsThatNoDealIsIn(t *testing.T) {
	t.Parallel()
	read := func(statement, way string) error {
		text := "experiment P\nmeasure win\nclaim more by 1 %\nway \"a\" nearest\n" + statement + "\n" + way
		_, _, err := Read("file", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
		return err
	}
	const second = "way \"b\" random\n"
	hands := len(card.Practice().Hands)
	for statement, want := range map[string]string{
		"population pairs 8":                               "found pairs 8; right would be pairs from 0 to 7",
		"population multiples 8..9":                        "found multiples 8..9; right would be multiples from 0 to 7",
		"population options 600..900":                      fmt.Sprintf("found options 600..900; right would be options from 0 to %d", hands),
		"population options 600..900 after first-left":     fmt.Sprintf("found options 600..900 after first-left; right would be options from 0 to %d", hands),
		"population held F 9..10":                          "found held F 9..10; right would be held F from 0 to 8",
		"population held pairs 8 ; jokers 0":               "found held pairs 8; right would be held pairs from 0 to 7",
		"population away 15":                               "found away 15; right would be away from 0 to 14",
		"population held F 7..8":                           "",
		"tiles 12 flowers, 8 jokers\npopulation held F 12": "",
		"population jokers 1..30 ; options 3..999":         "",
	} {
		err := read(statement, second)
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%s: %v", statement, err)
		}
	}
	for statement, want := range map[string]string{
		"split dealt pairs 8..9":              "found dealt pairs 8..9; right would be dealt pairs from 0 to 7",
		"split clean best\namong gaps 15..20": "found gaps 15..20; right would be gaps from 0 to 14",
		"split jokers exchanged 1..9":         "",
		"split points 9..100":                 "",
	} {
		err := read(statement, "")
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%s: %v", statement, err)
		}
	}
}
