package wording

import (
	"math"
	"strings"
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

// What a pass sets back, breaks and gives is said of the rack that it is taken from, beside another pass.
func TestReason(t *testing.T) {
	c := demo(t)
	rack := tile.MustParse("FF 22b 44c 888b NN 3d 9c")
	solo := charleston.NewSolo(charleston.South, rack, house.Usual.Passing, nil)
	var actions []charleston.Action
	for _, text := range []string{"8b 3d 9c", "N 3d 9c"} {
		own, err := charleston.ParcelOf(tile.MustParse(text).Tiles()...)
		if err != nil {
			t.Fatal(err)
		}
		actions = append(actions, charleston.Action{Kind: charleston.Pass, Own: own})
	}
	facts := advice.FactsOf(c, solo.View(), actions)
	// By hand: Evens 1 is 5 away and 6 without the 8b, and stays 5 away without the N; Evens 2 in bams is 6 away, has no
	// use for a third 8b and loses by the N. Both are near.
	points := advice.Contrast(&facts[0], &facts[1])
	says(t, Reason(points, "N 3d 9c").String(), "Breaks 888b of Evens 1 (FFF 22b 444c 66d 8888b). Leaves Evens 1, 6 away; N 3d 9c leaves it 5 away.")
	says(t, Reason(advice.Contrast(&facts[1], &facts[0]), "8b 3d 9c").Text(), "Keeps 888b of Evens 1 together. Leaves Evens 1, 5 away; 8b 3d 9c leaves it 6 away.")
	says(t, Reason(nil, "stop").String(), "What is on the rack does not tell it from stop.")
	hand := fit.Read(c, 0, rack)
	for _, said := range []struct {
		here, there int
		want        string
	}{{0, 6, "lacks no tile in singles and pairs, where no joker helps; Twos: 6."}, {1, 0, "lacks 1 tile in singles and pairs, where no joker helps; Twos: none."}} {
		says(t, Reason([]advice.Point{{Kind: advice.PointPairs, Weight: 1, Hand: &hand, Here: said.here, There: said.there}}, "Twos").Text(), "Evens 1 "+said.want)
	}
}

// Every kind of point has a sentence for either side of it.
func TestSentences(t *testing.T) {
	c := demo(t)
	hand, to := fit.Read(c, 0, tile.MustParse("FF 2b 44c 888b J NN 3d 99c")), fit.Read(c, 1, tile.MustParse("FF 2b 44c 888b J NN 3d 99c"))
	said := map[string]bool{}
	for k := advice.PointWays; k <= advice.PointDead; k++ {
		for _, weight := range []float64{1, -1} {
			for _, more := range []int{1, -1} {
				p := advice.Point{Kind: k, Weight: weight, Here: 3 + more, There: 3 - more, Of: 3, Hand: &hand, To: &to, Tiles: tile.MustParse("44c")}
				if k == advice.PointBlind {
					p.Here, p.There = 2*more, more
				}
				if k == advice.PointConcealed {
					p.Here = (1 + more) / 2
				}
				text := Reason([]advice.Point{p}, "stop").String()
				if !strings.HasSuffix(text, ".") || strings.Contains(text, "%!") || strings.Contains(text, "  ") || text[:1] != strings.ToUpper(text[:1]) {
					t.Errorf("kind %d: %q", k, text)
				}
				said[text] = true
			}
		}
	}
	for here, want := range map[int]string{0: "Sets back none of the 3 near ways; stop sets back 2."} {
		p := advice.Point{Kind: advice.PointWays, Weight: 1, Here: here, There: 2, Of: 3}
		if text := Reason([]advice.Point{p}, "stop").String(); text != want {
			t.Errorf("%q, wanted %q", text, want)
		}
	}
	for _, text := range []string{
		"Sets back only 2 of the 3 near ways; stop sets back 4.", "Sets back 4 of the 3 near ways; stop sets back 2.",
		"Hands two incoming tiles more on unseen, to keep only 1 of the 3 near ways.", "Hands two incoming tiles more on unseen, but keeps 1 of the 3 near ways that would be set back.",
		"Looks at two incoming tiles more, at the price of only 1 of the 3 near ways.", "Sets back 1 of the 3 near ways to look at two incoming tiles more.",
		"Evens 2 (22b 44b 66b 88b FFF NN S), 4 away.",
	} {
		found := said[text]
		for s := range said {
			found = found || strings.Contains(s, text)
		}
		if !found {
			t.Errorf("nothing says %q", text)
		}
	}
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
	says(t, ExperimentAgainst(&experiment.Findings{Of: two, Together: 1}), " than kept")
	three := read("claim more by 1 %\nway \"kept\" strong+keep-flowers\nway \"given\" strong\nway \"near\" nearest\n")
	says(t, ExperimentAgainst(&experiment.Findings{Of: three, Together: 2}), " than kept; the intervals hold for all 2 comparisons together")
	split := read("split clean best\nclaim more by 1 %\nway \"strong\" strong\n")
	says(t, ExperimentAgainst(&experiment.Findings{Of: split, Together: 1}), " where clean best than elsewhere (deals are sorted, not paired)")
	says(t, ExperimentPopulation(two), "all deals")
	says(t, ExperimentUnit(two.Measure), "percentage points")
	i := stat.Interval[experiment.Amount]{Value: -.0286, Low: -.0322, High: -.0249, N: 100}
	says(t, ExperimentDifference(two.Measure, i), "-2.86 (-3.22 to -2.49)")
	says(t, ExperimentValue(two.Measure, stat.Interval[experiment.Amount]{Value: .212, Low: .208, High: .216, N: 100}), "21.2 % (20.8 to 21.6)")
}
