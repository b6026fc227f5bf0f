package advice

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/house"
)

// What the program brings along of the practice card's usual table is what its games show, to the last byte.
func TestUsualIsCurrent(t *testing.T) {
	tuning, _ := player.TuningFor(card.Practice())
	c, err := NewCounsel(card.Practice(), house.Usual, tuning, "strong", 1)
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	level, err := sim.FitLevel(ctx, c.Game, c.Own, nil, c.company.seed())
	if err != nil {
		t.Fatal(err)
	}
	beliefs, err := sim.Believe(ctx, c.Game, c.Own, nil, c.company.seed(), sim.BeliefGames)
	if err != nil {
		t.Fatal(err)
	}
	update := os.Getenv("UPDATE_USUAL") != ""
	if update {
		old, err := filepath.Glob("usual/*.json.gz")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range old {
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
		}
	}
	for sort, value := range map[string]any{levelSort: level, beliefSort: beliefs} {
		want, err := json.Marshal(value)
		if err != nil {
			t.Fatal(err)
		}
		key := c.shelfKey(sort)
		if update {
			var packed bytes.Buffer
			w, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := w.Write(want); err != nil {
				t.Fatal(err)
			}
			if err := w.Close(); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile("usual/"+key+".json.gz", packed.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if got := usually(key); !bytes.Equal(got, want) {
			t.Errorf("%s: %d bytes that are not those of the games (%d); UPDATE_USUAL=1 go test ./advice -run TestUsualIsCurrent writes them anew", key, len(got), len(want))
		}
	}
}

// A table that differs from the usual one in anything has nothing there.
func TestUsualIsOfItsTableAlone(t *testing.T) {
	tuning, _ := player.TuningFor(card.Practice())
	noSecond := house.Usual
	noSecond.Passing.Blind = !noSecond.Passing.Blind
	for _, other := range []struct {
		rules   house.House
		players string
	}{{house.Usual, "nearest"}, {noSecond, "strong"}} {
		c, err := NewCounsel(card.Practice(), other.rules, tuning, other.players, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, sort := range []string{levelSort, beliefSort} {
			if usually(c.shelfKey(sort)) != nil {
				t.Errorf("%s against %s with %v is taken for the usual table", sort, other.players, other.rules)
			}
		}
	}
}
