package advice

import (
	"context"
	"errors"
	"reflect"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/house"
)

// shelfOf is a shelf in the memory.
type shelfOf map[string][]byte

func (s shelfOf) Take(key string) []byte      { return s[key] }
func (s shelfOf) Put(key string, data []byte) { s[key] = data }

// What games have shown of a table is the same where it is taken from the shelf and where it is played, also after what stood there
// was damaged; games are played, and waited for, only where nothing stands there for the table.
func TestShelf(t *testing.T) {
	tuning, _ := player.TuningFor(card.Practice())
	counsel := func(shelf Shelf, others string, waits *int) *Counsel {
		c, err := NewCounsel(card.Practice(), house.Usual, tuning, others, 1)
		if err != nil {
			t.Fatal(err)
		}
		c.Shelf, c.Waits = shelf, func(context.Context) { *waits++ }
		return c
	}
	shelf := shelfOf{}
	truth := sim.Level{First: -1.0 / 3, Second: 0.1 + 0.2, Spread: 1e-300, Games: 7, Seats: 9, Seed: 1<<64 - 1}
	for _, step := range []struct {
		name    string
		shelf   Shelf
		others  string
		damaged bool
		played  int
	}{
		{"the first time", shelf, "nearest", false, 1},
		{"the second time", shelf, "nearest", false, 0},
		{"damaged", shelf, "nearest", true, 1},
		{"once more", shelf, "nearest", false, 0},
		{"at another table", shelf, "flexible", false, 1},
		{"without a shelf", nil, "nearest", false, 1},
	} {
		if step.damaged {
			for key := range shelf {
				shelf[key] = shelf[key][:len(shelf[key])-1]
			}
		}
		waits, played := 0, 0
		got, err := shown(context.Background(), counsel(step.shelf, step.others, &waits), "level", func() (*sim.Level, error) {
			played++
			level := truth
			return &level, nil
		})
		if err != nil || !reflect.DeepEqual(*got, truth) || played != step.played || waits != step.played {
			t.Errorf("%s: %+v, %v; played %d times, waited for %d times", step.name, got, err, played, waits)
		}
	}
	stopped, waits := errors.New("stopped"), 0
	if _, err := shown(context.Background(), counsel(shelf, "thumb", &waits), "level", func() (*sim.Level, error) { return nil, stopped }); err != stopped || len(shelf) != 2 {
		t.Errorf("%v, %d on the shelf", err, len(shelf))
	}
}
