package drill

import (
	"math"
	"time"
)

// Memory is how well a student knows a drill: a state of the scheduler FSRS-6.
//
// Source: the published formulas and default parameters of FSRS-6 (J. Ye, J. Su, Y. Cao, A stochastic shortest path
// algorithm for optimizing spaced repetition scheduling, KDD 2022, and its later versions by the
// Open Spaced Repetition group). The library for Go cannot be fetched everywhere, hence our own; tests compare it with
// what the group's library for JavaScript computes.
type Memory struct {
	// Stability is the days until the chance to know it falls to 90 %, Difficulty is from 1 to 10.
	Stability  float64 `json:"stability"`
	Difficulty float64 `json:"difficulty"`
	// Seen is when it was tried last, Due when it is to be tried again.
	Seen time.Time `json:"seen"`
	Due  time.Time `json:"due"`
	// Tries counts all tries, Lapses those that went wrong after the first.
	Tries  int `json:"tries"`
	Lapses int `json:"lapses"`
}

// Grade is how a try went: the grades of the scheduler. A drill is Again or Good; the scheduler knows the others.
type Grade int

// The grades.
const (
	Again Grade = 1 + iota
	Hard
	Good
	Easy
)

// fsrsW are the published default parameters of FSRS-6.
var fsrsW = [21]float64{0.212, 1.2931, 2.3065, 8.2956, 6.4133, 0.8334, 3.0194, 0.001, 1.8722, 0.1666, 0.796, 1.4835, 0.0614,
	0.2629, 1.6483, 0.6014, 1.8729, 0.5425, 0.0912, 0.0658, 0.1542}

const (
	// retention is the chance to know a drill at which it is due, the scheduler's default.
	retention = 0.9
	// leastStability and mostInterval bound states and intervals, in days.
	leastStability = 0.001
	mostInterval   = 36500
	day            = 24 * time.Hour
)

var (
	fsrsDecay  = -fsrsW[20]
	fsrsFactor = math.Pow(0.9, 1/fsrsDecay) - 1
)

// Recall is the chance, 0 to 1, that a student knows it so many days after the last try.
func (m *Memory) Recall(days float64) float64 {
	return math.Pow(1+fsrsFactor*days/m.Stability, fsrsDecay)
}

// step is the state after a try that comes so many whole days after the last one; 0 is the same day.
func (m *Memory) step(days int, g Grade) {
	if m.Tries == 0 {
		m.Stability = max(leastStability, fsrsW[g-1])
		m.Difficulty = min(10, max(1, firstDifficulty(g)))
		return
	}
	d, s, r := m.Difficulty, m.Stability, m.Recall(float64(days))
	switch {
	case days == 0:
		grow := math.Exp(fsrsW[17]*(float64(g)-3+fsrsW[18])) * math.Pow(s, -fsrsW[19])
		if g >= Hard {
			grow = max(1, grow)
		}
		s *= grow
	case g == Again:
		after := fsrsW[11] * math.Pow(d, -fsrsW[12]) * (math.Pow(s+1, fsrsW[13]) - 1) * math.Exp((1-r)*fsrsW[14])
		s = min(after, s/math.Exp(fsrsW[17]*fsrsW[18]))
	default:
		grow := math.Exp(fsrsW[8]) * (11 - d) * math.Pow(s, -fsrsW[9]) * (math.Exp((1-r)*fsrsW[10]) - 1)
		switch g {
		case Hard:
			grow *= fsrsW[15]
		case Easy:
			grow *= fsrsW[16]
		}
		s *= 1 + grow
	}
	m.Stability = min(mostInterval, max(leastStability, s))
	next := d - fsrsW[6]*(float64(g)-3)*(10-d)/9
	m.Difficulty = min(10, max(1, float64(fsrsW[7]*firstDifficulty(Easy))+float64((1-fsrsW[7])*next)))
}

func firstDifficulty(g Grade) float64 { return fsrsW[4] - math.Exp(fsrsW[5]*float64(g-1)) + 1 }

// interval is the number of whole days until the chance to know it falls to the retention.
func (m *Memory) interval() int {
	days := m.Stability / fsrsFactor * (math.Pow(retention, 1/fsrsDecay) - 1)
	return int(min(mostInterval, max(1, math.Round(days))))
}

// againAfter is when a drill that went wrong is due again: on the same day, as the scheduler's first learning step does.
const againAfter = 10 * time.Minute

// Try is the memory after a try at a time, with the next time it is due. Days are counted as whole days since the
// last try. Times before the last try count as that.
func (m Memory) Try(at time.Time, right bool) Memory {
	g := Again
	if right {
		g = Good
	}
	if at.Before(m.Seen) {
		at = m.Seen
	}
	m.step(int(at.Sub(m.Seen)/day), g)
	if !right && m.Tries > 0 {
		m.Lapses++
	}
	m.Tries++
	m.Seen, m.Due = at, at.Add(time.Duration(m.interval())*day)
	if !right {
		m.Due = at.Add(againAfter)
	}
	return m
}
