package liveclass

import (
	"strings"
	"testing"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/teach/class"
)

// No choice is called best, even or worse before its whole games were played.
func TestNoVerdictBeforeItIsOne(t *testing.T) {
	own, err := charleston.ParcelOf(tile.Ranked(1, tile.Craks), tile.Ranked(2, tile.Craks), tile.Ranked(3, tile.Craks))
	if err != nil {
		t.Fatal(err)
	}
	choice := class.Choice{Own: own}
	behind := stat.Interval[unit.ChanceDifference]{Value: .05, Low: .03, High: .07, N: 400}
	for _, c := range []struct {
		cost class.Cost
		says string
	}{
		{class.Cost{Best: true, Short: 300}, "not played to the end"},
		{class.Cost{Even: true, Short: 300}, "not played to the end"},
		{class.Cost{Best: true, Even: true, Final: true}, "best"},
		{class.Cost{Even: true, Final: true, Behind: behind}, "no difference"},
		{class.Cost{Final: true, Behind: behind}, "costs 5.0"},
		{class.Cost{Final: true, Behind: stat.Interval[unit.ChanceDifference]{Value: .01, Low: -.01, High: .03, N: 400}}, "not told apart"},
	} {
		c.cost.Choice = choice
		if text, _ := costText(c.cost); !strings.HasPrefix(text, c.says) {
			t.Errorf("%+v is called %q, wanted %q", c.cost, text, c.says)
		}
		r := &class.Round{Question: class.Question{Step: charleston.FirstRight, Phase: charleston.Passing, Need: 3, Rack: own.Rack()}, Counted: true,
			Votes: map[int]class.Vote{1: {Seq: 1, Choice: choice}}, Judgement: &class.Judgement{Costs: []class.Cost{c.cost}}}
		if text := ownResult(r, 1); strings.Contains(text, "best that was found") != (c.says == "best") {
			t.Errorf("a student is told of %+v: %q", c.cost, text)
		}
	}
}
