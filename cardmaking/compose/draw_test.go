package compose

import (
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"secondpass/cardmaking/plain"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

func ExampleDraw() {
	text, report, err := Draw(1, Wish{})
	fmt.Println(err, strings.Contains(text, "compose --seed 1 --no-balance\n"), report.Hands, "hands")
	for _, s := range report.Sections[:3] {
		fmt.Printf("%s: %d hands\n", s.Name, s.Hands)
	}
	// Output:
	// <nil> true 50 hands
	// Big Groups: 4 hands
	// Compass: 4 hands
	// Echoes: 4 hands
}

// The card built in meets the demands, and its head says what draws it.
func TestPracticeMeetsDemands(t *testing.T) {
	checkCard(t, card.PracticeText)
	if seed, name := practiceSeed(t), card.Practice().Name; !strings.Contains(card.PracticeText, fmt.Sprintf("secondpass card compose --seed %d --name %q\n", seed, name)) {
		t.Errorf("the head of the card built in does not say how it is drawn:\n%.400s", card.PracticeText)
	}
}

// practiceSeed is the seed that the card built in says it is drawn by.
func practiceSeed(t *testing.T) (seed uint64) {
	t.Helper()
	_, after, _ := strings.Cut(card.PracticeText, "card compose --seed ")
	if _, err := fmt.Sscan(after, &seed); err != nil {
		t.Fatal(err)
	}
	return seed
}

// The page for teachers gives the figures of the card that is built in.
func TestPracticePage(t *testing.T) {
	page, err := os.ReadFile("../../docs/practice-card.md")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(string(page)), " ")
	r := Count(card.Practice())
	want := []string{fmt.Sprintf("%d hands in %d sections, %d variants with %.1f kinds of tiles each on average; %d hands are concealed (%.0f %%), %d take no jokers, %d have flowers.",
		r.Hands, len(r.Sections), r.Variants, r.Kinds, r.Concealed, 100*float64(r.Concealed)/float64(r.Hands), r.Jokerless, r.Flowers)}
	for _, s := range r.Sections {
		want = append(want, fmt.Sprintf("| %s | %d | %d | %d | %.1f | %.1f | %.1f |", s.Name, s.Hands, s.Variants, s.Concealed, s.Mean, s.Easiest, s.Hardest))
	}
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("docs/practice-card.md does not say: %s", w)
		}
	}
}

// Other seeds and other years make cards too, and the same seed the same one.
func TestDrawOtherSeeds(t *testing.T) {
	tests := []struct {
		seed uint64
		wish Wish
	}{
		{77, Wish{}},
		{2026, Wish{Name: "Second", Season: 2031, Motto: "37073"}},
		{1 << 63, Wish{Difficulty: Hard}},
		{0, Wish{Motto: "058", Difficulty: Easy}},
		{7, Wish{Hands: 24, Sections: 5}},
	}
	for i, tt := range tests {
		t.Run(fmt.Sprint(tt.seed), func(t *testing.T) {
			text, _, err := Draw(tt.seed, tt.wish)
			if err != nil {
				t.Fatal(err)
			}
			checkCardOf(t, text, tt.wish)
			if i > 0 {
				return
			}
			if again, _, _ := Draw(tt.seed, tt.wish); again != text {
				t.Error("the same seed drew another card")
			}
		})
	}
}

func TestDrawWishes(t *testing.T) {
	for _, wish := range []Wish{{Season: 999}, {Season: 10000}, {Season: -2026}, {Name: "a#b"}, {Name: "two\nlines"}, {Name: "end "}, {Name: " "},
		{Motto: "2031"}, {Motto: "77"}, {Motto: "700"}, {Motto: "12345678"}, {Motto: "4x7"}, {Hands: 19}, {Hands: 61}, {Hands: 30}, {Sections: 3}, {Sections: 13}, {Difficulty: "harder"}} {
		if text, _, err := Draw(3, wish); !errors.Is(err, ErrWish) || text != "" {
			t.Errorf("%+v: error %v", wish, err)
		}
	}
}

// checkCard holds a card to what docs/practice-card.md promises, all counted anew.
func checkCard(t *testing.T, text string) {
	t.Helper()
	checkCardOf(t, text, Wish{})
}

func checkCardOf(t *testing.T, text string, wish Wish) {
	t.Helper()
	wish = wish.filled(0)
	c, warnings, err := card.Read("drawn.card", []byte(text), tile.Usual)
	if err != nil || len(warnings) > 0 {
		t.Fatal(err, warnings)
	}
	within := func(what string, got, low, high float64) {
		t.Helper()
		if got < low || got > high {
			t.Errorf("%s: %g, want %g to %g", what, got, low, high)
		}
	}
	hands := float64(len(c.Hands))
	within("hands", hands, float64(wish.Hands), float64(wish.Hands))
	within("variants of a hand", float64(len(c.Variants))/hands, 18, 36)
	within("sections", float64(len(c.Sections)), float64(wish.Sections), float64(wish.Sections))
	for s, name := range c.Sections {
		within("hands of "+name, float64(len(c.SectionOf(s))), float64(wish.Hands/wish.Sections), float64(wish.Hands/wish.Sections+1))
	}
	for _, name := range []string{"Runs", "Evens", "Odds"} {
		if !slices.Contains(c.Sections, name) {
			t.Errorf("no section %s", name)
		}
	}
	concealed := 0
	for i := range c.Hands {
		h := &c.Hands[i]
		if h.Concealed {
			concealed++
		}
		within(h.Name+" points", float64(h.Points), 20, 80)
		if why := plain.Hand(c, i); why != "" || h.Points%5 != 0 {
			t.Errorf("%s, %s: %d points, plain: %s", h.Name, h.Pattern, h.Points, why)
		}
		if h.Note == "" {
			t.Errorf("%s has no sentence", h.Name)
		}
		if still := c.Sections[h.Section] == "Twos"; still && (h.Jokers || !h.Concealed) {
			t.Errorf("%s: %s may be exposed or takes jokers", h.Name, h.Pattern)
		}
	}
	within("share concealed", float64(concealed)/hands, 0.2, 0.25)
	for i, d := range Difficulty(c) {
		within(c.Hands[i].Name+" difficulty", d, levels[wish.Difficulty].easiest, levels[wish.Difficulty].hardest)
	}
	checkTiles(t, c, slices.Contains(c.Sections, "Big Groups"))
	checkApart(t, c)
}

// checkTiles asks for every kind and size and for one, two and three suits, and that the
// suits are used alike and no rank much more than another.
func checkTiles(t *testing.T, c *card.Card, big bool) {
	t.Helper()
	r := Count(c)
	var suits [4]int
	for i := range c.Hands {
		seen := map[rune]bool{}
		for _, l := range c.Hands[i].Pattern {
			if strings.ContainsRune("xyz", l) {
				seen[l] = true
			}
		}
		suits[len(seen)]++
	}
	for n := 1; n <= 3; n++ {
		if suits[n] < len(c.Hands)/15 {
			t.Errorf("%d hands of %d suits", suits[n], n)
		}
	}
	for n := 1; n <= 5; n++ {
		if r.Sizes[n] == 0 && (big || n < 5) {
			t.Errorf("no hand with a group of %d", n)
		}
	}
	low, high := 1.0, 0.0
	for k := range tile.Joker {
		if r.Use[k] == 0 {
			t.Errorf("no hand has a %s", k.Name())
		}
		if k < tile.Ranked(1, tile.Craks) {
			low, high = min(low, r.Use[k]), max(high, r.Use[k])
			for s := range tile.Suit(tile.Suits) {
				if other := tile.Ranked(k.Rank(), s); r.Use[other]-r.Use[k] > 1e-9 || r.Use[k]-r.Use[other] > 1e-9 {
					t.Errorf("%s is used %g, %s %g", k, r.Use[k], other, r.Use[other])
				}
			}
		}
	}
	if high > 3*low {
		t.Errorf("the rank used most is used %g, the one least %g", high, low)
	}
}

// checkApart asks that no two hands share more than 11 tiles in any of their variants.
func checkApart(t *testing.T, c *card.Card) {
	t.Helper()
	all := make([]tile.Rack, len(c.Variants))
	for i, v := range c.Variants {
		all[i] = v.Small.Plus(v.Large)
	}
	for i := range c.Variants {
		for j := c.Hands[c.Variants[i].Hand].End; j < len(c.Variants); j++ {
			if n := handTiles - all[i].Minus(all[j]).Size(); n > 11 {
				t.Fatalf("%s and %s share %d tiles: %v, %v", c.Hands[c.Variants[i].Hand].Name, c.Hands[c.Variants[j].Hand].Name, n, c.Variants[i].Groups, c.Variants[j].Groups)
			}
		}
	}
}

// Whatever hands are exchanged for, the card of a draft meets the demands and can be read; sections of which no
// hand should go stay as they are.
func TestDraftStaysACard(t *testing.T) {
	for _, seed := range []uint64{practiceSeed(t)} {
		d, err := NewDraft(seed, Wish{})
		if err != nil {
			t.Fatal(err)
		}
		checkDrawn(t, d, card.Practice())
		before := d.Hands()
		rng := rand.New(rand.NewPCG(seed, 99))
		liking := make([]float64, d.Candidates())
		for i := range liking {
			liking[i] = 10 * rng.Float64()
		}
		d.Better(rng, 800, before[:25], func(hands []int) float64 {
			sum := 0.0
			for _, h := range hands {
				sum += liking[h]
			}
			return sum
		})
		after := d.Hands()
		changed := 0
		for i, h := range after {
			if h != before[i] {
				changed++
			}
			if d.Section(h) != d.Section(before[i]) {
				t.Errorf("hand %d is of section %d", i, d.Section(h))
			}
		}
		if untouched := len(before) - 10; changed < 15 || !slices.Equal(before[untouched:], after[untouched:]) {
			t.Errorf("seed %d: %d hands exchanged", seed, changed)
		}
		checkCard(t, d.Text("", nil))
		c, numbers := d.Card()
		for i, n := range numbers {
			if alone := d.Alone(n).Hands[0]; alone.Pattern != c.Hands[i].Pattern || alone.Concealed != c.Hands[i].Concealed || d.Section(n) != c.Hands[i].Section {
				t.Errorf("hand %d is %s, its number %s", i, c.Hands[i].Pattern, alone.Pattern)
			}
		}
	}
}

// checkDrawn asks that all hands of a card are among those of a draft, in the same sections and with the same sentences.
func checkDrawn(t *testing.T, d *Draft, c *card.Card) {
	t.Helper()
	drawn := map[string]string{}
	key := func(h *card.Hand, section int) string { return fmt.Sprint(section, h.Pattern, h.Options, h.Concealed) }
	for n, candidate := range d.all {
		drawn[key(&d.Alone(n).Hands[0], d.Section(n))] = candidate.say
	}
	for i := range c.Hands {
		if h := &c.Hands[i]; drawn[key(h, h.Section)] != h.Note {
			t.Errorf("%s, %s, is not drawn with this sentence: %q, but %q", h.Name, h.Pattern, h.Note, drawn[key(h, h.Section)])
		}
	}
}

var seeds = flag.Int("seeds", 1, "cards of TestNoSeedDrawsAPlainHand; 200 of them take some minutes")

// Whatever the seed, no card has a hand that is too plain. The rules are those of package plain, applied to the text of the
// card as anybody reads it; beside them stand some of the shapes counted by hand, in case a rule should be lost.
func TestNoSeedDrawsAPlainHand(t *testing.T) {
	var hands, cards atomic.Int64
	t.Cleanup(func() { t.Logf("%d hands on %d cards", hands.Load(), cards.Load()) })
	for seed := range uint64(*seeds) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			text, _, err := Draw(seed+100, Wish{})
			if err != nil {
				t.Fatal(err)
			}
			c, _, err := card.Read("drawn.card", []byte(text), tile.Usual)
			if err != nil {
				t.Fatal(err)
			}
			cards.Add(1)
			hands.Add(int64(len(c.Hands)))
			for i := range c.Hands {
				if why := plain.Hand(c, i); why != "" {
					t.Errorf("%s: %s", c.Hands[i].Pattern, why)
				}
				if why := plainByWords(c.Hands[i].Pattern); why != "" {
					t.Errorf("%s: %s", c.Hands[i].Pattern, why)
				}
			}
		})
	}
}

// plainByWords counts the words of a pattern without alternatives by their lengths alone.
func plainByWords(pattern string) string {
	if strings.Contains(pattern, "(") {
		return ""
	}
	kongs, others, winds := 0, 0, map[int]int{}
	for _, w := range strings.Fields(pattern) {
		body := strings.TrimRight(w, "xyz")
		switch {
		case strings.Trim(body, "F") == "" || strings.Trim(body, body[:1]) != "" || len(body) == 1:
		case len(body) == 4:
			kongs++
		default:
			others++
		}
		if strings.Trim(body, "NEWS") == "" {
			winds[len(body)]++
		}
	}
	switch {
	case kongs >= 2 && others <= 1:
		return "all kongs but one group"
	case winds[3] == 4 || winds[2] == 4 || winds[3] == 2 && winds[4] == 2:
		return "winds in block"
	}
	return ""
}
