package experiment

import (
	"reflect"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// A game that is not played because it must be one that was played already has the outcome that playing it gives; and that
// happens on most deals of ways that differ little.
func TestSameGame(t *testing.T) {
	const text = `experiment X
others nearest+joker-bait
measure points
claim more by 1
way "a" strong
way "b" strong+keep-multiples
way "c" strong+passes=nearest
way "d" strong+no-pairs+joker-bait
way "e" thumb
way "f" thumb+keep=0 ; measure points
way "g" thumb+keep=0+blind=never
`
	s, c, err := Read("x", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		t.Fatal(err)
	}
	tuning, _ := player.TuningFor(c)
	tallies := map[bool]*Tally{}
	for _, share := range []bool{true, false} {
		p, err := prepare(s, c, tuning, 9)
		if err != nil {
			t.Fatal(err)
		}
		for i := range p.lines {
			if p.lines[i].play == "" {
				t.Errorf("line %d has no play", i)
			}
			if !share {
				p.lines[i].play = ""
			}
		}
		if tallies[share], err = p.shards()(sim.Shard{First: 0, Count: 192}); err != nil {
			t.Fatal(err)
		}
		if !share {
			continue
		}
		w, err := p.newWorker()
		if err != nil {
			t.Fatal(err)
		}
		shared := 0
		for n := range 64 {
			if err := w.play(n); err != nil {
				t.Fatal(err)
			}
			if w.sameGame(1) != nil {
				shared++
			}
			if w.sameGame(3) != nil || w.sameGame(4) != nil {
				t.Fatal("a game is taken for that of another player")
			}
		}
		if shared < 20 {
			t.Errorf("%d of 64 games are shared", shared)
		}
	}
	if !reflect.DeepEqual(tallies[true], tallies[false]) {
		t.Errorf("shared %+v\nplayed %+v", tallies[true], tallies[false])
	}
}
