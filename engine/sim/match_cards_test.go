package sim

import (
	"context"
	"flag"
	"fmt"
	"strings"
	"testing"

	"secondpass/cardmaking/compose"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// characterCard is a card drawn to try players on.
func characterCard(t testing.TB, seed uint64, of compose.Character) *card.Card {
	t.Helper()
	text, err := compose.DrawCharacter(seed, of, "")
	if err != nil {
		t.Fatal(err)
	}
	c, _, err := card.Read(string(of), []byte(text), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

var (
	strengthDeals = flag.Int("strength", 0, "deals of each match of TestStrength; 0 is a quick look")
	heldOut       = flag.Bool("heldout", false, "TestStrength on cards that no value of the player was tried on")
)

// heldOutCards are two clumsy and two orderly cards, and three small ones of four to six sections of five hands, by seeds that
// nothing was tuned on.
func heldOutCards(t *testing.T) []*card.Card {
	t.Helper()
	var cards []*card.Card
	for _, of := range []compose.Character{compose.Clumsy, compose.Orderly} {
		for _, seed := range []uint64{2, 3} {
			c := characterCard(t, seed, of)
			c.Name = fmt.Sprintf("%s, seed %d", of, seed)
			cards = append(cards, c)
		}
	}
	for sections := 4; sections <= 6; sections++ {
		text, _, err := compose.Draw(uint64(sections), compose.Wish{Name: fmt.Sprintf("Small %d", sections), Hands: 5 * sections, Sections: sections})
		if err != nil {
			t.Fatal(err)
		}
		c, _, err := card.Read("small", []byte(text), tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		cards = append(cards, c)
	}
	return cards
}

// TestStrength sets strong against the others on three cards of different character. The quick look only
// wants it to win more often, beyond chance; with -strength 2560 it prints the table of docs/players.md.
func TestStrength(t *testing.T) {
	cards := []*card.Card{card.Practice(), characterCard(t, 1, compose.Clumsy), characterCard(t, 1, compose.Orderly)}
	matches := []string{
		"strong,nearest,nearest,nearest", "strong,flexible,flexible,flexible", "strong,thumb,thumb,thumb",
		"strong+passes=nearest,nearest,nearest,nearest", "flexible,nearest,nearest,nearest", "thumb,nearest,nearest,nearest",
		"strong,strong,strong,strong", "nearest,nearest,nearest,nearest",
	}
	deals := *strengthDeals
	if deals == 0 {
		deals, matches = 2*ShardGames, matches[:1]
	}
	if *heldOut {
		cards, matches = heldOutCards(t), []string{matches[0], matches[6]}
	}
	for _, c := range cards {
		concealed, jokerless := 0, 0
		for _, v := range c.Variants {
			if c.Hands[v.Hand].Concealed {
				concealed++
			}
			if !c.Hands[v.Hand].Jokers {
				jokerless++
			}
		}
		t.Logf("%s: %d hands, %d variants, %d concealed, %d without jokers", c.Name, len(c.Hands), len(c.Variants), concealed, jokerless)
		tuning, _ := player.TuningFor(c)
		cast := prepared.Of(c).Cast(tuning)
		for _, names := range matches {
			m := Match{Game: table.NewGame(c, house.Usual), Seed: 101, Deals: deals}
			for i, name := range strings.Split(names, ",") {
				var err error
				if m.Seats[i], err = cast.Player(name); err != nil {
					t.Fatal(err)
				}
			}
			r := MatchResult{Tally: &MatchTally{}}
			if _, err := m.Play(context.Background(), 0, r.Tally, nil); err != nil {
				t.Fatal(err)
			}
			ratio, ok := r.Ratio()
			s := r.Standings()[0]
			t.Logf("%s %-46s wins %.1f (%.1f-%.1f) ratio %.2f (%.2f-%.2f) points %+.1f (%+.1f to %+.1f) wall %.1f (%.1f-%.1f)", c.Name, names,
				100*s.WinShare.Value, 100*s.WinShare.Low, 100*s.WinShare.High, ratio.Value, ratio.Low, ratio.High,
				s.Points.Value, s.Points.Low, s.Points.High, 100*r.WallGames().Value, 100*r.WallGames().Low, 100*r.WallGames().High)
			if *strengthDeals == 0 && (!ok || ratio.Low <= 1) {
				t.Errorf("%s: strong wins %v times as often as nearest", c.Name, ratio)
			}
		}
	}
}
