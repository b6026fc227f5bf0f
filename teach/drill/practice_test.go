package drill

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Welch's interval at the first look (16 results, error 0.05/2): R 4.2.2, t.test(late, early, conf.level = 0.975).
func TestWelch(t *testing.T) {
	series := []float64{.10, .02, .08, .12, .03, .09, .11, .06, .01, .02, .05, .00, .03, .04, .02, .03}
	c := ChangeOfMean(series)
	want := []float64{-0.05125, -0.0887526771, -0.0137473229}
	if got := c.Difference.Plain(); c.Used != 16 || math.Abs(got.Value-want[0]) > 1e-7 || math.Abs(got.Low-want[1]) > 1e-7 || math.Abs(got.High-want[2]) > 1e-7 {
		t.Errorf("%+v, R has %v", c, want)
	}
	if !c.Shown() {
		t.Error("a change of five points is not shown")
	}
}

// Who looks after every try sees a change that is not there in no more than 5 % of courses of practice.
func TestLookingOftenShowsNoFalseChange(t *testing.T) {
	const courses, length = 600, 260
	rng := rand.New(rand.NewPCG(5, 6))
	falseMean, falseShare := 0, 0
	for range courses {
		var costs []float64
		var right []bool
		shownMean, shownShare := false, false
		for i := range length {
			cost := 0.0
			if rng.Float64() < 0.5 {
				cost = 0.02 + 0.03*rng.ExpFloat64()
			}
			costs, right = append(costs, cost), append(right, rng.Float64() < 0.6)
			if i%4 != 3 {
				continue // nothing new between two looks, which come at multiples of 16
			}
			m, s := ChangeOfMean(costs), ChangeOfShare(right)
			shownMean, shownShare = shownMean || m.Shown(), shownShare || s.Shown()
		}
		falseMean += count(shownMean)
		falseShare += count(shownShare)
	}
	for name, n := range map[string]int{"mean": falseMean, "share": falseShare} {
		if w := stat.Wilson(n, courses); w.Low > 0.05 {
			t.Errorf("%s: a false change in %d of %d courses", name, n, courses)
		}
	}
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// But a real change is shown before long: from a mean cost of 6 points to 1.
func TestARealChangeIsShown(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	var tries []Try
	at := time.Unix(1_000_000, 0)
	for i := range 128 {
		cost := 0.06
		if i >= 64 {
			cost = 0.01
		}
		tries = append(tries, Try{Kind: "tempting", Step: "first-right", Right: i >= 64, At: at.Add(time.Duration(i) * time.Hour),
			Cost: stat.Interval[unit.ChanceDifference]{Value: unit.ChanceDifference(cost * rng.ExpFloat64()), N: 1000}, Taken: 10 * time.Second, Limit: 8 * time.Second})
	}
	r := NewProgress(tries, nil)
	if !r.All.Change.Shown() || r.All.Change.Difference.Value > 0 || len(r.Kinds) != 1 || len(r.Steps) != 1 {
		t.Errorf("%+v", r)
	}
	if r.All.Right.Value != 0 || r.All.Seconds != 10 {
		t.Error("late answers count as known")
	}
	if few := NewProgress(tries[:5], nil); few.All.Cost.N != 0 || few.All.Change.Used != 0 {
		t.Errorf("five tries tell something: %+v", few.All)
	}
}

func TestCleanCharlestons(t *testing.T) {
	var list []Charleston
	for i := range 40 {
		list = append(list, Charleston{SpareBest: 9 - i/8, SparePlan: 3})
	}
	c := NewProgress(nil, list).Clean
	if c.Charlestons != 40 || c.Best.N != 40 || c.Best.Value != 0 || c.Plan.Value != 1 || c.PlanChange.Shown() {
		t.Errorf("%+v", c)
	}
}

func TestQueue(t *testing.T) {
	now := time.Unix(10_000, 0)
	drill := func(id int64, rating float64) *Drill { return &Drill{ID: id, Rating: Rating{Value: rating}} }
	drills := []*Drill{drill(1, 1500), drill(2, 1900), drill(3, 1550), drill(4, 1400), drill(5, 1450)}
	memory := map[int64]Memory{1: {Due: now.Add(time.Hour)}, 2: {Due: now.Add(-time.Hour)}, 4: {Due: now.Add(-2 * time.Hour)}}
	all := func(*Drill) bool { return true }
	if got := Queue(Rating{Value: 1500}, drills, memory, now, 1, all); !reflect.DeepEqual(got, []int{3, 1, 2}) {
		t.Errorf("%v", got)
	}
	if got := Queue(Rating{Value: 1440}, drills, memory, now, 9, all); !reflect.DeepEqual(got, []int{3, 1, 4, 2}) {
		t.Errorf("%v", got)
	}
	if got := Queue(Rating{Value: 1440}, drills, memory, now, 1, func(d *Drill) bool { return d != drills[4] && d != drills[3] }); !reflect.DeepEqual(got, []int{1, 2}) {
		t.Errorf("those that nothing tells are offered: %v", got)
	}
}

// The answers of a reading against the plain definition: every variant of the card counted by hand.
func TestReadingByDefinition(t *testing.T) {
	c := card.Practice()
	x := fit.New(c)
	rater := fit.NewRater(x)
	for seed := range uint64(40) {
		racks, _ := table.Deal(c.Set, sim.Stream(seed, 1, "deal"))
		rack := racks[charleston.South]
		away := map[int]int{}
		least := 99
		for v := range c.Variants {
			r := fit.Read(c, v, rack)
			needed := r.MissingSingles + r.MissingGroups - r.JokersUsed
			if !c.Hands[r.Hand].Jokers {
				needed = r.MissingSingles + r.MissingGroups
			}
			if old, there := away[r.Hand]; !there || needed < old {
				away[r.Hand] = needed
			}
			least = min(least, needed)
		}
		got := Read(rater, len(c.Hands), rack)
		var hands []int
		sections := map[int]bool{}
		for h := range c.Hands {
			if away[h] <= least+1 {
				hands = append(hands, h)
			}
			if away[h] == least {
				sections[c.Hands[h].Section] = true
			}
		}
		if got.Away != least || !reflect.DeepEqual(got.Hands, hands) || len(got.Sections) != len(sections) {
			t.Fatalf("rack %s: %+v, want %d away, hands %v, sections %v", rack, got, least, hands, sections)
		}
	}
}

func TestReadingIsMarked(t *testing.T) {
	c := card.Practice()
	r, err := NewCardReading(c, fit.New(c), 3)
	if err != nil {
		t.Fatal(err)
	}
	var right []string
	for _, s := range r.Sections {
		right = append(right, c.Sections[s])
	}
	if m, err := r.Mark(c, right, false); err != nil || !m.Right() {
		t.Error(m, err)
	}
	if m, err := r.Mark(c, c.Sections, false); err != nil || m.Right() || len(m.Wrong) != len(c.Sections)-len(right) {
		t.Error(m, err)
	}
	if m, err := r.Mark(c, nil, true); err != nil || len(m.Missed) != len(r.Hands) {
		t.Error(m, err)
	}
	if _, err := r.Mark(c, []string{"No such section"}, false); err == nil {
		t.Error("an unknown section")
	}
	again, _ := NewCardReading(c, fit.New(c), 3)
	if !reflect.DeepEqual(r, again) {
		t.Error("the same seed reads another rack")
	}
}

// Keys made again and again do not need more and more games without end, whatever a file says.
func TestGamesAgainIsBounded(t *testing.T) {
	for _, c := range []struct{ games, times, want int }{{4096, 10, 40960}, {40960, 10, 4 * 40960}, {150_000, 10, 150_000}, {1 << 40, 10, mostGames}, {0, 10, 10}, {-5, 3, 3}} {
		if got := gamesAgain(c.games, c.times); got != c.want {
			t.Errorf("%d games %d times: %d, wanted %d", c.games, c.times, got, c.want)
		}
	}
}
