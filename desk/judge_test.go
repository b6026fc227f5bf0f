package desk

import (
	"context"
	"testing"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store/files"
)

// asked is what one program after another makes of an exercise, over a data folder.
type asked struct {
	t   *testing.T
	dir string
	e   *exercise.Exercise
}

// desk is that of a program which has just begun.
func (a asked) desk() *Desk { return &Desk{Files: files.In(a.dir, nil)} }

// outlook is the chance at the end of the passing by a number of games, as a comparison shows it.
func (a asked) outlook(games int) stat.Interval[unit.Chance] {
	a.t.Helper()
	run, _, err := a.desk().Outlook(a.e, a.e.Routes, Judge{})
	if err == nil {
		err = run.Play(context.Background(), games, nil)
	}
	if err != nil {
		a.t.Fatal(err)
	}
	looks, _ := run.Looks()
	return looks[0].Chance
}

// advice is on a decision of the route; those it took are judged to the end.
func (a asked) advice(decision int, budget advice.Budget) map[charleston.Action]advice.Standing {
	a.t.Helper()
	t, err := a.e.Replay(a.e.Routes[0])
	if err != nil {
		a.t.Fatal(err)
	}
	s := t.Snapshots[decision]
	answer, err := a.desk().Advise(context.Background(), Question{Exercise: a.e, View: s.View, Named: []charleston.Action{s.Decision.Action(a.e.Seat)}, Budget: budget}, nil)
	if err != nil {
		a.t.Fatal(err)
	}
	all := map[charleston.Action]advice.Standing{}
	for _, c := range answer.Advice.Candidates {
		if c.Final {
			all[c.Action] = c.Standing
		}
	}
	return all
}

func (a asked) review(budget advice.Budget) *advice.Review {
	a.t.Helper()
	rev, err := a.desk().Review(context.Background(), a.e, a.e.Routes[0], Judge{}, budget, nil)
	if err != nil {
		a.t.Fatal(err)
	}
	return rev.Review
}

// same wants two chances to be one figure by the same games.
func (a asked) same(what string, got, want stat.Interval[unit.Chance]) {
	a.t.Helper()
	if got.Value != want.Value || got.N != want.N {
		a.t.Errorf("%s: %v by %d games, and %v by %d", what, got.Value, got.N, want.Value, want.N)
	}
}

// The chance of a decision, and that at the end of the passing, are the same figure in a comparison, in advice and in a review,
// whichever was asked for first, in another program too: where one has played more games, the next shows what these come to. A number
// of games that is asked for gives the value at that number, whatever else is kept.
func TestOneValue(t *testing.T) {
	// The usual table, whose games come with the program.
	e, err := exercise.NewTable("One", card.Practice(), house.Usual, charleston.South, tile.MustParse("1122b 3456c 78d N FF"), "strong", 12)
	if err != nil {
		t.Fatal(err)
	}
	if _, err = e.WalkAll([][]string{nil}); err != nil {
		t.Fatal(err)
	}
	fresh := func() asked { return asked{t, t.TempDir(), e} }
	first := func(rev *advice.Review) *advice.Entry { return &rev.Entries[0] }
	small, kept := advice.Budget{Games: 600}, advice.Budget{Games: 600, Kept: true}

	a := fresh()
	many := a.outlook(500)
	given := a.advice(0, advice.Budget{Games: 3200, Kept: true})
	rev := a.review(kept)
	taken := first(rev).Decision.Action(e.Seat)
	a.same("the end of the passing, compared and reviewed", rev.End, many)
	a.same("the pass taken, in advice and reviewed", first(rev).Taken, given[taken].Chance)
	if best, there := given[first(rev).Best]; there {
		a.same("the best pass, in advice and reviewed", first(rev).Before, best.Chance)
	}
	if n := first(rev).Before.N; n != first(rev).Taken.N || n != 200 {
		t.Errorf("the best pass by %d games, the one taken by %d", n, first(rev).Taken.N)
	}
	if off := rev.Balance(); off > 1e-9 || off < -1e-9 {
		t.Errorf("the ledger is off by %v", off)
	}
	few := a.outlook(300)
	exact := a.review(small)

	b := fresh() // asked in another order, where nothing is kept yet
	before := b.review(kept)
	b.same("the end reviewed, by a number of games, where more are kept and where none are", exact.End, before.End)
	b.same("a pass reviewed so", first(exact).Taken, first(before).Taken)
	b.same("a comparison of 300 games, where 500 are kept and where fewer are", b.outlook(300), few)
	given = b.advice(0, kept)
	b.same("the pass taken, reviewed and then in advice", given[taken].Chance, first(before).Taken)
	b.same("the end, reviewed after a comparison", b.review(kept).End, few)
	if few.Value == many.Value || before.End.N == few.N {
		t.Error("values at different numbers of games are told apart by nothing here")
	}
}
