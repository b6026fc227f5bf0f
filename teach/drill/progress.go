package drill

import (
	"cmp"
	"slices"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// Figures are a student's results of one kind or step.
type Figures struct {
	// Name is the kind or the step's key; "" for all.
	Name  string `json:"name"`
	Tries int    `json:"tries"`
	// Right is the share of right answers, Cost the mean chance to win thrown away over the tries whose cost is known.
	// An interval without ends, or N 0, says that there are too few tries.
	Right stat.Interval[unit.Chance]           `json:"right"`
	Cost  stat.Interval[unit.ChanceDifference] `json:"cost"`
	// Seconds is the median time of a decision, 0 where none was taken.
	Seconds float64 `json:"seconds"`
	// Change is of the cost; RightChange of the share of right answers, which readings have alone.
	Change      Change[unit.ChanceDifference] `json:"change"`
	RightChange Change[unit.Chance]           `json:"right_change"`
}

// Change is the later half of a student's results less the earlier half. People look at it whenever they like, so that
// it is worked out anew only when the number of results has doubled, and the chances of error of all these looks add up to
// 5 %.
type Change[U unit.Chance | unit.ChanceDifference] struct {
	// Used is the number of results at the last look; 0 where there were too few for a first.
	Used int `json:"used"`
	// Early and Late are the means of the halves, Difference is the second less the first.
	Early      U                                    `json:"early"`
	Late       U                                    `json:"late"`
	Difference stat.Interval[unit.ChanceDifference] `json:"difference"`
}

// Shown says whether a change is shown at all.
func (c *Change[U]) Shown() bool { return c.Used > 0 && !c.Difference.Holds(0) }

// firstLook is the number of results from which a change is looked for.
const firstLook = 16

// look is the number of results at the last look and the chance of error spent on it: 0.05/(k(k+1)) on look k, which add
// up to 0.05 however many looks there are (a union bound).
func look(n int) (used int, alpha float64) {
	k := 0
	for next := firstLook; next <= n; next *= 2 {
		used = next
		k++
	}
	return used, stat.Alpha / float64(k*(k+1))
}

// ChangeOfMean compares the halves of a series of chances, each 0 to 1, in the order of time, at the last look, by the
// interval of [stat.DifferenceOfMeans].
func ChangeOfMean(series []float64) Change[unit.ChanceDifference] {
	used, alpha := look(len(series))
	if used == 0 {
		return Change[unit.ChanceDifference]{}
	}
	early, late := moments(series[:used/2]), moments(series[used/2:used])
	c := Change[unit.ChanceDifference]{Used: used, Early: unit.ChanceDifference(early.Mean()), Late: unit.ChanceDifference(late.Mean())}
	c.Difference = stat.DifferenceOfMeans[unit.ChanceDifference](late, early, alpha)
	if !c.Difference.Bounded() { // nothing varied
		half := unit.ChanceDifference(stat.RuleOfThree(used / 2))
		c.Difference.Low, c.Difference.High = c.Difference.Value-half, c.Difference.Value+half
	}
	return c
}

func moments(series []float64) stat.Moments {
	var m stat.Moments
	for _, x := range series {
		m.Add(x)
	}
	return m
}

// ChangeOfShare compares the shares of successes in the halves of a series, at the last look, by the interval of
// [stat.DifferenceOfShares].
func ChangeOfShare(series []bool) Change[unit.Chance] {
	used, alpha := look(len(series))
	if used == 0 {
		return Change[unit.Chance]{}
	}
	n := used / 2
	a, b := successes(series[:n]), successes(series[n:used])
	return Change[unit.Chance]{Used: used, Early: unit.Chance(a) / unit.Chance(n), Late: unit.Chance(b) / unit.Chance(n),
		Difference: stat.DifferenceOfShares(b, n, a, n, alpha)}
}

func successes(series []bool) int {
	n := 0
	for _, ok := range series {
		if ok {
			n++
		}
	}
	return n
}

// Progress is a student's results, in all and by kind and step.
type Progress struct {
	All   Figures   `json:"all"`
	Kinds []Figures `json:"kinds"`
	Steps []Figures `json:"steps"`
	// Themes are what racks were about; one try counts for each theme of its rack.
	Themes []Figures `json:"themes"`
	// Next is what is best practised next, nil where nothing is shown to be weaker than the rest.
	Next *Weakness `json:"next,omitempty"`
	// Clean are the Charlestons of whole exercises.
	Clean Cleanliness `json:"clean"`
}

// Cleanliness is how many Charlestons were clean: for the nearest hand alone, and for the three nearest.
type Cleanliness struct {
	Charlestons int                        `json:"charlestons"`
	Best        stat.Interval[unit.Chance] `json:"best"`
	Plan        stat.Interval[unit.Chance] `json:"plan"`
	BestChange  Change[unit.Chance]        `json:"best_change"`
	PlanChange  Change[unit.Chance]        `json:"plan_change"`
}

// NewProgress adds up tries and Charlestons, both in the order of time.
func NewProgress(tries []Try, charlestons []Charleston) Progress {
	var r Progress
	r.All = figures("", tries)
	r.Kinds = grouped(tries, func(t *Try) string { return t.Kind })
	r.Steps = grouped(tries, func(t *Try) string { return t.Step })
	r.Themes = themed(tries)
	r.Next = weakest(&r)
	var best, plan []bool
	for i := range charlestons {
		best = append(best, charlestons[i].CleanBest())
		plan = append(plan, charlestons[i].CleanPlan())
	}
	n := len(charlestons)
	r.Clean = Cleanliness{n, stat.Wilson(successes(best), n), stat.Wilson(successes(plan), n), ChangeOfShare(best), ChangeOfShare(plan)}
	return r
}

func grouped(tries []Try, by func(*Try) string) []Figures {
	groups := map[string][]Try{}
	for _, t := range tries {
		groups[by(&t)] = append(groups[by(&t)], t)
	}
	var list []Figures
	for name, group := range groups {
		list = append(list, figures(name, group))
	}
	slices.SortFunc(list, func(a, b Figures) int { return cmp.Compare(a.Name, b.Name) })
	return list
}

// themed is the figures by theme.
func themed(tries []Try) []Figures {
	groups := map[Theme][]Try{}
	for _, t := range tries {
		for _, theme := range t.Themes {
			groups[theme] = append(groups[theme], t)
		}
	}
	list := []Figures{}
	for theme, group := range groups {
		list = append(list, figures(string(theme), group))
	}
	slices.SortFunc(list, func(a, b Figures) int { return cmp.Compare(a.Name, b.Name) })
	return list
}

// Weakness is a theme or a kind in which a student is right less often than in all else.
type Weakness struct {
	// Theme or Kind is set, the other "".
	Theme Theme `json:"theme,omitempty"`
	Kind  Kind  `json:"kind,omitempty"`
	// Right is the share of right answers there.
	Right stat.Interval[unit.Chance] `json:"right"`
	Tries int                        `json:"tries"`
}

// weakest is the theme or kind whose share of right answers is lowest for sure: whose interval ends lowest, and below the share over
// all tries. Such a hint names the lowest of several intervals, so that it is wrong more often than once in twenty; it costs a few drills
// that were not needed.
func weakest(r *Progress) *Weakness {
	var w *Weakness
	look := func(f *Figures, theme Theme, kind Kind) {
		if f.Tries >= leastTries && f.Right.High < r.All.Right.Value && (w == nil || f.Right.High < w.Right.High) {
			w = &Weakness{theme, kind, f.Right, f.Tries}
		}
	}
	for i := range r.Themes {
		look(&r.Themes[i], Theme(r.Themes[i].Name), "")
	}
	for i := range r.Kinds {
		if k, err := ParseKind(r.Kinds[i].Name); err == nil {
			look(&r.Kinds[i], "", k)
		}
	}
	return w
}

// leastTries is the fewest tries for an interval of a mean cost: costs are mostly 0, and a few of them tell nothing.
const leastTries = 8

func figures(name string, tries []Try) Figures {
	f := Figures{Name: name, Tries: len(tries)}
	var right []bool
	var costs, seconds []float64
	var sum stat.Moments
	for i := range tries {
		t := &tries[i]
		right = append(right, t.Known())
		if t.Cost.N > 0 {
			costs = append(costs, float64(t.Cost.Value))
			sum.Add(float64(t.Cost.Value))
		}
		if t.Taken > 0 {
			seconds = append(seconds, t.Taken.Seconds())
		}
	}
	f.Right, f.RightChange = stat.Wilson(successes(right), len(right)), ChangeOfShare(right)
	f.Change = ChangeOfMean(costs)
	f.Cost = costOf(sum)
	if len(seconds) > 0 {
		slices.Sort(seconds)
		f.Seconds = (seconds[(len(seconds)-1)/2] + seconds[len(seconds)/2]) / 2
	}
	return f
}

// costOf is a mean cost; with few tries, or where nothing varied, N is 0 and only the value counts.
func costOf(m stat.Moments) stat.Interval[unit.ChanceDifference] {
	if m.Count() < leastTries || m.SD() == 0 {
		return stat.Interval[unit.ChanceDifference]{Value: unit.ChanceDifference(m.Mean()), Low: 0, High: 1}
	}
	return stat.MeanT[unit.ChanceDifference](m).Within(0, 1)
}
