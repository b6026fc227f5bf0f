package compose_test

import (
	"context"
	"flag"
	"strings"
	"testing"

	"secondpass/cardmaking/balance"
	"secondpass/cardmaking/compose"
)

var long = flag.Bool("long", false, "run the check that takes half a minute")

// A hand that nobody ever wins, since it takes four jokers and all winds of two kinds, and one that wins far too
// much go when a card is balanced.
func TestPlantedHandsGo(t *testing.T) {
	if !*long {
		t.Skip("half a minute; run it with -long")
	}
	d, err := compose.NewDraft(2, compose.Wish{})
	if err != nil {
		t.Fatal(err)
	}
	never := compose.Plant(d, "Compass", 0, compose.Of(6, 'N', 0), compose.Of(6, 'S', 0), compose.Of(2, 'E', 0))
	often := compose.Plant(d, "Runs", 1, compose.Of(3, 'F', 0), compose.Of(3, '1', 'x'), compose.Of(3, '2', 'y'), compose.Of(3, '3', 'z'), compose.Of(2, '4', 'x'))
	before, _ := d.Card()
	w, err := balance.Play(context.Background(), before, 5, 1024, nil)
	if err != nil {
		t.Fatal(err)
	}
	planted := 0
	for i := range before.Hands {
		switch won := w.Hands[i]; before.Hands[i].Pattern {
		case never:
			planted++
			if won > 0 {
				t.Errorf("%s was won %d times", never, won)
			}
		case often:
			planted++
			if won*len(before.Hands) < 5*w.Won() {
				t.Errorf("%s was won %d times of %d: not far too often", often, won, w.Won())
			}
		}
	}
	if planted != 2 {
		t.Fatalf("%d hands planted:\n%s", planted, before.Source)
	}
	s := balance.Search{Seed: 2, Games: 2 * 1024, ReportGames: 64, RoundGames: 1024}
	found, err := s.Card(context.Background(), d)
	if err != nil {
		t.Fatal(err)
	}
	for _, pattern := range []string{never, often} {
		if strings.Contains(found.Text, pattern) {
			t.Errorf("%s is still on the card", pattern)
		}
	}
	compose.CheckCard(t, found.Text)
}
