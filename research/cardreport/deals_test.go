package cardreport

import (
	"testing"

	"secondpass/engine/stat"
	"secondpass/internal/goodness"
	"secondpass/internal/oracle"
	"secondpass/rules/tile"
)

// oneHand are the cards of one hand whose away is worked out exactly in testdata/deals.R.
var oneHand = map[string]string{
	"away":             "section S\n25 exposed 111b 222b 444b 888b 55b",
	"away-no-jokers":   "section S\n25 exposed 111b 222b 444b 888b 55b ; no jokers",
	"away-shared-kind": "section S\n25 exposed FF FFFFF NNN RRRR",
	"away-flowers":     "section S\n25 exposed FFFFFF NNNN 22b RR",
}

// least are the holdings whose chance in a deal is a hypergeometric one, by the name that testdata/deals.R gives it.
var least = map[string]func(n int) []Holding{
	"jokers-least":  func(n int) []Holding { return []Holding{{Copies, int(tile.Joker), n, most}} },
	"flowers-least": func(n int) []Holding { return []Holding{{Copies, int(tile.Flower), n, most}} },
	"kind-least": func(n int) []Holding {
		return []Holding{{Copies, int(tile.White), n, most}, {Copies, int(tile.West), n, most}}
	},
	"rank-least":  func(n int) []Holding { return []Holding{{RankCopies, 1, n, most}, {RankCopies, 5, n, most}} },
	"winds-least": func(n int) []Holding { return []Holding{{WindTiles, 0, n, most}} },
	"suit-least":  func(n int) []Holding { return []Holding{{SuitTiles, 0, n, most}} },
}

// TestDealsAgainstExactChances compares what random deals add up to with exact chances from R: away of cards of one
// hand, by enumeration, and numbers of jokers, flowers, pairs, winds and suits, by its hypergeometric distribution.
func TestDealsAgainstExactChances(t *testing.T) {
	const deals = 20_000
	tallies := map[string]*Tally{}
	for name, lines := range oneHand {
		s := settings(read(t, lines))
		s.Deals = deals
		tallies[name] = whole(t, survey(t, s))
	}
	list := holdings()
	checked := 0
	for _, row := range oracle.R(t, "testdata/deals.R") {
		if tally := tallies[row.Name]; tally != nil {
			start := &tally.Deals.Hands[0]
			checkChances(t, row.Name, counts(start.Away, len(row.Out)), row.Out)
			if text(t, start) != text(t, &tally.Deals.Sections[0]) || start.Nearest != deals || start.Among != deals {
				t.Errorf("%s: the only hand is not the section and the nearest", row.Name)
			}
			checked++
			continue
		}
		for _, h := range least[row.Name](int(row.In[0])) {
			signs := &tallies["away"].Deals.Signs
			at := -1
			for i := range list {
				if list[i] == h {
					at = i
				}
			}
			if at < 0 {
				t.Fatalf("%s is not among the holdings", h)
			}
			held := int(signs.Held[finding][at] + signs.Held[measuring][at])
			checkChances(t, h.String(), []int{held, deals - held}, []float64{row.Out[0], 1 - row.Out[0]})
			checked++
		}
	}
	if checked < len(oneHand)+15 {
		t.Errorf("only %d checks", checked)
	}
}

func counts(h stat.Histogram, n int) []int {
	list := make([]int, n)
	for i, c := range h {
		list[i] = int(c)
	}
	return list
}

// checkChances fails where counts fit chances worse than in one run of 100,000.
func checkChances(t *testing.T, what string, seen []int, chances []float64) {
	t.Helper()
	n := 0
	for _, c := range seen {
		n += c
	}
	sum := 0.0
	for _, c := range chances {
		sum += c
	}
	expected := make([]float64, len(chances))
	for i, c := range chances {
		expected[i] = float64(n) * c / sum
	}
	fit, err := goodness.ChiSquareTest(seen, expected)
	if err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	if fit.P < 1e-5 {
		t.Errorf("%s: saw %v, expected %.1f; P %.2g", what, seen, expected, fit.P)
	}
}

// What a hand would gain by taking jokers is the difference of the away of two cards, deal by deal.
func TestEased(t *testing.T) {
	const deals = 5000
	s := settings(read(t, oneHand["away-no-jokers"]))
	s.Deals = deals
	v := survey(t, s)
	tally := whole(t, v)
	s.Card = read(t, oneHand["away"])
	open := whole(t, survey(t, s))
	gain := tally.Deals.Hands[0].Away.Moments().Sum - open.Deals.Hands[0].Away.Moments().Sum
	if eased := tally.Deals.Eased[0]; eased.N != deals || eased.Sum != gain || gain == 0 {
		t.Errorf("eased by %d in all, %d by two cards", eased.Sum, gain)
	}
	if r := v.Report(tally).Hands[0]; r.Jokerless == nil || r.Jokerless.Away == nil || r.Concealed != nil {
		t.Errorf("restrictions %+v %+v", r.Concealed, r.Jokerless)
	}
	if m := open.Deals.Eased[0]; m.N != 0 {
		t.Error("a hand that takes jokers is eased")
	}
}
