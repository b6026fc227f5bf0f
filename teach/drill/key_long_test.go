package drill

import (
	"context"
	"flag"
	"fmt"
	"math"
	"slices"
	"testing"

	"secondpass/advice"
	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/internal/longrun"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
)

var (
	drillsWanted = flag.Int("drills", 0, "find so many drills of all kinds and make their keys again")
	keysProgress = flag.String("progress", "", "a file in which TestKeysHold keeps what it has found, so that it can be broken off")
)

func maker(t testing.TB) *Maker {
	t.Helper()
	return makerOf(t, card.Practice())
}

func makerOf(t testing.TB, c *card.Card) *Maker {
	t.Helper()
	tuning, _ := player.TuningFor(c)
	counsel, err := advice.NewCounsel(c, house.Usual, tuning, "strong", 1)
	if err != nil {
		t.Fatal(err)
	}
	m, err := NewMaker(counsel, "strong")
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func find(t testing.TB, s Search) []*Drill {
	t.Helper()
	s.Maker = maker(t)
	found, err := s.Run(context.Background(), 0, nil)
	if err != nil {
		t.Fatal(err)
	}
	return found.Drills
}

// TestKeysHold finds drills of all kinds in turn, each by a search of its own, and makes their keys again with ten times the games and
// another seed: at least 99 % must call the same answers right. The chances in keys are held against those of advice on the same decisions
// by other games: the intervals of at least nine answers in ten overlap (95 % each, so that two of them, both wide, miss each other far
// less often), and on average they differ by no more than chance allows.
//
//	go test ./teach/drill -run TestKeysHold -drills 100 -progress "$PWD/keys.progress" -v -timeout 4h
//
// Broken off, it goes on where it was with the same file; the file is of no use once the program judges otherwise.
func TestKeysHold(t *testing.T) {
	n, kinds := *drillsWanted, Kinds
	if n == 0 {
		n, kinds = 1, []Kind{Courtesy}
	}
	of := fmt.Sprintf("keys of version %d, %d kinds, player version %d", KeyVersion, len(kinds), player.Version)
	var total held
	var off stat.Moments
	batch := min(n, 4) // on several cores
	err := longrun.Each(*keysProgress, of, (n+batch-1)/batch, func(piece int) (held, error) {
		var drills []*Drill
		for i := piece * batch; i < (piece+1)*batch; i++ {
			drills = append(drills, find(t, Search{Seed: 12 + uint64(i), Each: 1, Total: 1, Deals: 400, Filter: Filter{Kinds: []Kind{kinds[i%len(kinds)]}}})...)
		}
		return holds(t, drills, *drillsWanted > 0)
	}, func(piece int, h held) error {
		total.Found, total.Changed, total.Spoilt = total.Found+h.Found, total.Changed+h.Changed, total.Spoilt+h.Spoilt
		total.Apart, total.Answers = total.Apart+h.Apart, total.Answers+h.Answers
		for _, x := range h.Off {
			off.Add(x)
		}
		for _, text := range h.Told {
			t.Log(text)
		}
		if piece%5 == 4 {
			t.Logf("%d drills, the keys of %d changed", total.Found, total.Changed)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("keys made again with ten times the games: %d of %d changed, %d teach nothing any more", total.Changed, total.Found, total.Spoilt)
	if 10*total.Found < 9*n {
		t.Errorf("%d drills found, %d were wanted", total.Found, n)
	}
	if 100*total.Changed > total.Found {
		t.Errorf("%d of %d keys changed; one in a hundred is the most", total.Changed, total.Found)
	}
	if *drillsWanted == 0 {
		return
	}
	t.Logf("chances of %d answers in keys and by advice: %d apart; the best ones differ by %.2f points on average (standard error %.2f)", total.Answers, total.Apart, 100*off.Mean(), 100*off.SE())
	if 10*total.Apart > total.Answers {
		t.Errorf("%d of %d chances in keys lie outside what advice says", total.Apart, total.Answers)
	}
	if off.Count() > 2 && math.Abs(off.Mean()) > .01+3*off.SE() {
		t.Errorf("chances in keys are %.2f points above those of advice", 100*off.Mean())
	}
}

// held is how many drills were found, how many keys changed or teach nothing any more, how many of the answers' chances lie apart from
// advice, what that of the best one of each is more than by advice, if it was asked, and what is to be told.
type held struct {
	Found, Changed, Spoilt, Apart, Answers int
	Off                                    []float64
	Told                                   []string
}

// holds makes the keys of drills again, and asks for advice on them if that is wanted.
func holds(t *testing.T, drills []*Drill, advised bool) (held, error) {
	h := held{Found: len(drills)}
	_, err := maker(t).Remake(context.Background(), drills, 77, 10, func(r Remade) error {
		if r.Changed() {
			h.Changed++
			h.Told = append(h.Told, fmt.Sprintf("changed: %s %s: %+v, then %+v", r.Drill.Kind, r.Drill.Position.StepKey(), r.Old.Answers, r.New.Answers))
		}
		if r.Why != nil {
			h.Spoilt++
			h.Told = append(h.Told, fmt.Sprintf("teaches nothing any more: %s: %v", r.Drill.Kind, r.Why))
		}
		return nil
	})
	for _, d := range drills {
		if err == nil && advised && !d.Ask().Whole() {
			err = h.asks(t, d)
		}
	}
	return h, err
}

// asks holds the chances in a key against those of advice.
func (h *held) asks(t *testing.T, d *Drill) error {
	c := *maker(t).counsel
	c.Seed = d.Key.Seed + 5000
	var named []charleston.Action
	for _, choice := range d.Choices {
		named = append(named, choice.Action)
	}
	a, err := c.Advise(context.Background(), d.Position.View, named, advice.Budget{Games: 1536}, nil)
	if err != nil {
		return err
	}
	for i, choice := range d.Choices {
		at := slices.IndexFunc(a.Candidates, func(o advice.Candidate) bool { return o.Action == choice.Action })
		advised, key := a.Candidates[at].Chance, d.Key.Answers[i].Chance
		h.Answers++
		if advised.High < key.Low || advised.Low > key.High {
			h.Apart++
			h.Told = append(h.Told, fmt.Sprintf("%s %s: %s, in the key %.1f (%.1f to %.1f), by advice %.1f (%.1f to %.1f)", d.Kind, d.Position.StepKey(), choice, 100*key.Value, 100*key.Low, 100*key.High, 100*advised.Value, 100*advised.Low, 100*advised.High))
		}
		if i == d.Key.Best() {
			h.Off = append(h.Off, float64(key.Value-advised.Value))
		}
	}
	return nil
}
