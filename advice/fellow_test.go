package advice

import (
	"context"
	"reflect"
	"sync"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// circle joins fellows of a test, as a page joins its workers: everything that is told goes through JSON.
type circle struct {
	mu     sync.Mutex
	claims map[int]int
	inbox  []chan sim.Told
}

type seat struct {
	*circle
	at int
}

func (s seat) Claim(run int) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.claims[run]++
	return s.claims[run] - 1
}

func (s seat) Tell(t sim.Told) {
	for i, in := range s.inbox {
		if i != s.at {
			in <- t
		}
	}
}

func (s seat) Hear() sim.Told { return <-s.inbox[s.at] }

// The workers of a page come to the same advice to the last bit as the cores of one program, each of them, however many there are.
func TestFellowsAgree(t *testing.T) {
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	v := charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: charleston.FirstRight, Phase: charleston.Passing,
		Rack: tile.MustParse("123b 456c 789d NEWS")}
	counsel, err := NewCounsel(c, house.Usual, tuning, "nearest", 7)
	if err != nil {
		t.Fatal(err)
	}
	budget := Budget{Games: 300}
	want, err := counsel.Advise(context.Background(), v, nil, budget, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{1, 3} {
		round := &circle{claims: map[int]int{}}
		for range n {
			round.inbox = append(round.inbox, make(chan sim.Told, 1<<16))
		}
		got, errs := make([]Advice, n), make([]error, n)
		var wg sync.WaitGroup
		for i := range n {
			wg.Go(func() {
				ctx := sim.WithRunner(context.Background(), &sim.Fellow{Circle: seat{round, i}})
				got[i], errs[i] = counsel.Advise(ctx, v, nil, budget, func(Advice) {})
			})
		}
		wg.Wait()
		for i := range n {
			if errs[i] != nil || !reflect.DeepEqual(got[i], want) {
				t.Errorf("fellow %d of %d comes to another advice (%v)", i+1, n, errs[i])
			}
		}
	}
}
