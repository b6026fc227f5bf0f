package sim

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// clumsyCard draws a card on which hands are hard to get: scattered ranks, many singles and pairs, every
// other hand concealed and every fifth without jokers. No card that anybody plays with looks like it.
func clumsyCard(t testing.TB, seed uint64) *card.Card {
	rng := rand.New(rand.NewPCG(seed, 1))
	return drawCard(t, "Clumsy", 60, func() string {
		var words []string
		for left := 14; left > 0; {
			size := min(left, []int{1, 1, 1, 2, 2, 3, 3, 4}[rng.IntN(8)])
			left -= size
			words = append(words, group(rng, size))
		}
		line := fmt.Sprintf("%d %s %s", 25+5*rng.IntN(6), []string{"exposed", "concealed"}[rng.IntN(2)], strings.Join(words, " "))
		if rng.IntN(5) == 0 {
			line += " ; no jokers"
		}
		return line
	})
}

// group is so many equal tiles: of a suit and rank, or of an honour.
func group(rng *rand.Rand, size int) string {
	if rng.IntN(4) == 0 {
		return strings.Repeat(string("NEWSRG0F"[rng.IntN(8)]), size)
	}
	return strings.Repeat(string(rune('1'+rng.IntN(9))), size) + string("xyz"[rng.IntN(3)])
}

// orderlyCard draws families of hands: neighbouring or like ranks in one to three suits, with group sizes shared out in
// every way, most of them open, all with jokers, all sliding.
func orderlyCard(t testing.TB, seed uint64) *card.Card {
	rng := rand.New(rand.NewPCG(seed, 2))
	return drawCard(t, "Orderly", 40, func() string {
		var words []string
		left, rank, step := 14, 1, rng.IntN(2)
		if flowers := []int{0, 2, 3, 4}[rng.IntN(4)]; flowers > 0 {
			words = append(words, strings.Repeat("F", flowers))
			left -= flowers
		}
		suits := 1 + rng.IntN(3)
		for n := 0; left > 0; n++ {
			size := min(left, 2+rng.IntN(3))
			if left-size == 1 {
				size = left
			}
			if rank > 5 || size > 4 {
				return ""
			}
			words = append(words, strings.Repeat(string(rune('0'+rank)), size)+string("xyz"[n%suits]))
			left -= size
			rank += step
		}
		concealed := []string{"exposed", "exposed", "exposed", "concealed"}[rng.IntN(4)]
		return fmt.Sprintf("%d %s %s ; slide", 25+5*rng.IntN(4), concealed, strings.Join(words, " "))
	})
}

// drawCard takes lines, of which those that are no hand are passed over, until there are enough.
func drawCard(t testing.TB, name string, hands int, line func() string) *card.Card {
	t.Helper()
	head := "card " + name + "\n"
	var body strings.Builder
	seen := map[string]bool{}
	for tries, n := 0, 0; n < hands; tries++ {
		if tries > 100*hands {
			t.Fatalf("only %d hands of %d", n, hands)
		}
		l := line()
		if _, _, err := card.Read(name, []byte(head+"section Try\n"+l+"\n"), tile.Usual); l == "" || seen[l] || err != nil {
			continue
		}
		seen[l] = true
		if n%10 == 0 {
			fmt.Fprintf(&body, "section %c\n", 'A'+n/10)
		}
		body.WriteString(l + "\n")
		n++
	}
	c, _, err := card.Read(name, []byte(head+body.String()), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

var strengthDeals = flag.Int("strength", 0, "deals of each match of TestStrength; 0 is a quick look")

// TestStrength sets strong against the others on three cards of different character. The quick look only
// wants it to win more often, beyond chance; with -strength 2500 it prints the table of docs/players.md.
func TestStrength(t *testing.T) {
	cards := []*card.Card{card.Practice(), clumsyCard(t, 1), orderlyCard(t, 1)}
	matches := []string{
		"strong,nearest,nearest,nearest", "strong,flexible,flexible,flexible", "strong,thumb,thumb,thumb",
		"strong+passes=nearest,nearest,nearest,nearest", "flexible,nearest,nearest,nearest", "thumb,nearest,nearest,nearest",
		"strong,strong,strong,strong", "nearest,nearest,nearest,nearest",
	}
	deals := *strengthDeals
	if deals == 0 {
		deals, matches = 2*ShardGames, matches[:1]
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
		cast := player.NewCast(c, tuning)
		for _, names := range matches {
			m := Match{Game: table.NewGame(c, house.Usual), Seed: 101, Deals: deals}
			for i, name := range strings.Split(names, ",") {
				var err error
				if m.Seats[i], err = cast.Player(name); err != nil {
					t.Fatal(err)
				}
			}
			r := Report{Tally: &MatchTally{}}
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
