package prepared

import (
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// cardOf reads a card.
func cardOf(t testing.TB, text string, set tile.Set) *card.Card {
	t.Helper()
	c, _, err := card.Read("card", []byte(text), set)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

const small = "card Small\nsection s\n25 exposed FFFF 111x 22222x 44x\n30 exposed NNNNN EEE WWW SSS\n"

// Cards that were read twice from one text are one; another name, another order, other points or another set make another.
func TestCardsAreToldApart(t *testing.T) {
	p := Of(cardOf(t, small, tile.Usual))
	if Of(cardOf(t, small, tile.Usual)) != p {
		t.Error("the same card is prepared twice")
	}
	ten, err := tile.NewSet(8, 10)
	if err != nil {
		t.Fatal(err)
	}
	for what, other := range map[string]*card.Card{
		"another set":    cardOf(t, small, ten),
		"another name":   cardOf(t, strings.Replace(small, "Small", "Other", 1), tile.Usual),
		"other points":   cardOf(t, strings.Replace(small, "25", "35", 1), tile.Usual),
		"another order":  cardOf(t, "card Small\nsection s\n30 exposed NNNNN EEE WWW SSS\n25 exposed FFFF 111x 22222x 44x\n", tile.Usual),
		"made elsewhere": {Name: "Small", Hands: p.card.Hands, Variants: p.card.Variants, Set: tile.Usual},
	} {
		if Of(other) == p {
			t.Errorf("%s: the same as before", what)
		}
	}
}

// What it gives is what is made anew, and once.
func TestPartsAreKept(t *testing.T) {
	c := card.Practice()
	p := Of(c)
	rack := tile.MustParse("228b 14699c 7d EW F J")
	hands, err := c.Find(c.Sections[0])
	if err != nil {
		t.Fatal(err)
	}
	if p.Index() != p.Index() || p.Aimed(hands) != p.Aimed(hands) || p.Aimed(nil) != p.Index() {
		t.Error("an index is made twice")
	}
	if got, want := fmt.Sprint(p.Aimed(hands).Hands(rack)), fmt.Sprint(fit.Of(c, hands).Hands(rack)); got != want {
		t.Errorf("the hands of %s: %s, made anew %s", c.Sections[0], got, want)
	}
	tuning, _ := p.Tuning()
	if p.Cast(tuning) != p.Cast(tuning) || p.Cast(tuning).Kit() != p.Cast(tuning).Kit() {
		t.Error("the players are made twice")
	}
	rules := house.Usual
	rules.Points, rules.Blind = false, false
	if got := p.Game(rules).House(); got != rules {
		t.Errorf("a game by %+v has %+v", rules, got)
	}
	if got := p.Game(house.Usual).House(); got != house.Usual {
		t.Errorf("afterwards a usual game has %+v", got)
	}
}

// A value is made once, however many want it at once, and nobody waits for the value of another key.
func TestOnlyThoseWhoWantItWait(t *testing.T) {
	k := newKept[string, int](4)
	var made atomic.Int32
	begun, release := make(chan bool), make(chan bool)
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if got := k.get("slow", func() int {
				made.Add(1)
				close(begun)
				<-release
				return 7
			})(); got != 7 {
				t.Errorf("got %d", got)
			}
		})
	}
	<-begun
	other := make(chan int, 1)
	go func() { other <- k.get("other", func() int { return 3 })() }()
	select {
	case got := <-other:
		if got != 3 {
			t.Errorf("the other is %d", got)
		}
	case <-time.After(5 * time.Minute): // only bounds a test that hangs
		t.Error("a value waits while another is made")
	}
	close(release)
	all.Wait()
	if made.Load() != 1 {
		t.Errorf("made %d times", made.Load())
	}
}

// More cards than are kept are forgotten, the one used longest ago first.
func TestCardsAreForgotten(t *testing.T) {
	k := newKept[int, int](3)
	made := map[int]int{}
	ask := func(key int) {
		k.get(key, func() int { made[key]++; return key })()
	}
	for _, key := range []int{1, 2, 3, 1, 4, 1, 2} {
		ask(key)
	}
	for key, want := range map[int]int{1: 1, 2: 2, 3: 1, 4: 1} {
		if made[key] != want {
			t.Errorf("%d was made %d times, wanted %d", key, made[key], want)
		}
	}
}

// What a page costs to have a card ready, and what it costs to make its index anew.
func BenchmarkIndex(b *testing.B) {
	b.Run("prepared", func(b *testing.B) {
		for b.Loop() {
			Of(card.Practice()).Index()
		}
	})
	b.Run("read anew", func(b *testing.B) { // as a page reads an exercise: another card of the same text
		c := cardOf(b, card.PracticeText, tile.Usual)
		for b.Loop() {
			again := *c
			again.Source = strings.Clone(c.Source)
			Of(&again).Index()
		}
	})
	b.Run("anew", func(b *testing.B) {
		for b.Loop() {
			fit.New(card.Practice())
		}
	})
}

// A text is read once for a set; one with errors is told of each time, by the name of the file that is read now.
func TestTextsAreReadOnce(t *testing.T) {
	c, err := Read("one.card", small, tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := Read("other.card", strings.Clone(small), tile.Usual); err != nil || again != c {
		t.Errorf("the same text is read twice, %v", err)
	}
	ten, err := tile.NewSet(8, 10)
	if err != nil {
		t.Fatal(err)
	}
	if other, err := Read("one.card", small, ten); err != nil || other == c || other.Set != ten {
		t.Errorf("for another set it is the same card, %v", err)
	}
	for _, file := range []string{"one.card", "two.card"} {
		if _, err := Read(file, small+"25 nonsense\n", tile.Usual); err == nil || !strings.Contains(err.Error(), file) {
			t.Errorf("%s: %v", file, err)
		}
	}
}
