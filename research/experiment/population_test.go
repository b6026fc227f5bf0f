package experiment

import (
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
