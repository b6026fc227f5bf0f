package drill

import (
	"context"
	"flag"
	"math"
	"slices"
	"testing"
	"time"

	"secondpass/advice"
	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
)

var drillsWanted = flag.Int("drills", 0, "find so many drills of all kinds and make their keys again")

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

// TestKeysHold finds drills and makes their keys again with ten times the games and another seed: at least 99 % must
// call the same answers right.
//
//	go test ./drill -run TestKeysHold -drills 100 -v -timeout 3h
func TestKeysHold(t *testing.T) {
	s := Search{Seed: 12, Each: 1, Total: 1, Deals: 40, Filter: Filter{Kinds: []Kind{Courtesy}}}
	if n := *drillsWanted; n > 0 {
		s.Each, s.Total, s.Deals, s.Kinds = (n+5)/6, n, 4000, nil
	}
	start := time.Now()
	drills := find(t, s)
	t.Logf("%d drills found in %s", len(drills), time.Since(start).Round(time.Second))
	if len(drills) < s.Total {
		t.Fatalf("%d drills found, %d were wanted", len(drills), s.Total)
	}
	if *drillsWanted > 0 {
		agree(t, drills)
	}
	kinds, changed, spoilt, done := map[Kind]int{}, 0, 0, 0
	start = time.Now()
	_, err := maker(t).Remake(context.Background(), drills, 77, 10, func(r Remade) error {
		kinds[r.Drill.Kind]++
		if done++; done%10 == 0 {
			t.Logf("%d made again, %d changed so far", done, changed)
		}
		if r.Changed() {
			changed++
			t.Logf("changed: %s %s: %+v, then %+v", r.Drill.Kind, r.Drill.Position.StepKey(), r.Old.Answers, r.New.Answers)
		}
		if r.Why != nil {
			spoilt++
			t.Logf("teaches nothing any more: %s: %v", r.Drill.Kind, r.Why)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("keys made again with ten times the games in %s: %d of %d changed, %d teach nothing any more; kinds %v",
		time.Since(start).Round(time.Second), changed, len(drills), spoilt, kinds)
	if 100*changed > len(drills) {
		t.Errorf("%d of %d keys changed; one in a hundred is the most", changed, len(drills))
	}
}

// agree holds the chances of keys against those of advice on the same decisions by other games: the intervals of at least nine answers
// in ten overlap (95 % each, so that two of them, both wide, miss each other far less often), and on average they differ by no more
// than chance allows.
func agree(t *testing.T, drills []*Drill) {
	t.Helper()
	apart, all := 0, 0
	var off stat.Moments
	for _, d := range drills {
		if d.Ask().Whole() {
			continue
		}
		c := *maker(t).counsel
		c.Seed = d.Key.Seed + 5000
		var named []charleston.Action
		for _, choice := range d.Choices {
			named = append(named, choice.Action)
		}
		a, err := c.Advise(context.Background(), d.Position.View, named, advice.Budget{Games: 1536}, nil)
		if err != nil {
			t.Fatal(err)
		}
		for i, choice := range d.Choices {
			at := slices.IndexFunc(a.Candidates, func(o advice.Candidate) bool { return o.Action == choice.Action })
			advised, key := a.Candidates[at].Chance, d.Key.Answers[i].Chance
			all++
			if advised.High < key.Low || advised.Low > key.High {
				apart++
				t.Logf("%s %s: %s, in the key %.1f (%.1f to %.1f), by advice %.1f (%.1f to %.1f)", d.Kind, d.Position.StepKey(), choice, 100*key.Value, 100*key.Low, 100*key.High, 100*advised.Value, 100*advised.Low, 100*advised.High)
			}
			if i == d.Key.Best() {
				off.Add(float64(key.Value - advised.Value))
			}
		}
	}
	t.Logf("chances of %d answers in keys and by advice: %d apart; the best ones differ by %.2f points on average (standard error %.2f)", all, apart, 100*off.Mean(), 100*off.SE())
	if 10*apart > all {
		t.Errorf("%d of %d chances in keys lie outside what advice says", apart, all)
	}
	if off.Count() > 2 && math.Abs(off.Mean()) > .01+3*off.SE() {
		t.Errorf("chances in keys are %.2f points above those of advice", 100*off.Mean())
	}
}
