package advice

import (
	"reflect"
	"testing"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Kept advice has the figures of what was played to the end, and what can be read off the rack is read off it again.
func TestKeptAdviceIsRecalled(t *testing.T) {
	v := charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: charleston.FirstRight, Phase: charleston.Passing,
		Rack: tile.MustParse("123b 456c 789d NEWS")}
	facts := newFactFinder(card.Practice(), v)
	var a Advice
	for i, own := range charleston.Parcels(v.Rack, 3)[:3] {
		c := Candidate{Action: charleston.Action{Seat: v.Seat, Kind: charleston.Pass, Own: own}, Named: i == 1}
		c.Final, c.Even = i < 2, i == 0
		c.Chance = stat.Interval[unit.Chance]{Value: .2, Low: .1, High: .3, N: 400}
		c.Behind = stat.Interval[unit.ChanceDifference]{Value: .01, Low: -.02, High: .04, N: 400}
		c.Value.Points = stat.IntMoments[unit.NetPoints]{N: 400, Sum: -77, SumSq: 9999}
		c.Facts = facts.find(c.Action)
		a.Candidates = append(a.Candidates, c)
	}
	a.Games, a.Whole, a.Top = 8000, 400, 1
	kept := a.Kept(7)
	if kept.Seed != 7 || kept.Of != 3 || len(kept.Options) != 2 {
		t.Fatalf("kept: %+v", kept)
	}
	back := Recall(card.Practice(), v, kept)
	if back.Unlisted != 1 || back.Top != 1 || back.Games != 8000 || back.Whole != 400 {
		t.Errorf("recalled: %+v", back)
	}
	if !reflect.DeepEqual(back.Candidates, a.Candidates[:2]) {
		t.Errorf("recalled\n%+v\nwhere it was\n%+v", back.Candidates, a.Candidates[:2])
	}
	if again := back.Kept(7); !reflect.DeepEqual(again, kept) {
		t.Errorf("kept again: %+v", again)
	}
	if (&Advice{}).Kept(7) != nil {
		t.Error("advice of which nothing was played to the end is kept")
	}
}
