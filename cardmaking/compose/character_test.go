package compose

import (
	"errors"
	"math/rand/v2"
	"testing"

	"secondpass/cardmaking/plain"
	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Cards of a character can be read, are what they are said to be, have no plain hand, and are the same for a seed.
func TestDrawCharacter(t *testing.T) {
	for of, hands := range map[Character]int{Clumsy: 60, Orderly: 40} {
		text, err := DrawCharacter(3, of, "")
		if err != nil {
			t.Fatal(err)
		}
		if again, _ := DrawCharacter(3, of, ""); again != text {
			t.Errorf("%s: the same seed drew another card", of)
		}
		if other, _ := DrawCharacter(4, of, ""); other == text {
			t.Errorf("%s: another seed drew the same card", of)
		}
		c, problems, err := card.Read("drawn", []byte(text), tile.Usual)
		if err != nil {
			t.Fatal(of, err, problems)
		}
		sliding, closed := 0, 0
		for i := range c.Hands {
			if why := plain.Hand(c, i); why != "" {
				t.Errorf("%s: %s: %s", of, c.Hands[i].Pattern, why)
			}
			if c.Hands[i].Options != "" && c.Hands[i].Jokers {
				sliding++
			}
			if c.Hands[i].Concealed {
				closed++
			}
		}
		if len(c.Hands) != hands || (sliding == hands) != (of == Orderly) || (closed > hands/3) != (of == Clumsy) {
			t.Errorf("%s: %d hands, %d slide, %d concealed", of, len(c.Hands), sliding, closed)
		}
	}
	for _, err := range []error{second(DrawCharacter(1, "odd", "")), second(DrawCharacter(1, Clumsy, "a#b"))} {
		if !errors.Is(err, ErrWish) {
			t.Errorf("error %v", err)
		}
	}
}

func second(_ string, err error) error { return err }

// The table of docs/practice-card.md: how near a deal is to a card, and how many hands are options: fewer on a card to practise on
// than on one where a hand is as good as the next.
func TestDistanceOfDeals(t *testing.T) {
	const deals = 4000
	cards := []*card.Card{card.Practice()}
	for _, of := range []Character{Clumsy, Orderly} {
		text, err := DrawCharacter(1, of, "")
		if err != nil {
			t.Fatal(err)
		}
		c, _, err := card.Read(string(of), []byte(text), tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		cards = append(cards, c)
	}
	tiles, rng := tile.Usual.Tiles(), rand.New(rand.NewPCG(77, 0))
	var away, options [3]stat.IntMoments[unit.Ratio]
	raters := [3]*fit.Rater{}
	for i, c := range cards {
		raters[i] = fit.NewRater(prepared.New(c).Index())
	}
	for range deals {
		rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		rack := tile.RackOf(tiles[:dealTiles]...)
		for i, r := range raters {
			near, n := r.Nearest(&rack, 1, nil)
			away[i].Add(near[0].Away)
			options[i].Add(n)
		}
	}
	for i, c := range cards {
		a, o := stat.MeanT[unit.Ratio](away[i]), stat.MeanT[unit.Ratio](options[i])
		t.Logf("%s: away %.2f (%.2f-%.2f), options %.2f (%.2f-%.2f)", c.Name, a.Value, a.Low, a.High, o.Value, o.Low, o.High)
	}
	if practice, orderly := stat.MeanT[unit.Ratio](options[0]), stat.MeanT[unit.Ratio](options[2]); practice.High >= orderly.Low {
		t.Errorf("options: %v, orderly %v", practice, orderly)
	}
}
