package wording

import (
	"math"
	"testing"

	"secondpass/advice"
	"secondpass/engine/fit"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/exercise/comparison"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
)

// says compares a text with what it is to say.
func says(t *testing.T, got, want string) {
	t.Helper()
	if got != want {
		t.Errorf("says %q, is to say %q", got, want)
	}
}

func TestNumbersOfThings(t *testing.T) {
	for n, want := range map[int]string{0: "0 tiles", 1: "1 tile", 2: "2 tiles", 21: "21 tiles"} {
		says(t, Plural(n, "tile"), want)
	}
	for n, want := range map[int]string{0: "no", 1: "one", 9: "nine", 10: "10", -2: "-2"} {
		says(t, Numeral(n), want)
	}
	says(t, InWords(tile.MustParse("3b 00 NN FFF J")), "one 3 bam, two north winds, two white dragons, three flowers, one joker")
	says(t, InWords(tile.Rack{}), "")
	says(t, Tiles(tile.MustParse("17c 9d")), "3: 17c 9d")
	says(t, Tiles(tile.Rack{}), "none")
	says(t, Multiples(tile.MustParse("22b 888b 4c JJ")), "22888b")
	says(t, Capital("stops here"), "Stops here")
	says(t, Capital(""), "")
}

// A figure that rounds to nothing is written without a minus sign; others keep theirs.
func TestMinusSigns(t *testing.T) {
	for x, want := range map[float64]string{-0.04: "+0.0", 0: "+0.0", 0.04: "+0.0", -0.06: "-0.1", 0.06: "+0.1", -12: "-12.0"} {
		says(t, Plus(x, 1), want)
	}
	tiny := stat.Interval[float64]{Value: -.0001, Low: -.0002, High: .0001, N: 9}
	unknown := stat.Interval[float64]{Value: -.0001, Low: math.Inf(-1), High: math.Inf(1), N: 1}
	if unknown.Bounded() {
		t.Fatal("an interval without ends is bounded")
	}
	says(t, Mean(stat.As[unit.Tiles](tiny)), "0.00 (0.00 to 0.00)")
	says(t, Signed(stat.As[unit.Tiles](tiny)), "+0.00 (+0.00 to +0.00)")
	says(t, Points(stat.As[unit.NetPoints](tiny)), "+0.0 (+0.0 to +0.0)")
	says(t, ChancePoints(stat.As[unit.ChanceDifference](tiny)), "+0.0 (+0.0 to +0.0)")
	says(t, Mean(stat.As[unit.Tiles](unknown)), "0.00 (too few games)")
	says(t, Signed(stat.As[unit.Tiles](unknown)), "+0.00 (too few games)")
	says(t, Points(stat.As[unit.NetPoints](unknown)), "+0.0 (too few games)")
}

func TestIntervals(t *testing.T) {
	i := stat.Interval[float64]{Value: .4123, Low: .4019, High: .4221, N: 10000}
	says(t, Share(stat.As[unit.Chance](i)), "41.2 % (40.2 to 42.2)")
	says(t, Mean(stat.As[unit.Tiles](i)), "0.41 (0.40 to 0.42)")
	says(t, ChancePoints(stat.As[unit.ChanceDifference](i)), "+41.2 (+40.2 to +42.2)")
	says(t, FineChancePoints(stat.As[unit.ChanceDifference](i)), "+41.23 (+40.19 to +42.21)")
	down := stat.Interval[float64]{Value: -1.5, Low: -2, High: -1, N: 5}
	says(t, Signed(stat.As[unit.Tiles](down)), "-1.50 (-2.00 to -1.00)")
	says(t, Mean(stat.As[unit.Tiles](down)), "-1.50 (-2.00 to -1.00)")
	says(t, Points(stat.As[unit.NetPoints](down)), "-1.5 (-2.0 to -1.0)")
}

// "No difference shown" is said exactly where the interval holds 0, its ends included (docs/measures.md).
func TestShown(t *testing.T) {
	for _, tt := range []struct {
		low, high float64
		shown     bool
	}{{-1, 1, false}, {0, 1, false}, {-1, 0, false}, {0.001, 1, true}, {-1, -0.001, true}, {math.Inf(-1), math.Inf(1), false}} {
		want := ", no difference shown"
		if tt.shown {
			want = ""
		}
		says(t, Shown(stat.Interval[float64]{Value: (tt.low + tt.high) / 2, Low: tt.low, High: tt.high, N: 10}), want)
	}
}

func TestDecisions(t *testing.T) {
	own := func(text string) charleston.Parcel {
		p, err := charleston.ParcelOf(tile.MustParse(text).Tiles()...)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	for want, d := range map[string]exercise.Decision{
		"1b 8c 9d":              {Phase: charleston.Passing, Own: own("1b 8c 9d")},
		"17c + 1 blind":         {Phase: charleston.Passing, Own: own("17c"), Count: 1},
		"3 blind":               {Phase: charleston.Passing, Count: 3},
		"stops here":            {Phase: charleston.Voting, Stop: true},
		"another seat stops":    {Phase: charleston.Voting, OthersStop: true},
		"goes on":               {Phase: charleston.Voting},
		"offers 3, 1 exchanged": {Phase: charleston.Naming, Count: 3, Exchanged: 1},
		"offers 2":              {Phase: charleston.Naming, Count: 2, Exchanged: 2},
		"9d":                    {Phase: charleston.Giving, Own: own("9d")},
	} {
		says(t, Decision(d), want)
	}
	for want, a := range map[string]charleston.Action{
		"stop":          {Kind: charleston.Vote, Stop: true},
		"go on":         {Kind: charleston.Vote},
		"offer 0":       {Kind: charleston.Name},
		"17c + 1 blind": {Kind: charleston.Pass, Own: own("17c"), Count: 1},
		"3 blind":       {Kind: charleston.Pass, Count: 3},
	} {
		says(t, Action(a), want)
	}
	says(t, Step(charleston.FirstLeft), "3 first left")
}

// demo is a card of two hands.
func demo(t *testing.T) *card.Card {
	t.Helper()
	c, _, err := card.Read("demo.card", []byte("card Demo\nsection Evens\n25 exposed FFF 22b 444c 66d 8888b\n25 concealed 22x 44x 66x 88x FFF NN S ; no jokers\n"), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestHands(t *testing.T) {
	c := demo(t)
	near := fit.Read(c, 0, tile.MustParse("FF 2b 44c 888b J NN 3d 99c"))
	says(t, Near(&near), "Evens 1: 5 away")
	complete := fit.Read(c, 0, tile.MustParse("FFF 22b 444c 66d 8888b"))
	says(t, Near(&complete), "Evens 1: complete")
	says(t, Groups(near.Groups()), "FFF 22b 444c 66d 8888b")
	says(t, HandTerms(&c.Hands[0]), "bams as written, craks as written, dots as written")
	says(t, HandTerms(&c.Hands[1]), "any one suit, no jokers")
	says(t, Exposed(true)+" "+Exposed(false), "concealed exposed")
}

// What a pass breaks and gives is said of the rack that it is taken from.
func TestWhy(t *testing.T) {
	c := demo(t)
	rack := tile.MustParse("FF 22b 44c 888b NN 3d 9c")
	own, err := charleston.ParcelOf(tile.MustParse("8b 3d 9c").Tiles()...)
	if err != nil {
		t.Fatal(err)
	}
	solo := charleston.NewSolo(charleston.South, rack, house.Usual.Passing, nil)
	a := charleston.Action{Kind: charleston.Pass, Own: own}
	facts := advice.FactsOf(c, solo.View(), []charleston.Action{a})[0]
	// By hand: Evens 1 is 5 away and 6 without the 8b; Evens 2 is 6 away in bams and needs two of the three.
	says(t, Why(c, &advice.Candidate{Action: a, Facts: facts}), "Evens 1: 5 away before, then Evens 1: 6 away; keeps 1 of 2 options; gives up Evens 1; breaks 888b")
	r := drill.Reason{Choice: drill.Choice{Action: charleston.Action{Kind: charleston.Vote, Stop: true}}, Spare: tile.MustParse("3d")}
	says(t, DrillReason(c, &r), "stopping keeps the rack but for the courtesy; the three nearest hands can do without 1 tile (3d)")
	r.Choice.Action, r.Spare = charleston.Action{Kind: charleston.Name, Count: 2}, tile.Rack{}
	says(t, DrillReason(c, &r), "the three nearest hands need every tile, so that 2 of 2 would be missed")
}

func TestComparisonInWords(t *testing.T) {
	compared := &comparison.Measure{Unit: "hand", Less: "fewer", More: "more"}
	for n, want := range map[int]string{-2: "two fewer", 0: "the same", 1: "one more", 12: "12 more"} {
		says(t, More(compared, n), want)
	}
	clean := true
	for want, v := range map[string]comparison.Value{
		"2: 3d 0": {Tiles: tile.MustParse("3d 0"), HasTiles: true}, "none": {HasTiles: true},
		"1 hand": {Count: 1, HasCount: true}, "clean": {Clean: &clean},
	} {
		says(t, Measured(compared, &v)[0], want)
	}
	v := comparison.Value{Tiles: tile.MustParse("3d 0"), HasTiles: true}
	says(t, Measured(&comparison.Measure{}, &v)[0], "3d 0")
	if lines := Measured(compared, &comparison.Value{}); len(lines) > 0 {
		t.Errorf("nothing is said as %q", lines)
	}
}

// What a claim is compared with: the first way, the other side of a split, and for all ways together where there are more.
func TestClaims(t *testing.T) {
	read := func(rest string) *experiment.Experiment {
		s, _, err := experiment.Read("t.experiment", []byte("experiment \"T\"\nasks \"Q?\"\nmeasure win\ndeals 100\n"+rest), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	two := read("claim more by 1 %\nway \"kept\" strong+keep-flowers\nway \"given\" strong\n")
	says(t, ExperimentAgainst(two), " than kept")
	three := read("claim more by 1 %\nway \"kept\" strong+keep-flowers\nway \"given\" strong\nway \"near\" nearest\n")
	says(t, ExperimentAgainst(three), " than kept; the intervals hold for all 2 comparisons together")
	split := read("split clean best\nclaim more by 1 %\nway \"strong\" strong\n")
	says(t, ExperimentAgainst(split), " where clean best than elsewhere (deals are sorted, not paired)")
	says(t, ExperimentPopulation(two), "all deals")
	says(t, ExperimentUnit(two.Measure), "percentage points")
	i := stat.Interval[experiment.Amount]{Value: -.0286, Low: -.0322, High: -.0249, N: 100}
	says(t, ExperimentDifference(two.Measure, i), "-2.86 (-3.22 to -2.49)")
	says(t, ExperimentValue(two.Measure, stat.Interval[experiment.Amount]{Value: .212, Low: .208, High: .216, N: 100}), "21.2 % (20.8 to 21.6)")
}
