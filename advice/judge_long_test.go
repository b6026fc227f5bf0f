package advice

import (
	"context"
	"flag"
	"fmt"
	"testing"

	"secondpass/cardmaking/compose"
	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/internal/longrun"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// The long checks of judgement run with, for example,
//
//	go test ./advice -run TestAdviceRegret -racks 100 -advice 16000 -freshgames 5000 -progress "$PWD/regret.progress" -v -timeout 4h
//	go test ./advice -run TestMeanSwing -deals 160000 -playdeals 12000 -progress "$PWD/swing.progress" -v -timeout 4h
//
// and in short without flags. Broken off, they go on where they were with the same flags and file of -progress; the file is of no use
// once the program judges otherwise.
var (
	racks    = flag.Int("racks", 1, "racks on which advice is compared with the oracle, on three cards in turn")
	budget   = flag.Int("advice", 400, "short games of the advice that is judged; 16,000 are about 5 seconds on two cores")
	fresh    = flag.Int("freshgames", 200, "whole games that value the two passes; 5000 are asked for")
	progress = flag.String("progress", "", "a file in which long checks keep what they have found, so that they can be broken off")
	deals    = flag.Int("deals", 120, "deals over which swings of the passing are averaged, all decisions of South at each")
)

// regretMean and regretHigh are the most that the mean regret by 16,000 games may be, and its upper end.
// regretQuick is the most in a quick look, of which four standard errors are luck.
const regretMean, regretHigh, regretQuick unit.ChanceDifference = 0.003, 0.005, 0.2

// TestAdviceRegret compares the pass advised with the best that an oracle finds by ten times the games and other seeds, over all
// passes again. Regret is the value of the oracle's best less that of the advised pass, on the same fresh whole games, which
// picked neither.
func TestAdviceRegret(t *testing.T) {
	long := *racks > 10
	var counsels []*Counsel
	cards := []*card.Card{card.Practice()}
	if long {
		cards = append(cards, drawnCard(t, compose.Clumsy), drawnCard(t, compose.Orderly))
	}
	for _, c := range cards {
		counsels = append(counsels, counselOn(t, c, "strong"))
	}
	var all stat.Moments
	each := make([]stat.Moments, len(cards))
	same := 0
	of := fmt.Sprintf("regret, %d games, %d fresh, version %d, layouts %d", *budget, *fresh, player.Version, layouts)
	err := longrun.Each(*progress, of, *racks, func(n int) (unit.ChanceDifference, error) {
		on := n % len(cards)
		return regretOf(counsels[on], randomView(t, cards[on], uint64(n)), Budget{Games: *budget}, *fresh)
	}, func(n int, regret unit.ChanceDifference) error {
		if regret == 0 {
			same++
		}
		all.Add(float64(regret))
		each[n%len(cards)].Add(float64(regret))
		if n%10 == 9 {
			i := stat.MeanT[unit.ChanceDifference](&all)
			t.Logf("%d racks: mean regret %.3f points (%.3f to %.3f), %d without any", n+1, 100*i.Value, 100*i.Low, 100*i.High, same)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for of := range each {
		i := stat.MeanT[unit.ChanceDifference](&each[of])
		t.Logf("%s, %d racks: mean regret %.3f points (%.3f to %.3f)", cards[of].Name, i.N, 100*i.Value, 100*i.Low, 100*i.High)
	}
	i := stat.MeanT[unit.ChanceDifference](&all)
	t.Logf("%d racks, advice by %d games, %d fresh games: mean regret %.3f percentage points (%.3f to %.3f), %d without any", *racks, *budget, *fresh, 100*i.Value, 100*i.Low, 100*i.High, same)
	if !long && i.Value > regretQuick {
		t.Errorf("the pass advised falls short by %.1f percentage points; %.0f are the most by so few games", 100*i.Value, 100*regretQuick)
	}
	if long && (i.Value > regretMean || i.High > regretHigh) {
		t.Errorf("mean regret %.3f to %.3f percentage points; %.1f, and %.1f at the upper end, are asked for", 100*i.Value, 100*i.High, 100*regretMean, 100*regretHigh)
	}
}

// regretOf is what the pass advised at a moment falls short of the best that ten times the games find.
func regretOf(c *Counsel, v charleston.View, budget Budget, games int) (unit.ChanceDifference, error) {
	ctx := context.Background()
	a, err := c.Advise(ctx, v, nil, budget, nil)
	if err != nil {
		return 0, err
	}
	oracle := *c
	oracle.Seed = c.Seed + 1000
	o, err := oracle.Advise(ctx, v, nil, Budget{Games: 10 * a.Games}, nil)
	if err != nil {
		return 0, err
	}
	advised, best := a.Candidates[0].Action, o.Candidates[0].Action
	if advised == best {
		return 0, nil
	}
	l, err := c.inPassing(ctx, v.Seat)
	if err != nil {
		return 0, err
	}
	won := map[charleston.Action]float64{}
	for _, action := range []charleston.Action{advised, best} {
		var value sim.Value
		if err := l.Add(ctx, &value, games, func(w *sim.Ahead, g uint64) (sim.Whole, error) { return w.Whole(&v, action, c.Seed+2000, g) }); err != nil {
			return 0, err
		}
		won[action] = float64(value.Won().Value)
	}
	return unit.ChanceDifference(won[best] - won[advised]), nil
}

// drawnCard is a card of a character, drawn by a seed that nothing was tuned on.
func drawnCard(t *testing.T, of compose.Character) *card.Card {
	t.Helper()
	text, err := compose.DrawCharacter(7, of, "")
	if err != nil {
		t.Fatal(err)
	}
	c, _, err := card.Read(string(of), []byte(text), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// counselOn is the counsel for any card.
func counselOn(t *testing.T, c *card.Card, others string) *Counsel {
	t.Helper()
	tuning, _ := player.TuningFor(c)
	counsel, err := NewCounsel(c, house.Usual, tuning, others, 1)
	if err != nil {
		t.Fatal(err)
	}
	return counsel
}

// randomView is a seat at the first right with a random rack.
func randomView(t *testing.T, c *card.Card, n uint64) charleston.View {
	t.Helper()
	deal, _, err := deal.Draw(deal.Condition{}, 13, tile.Usual, fit.New(c), 500+n)
	if err != nil {
		t.Fatal(err)
	}
	return charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: charleston.FirstRight, Phase: charleston.Passing, Rack: deal}
}
