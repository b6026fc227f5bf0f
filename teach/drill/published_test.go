package drill

import (
	"encoding/json"
	"math"
	"os"
	"testing"
	"time"
)

// The worked example of Glickman's paper: a player of 1500 (deviation 200, volatility 0.06) beats one of 1400 (30) and
// loses to 1550 (100) and 1700 (300); afterwards 1464.06, 151.52 and 0.05999.
// Source: M. E. Glickman, Example of the Glicko-2 system, Boston University, 2013 (values from memory; the
// library glicko2 1.2.2 for JavaScript gives them too).
func TestGlickmansExample(t *testing.T) {
	got := Rating{1500, 200, 0.06}.After(
		Meeting{Rating{1400, 30, 0.06}, 1}, Meeting{Rating{1550, 100, 0.06}, 0}, Meeting{Rating{1700, 300, 0.06}, 0})
	want := Rating{1464.06, 151.52, 0.05999}
	if math.Abs(got.Value-want.Value) > 0.01 || math.Abs(got.Deviation-want.Deviation) > 0.01 || math.Abs(got.Volatility-want.Volatility) > 1e-5 {
		t.Errorf("got %+v, the paper has %+v", got, want)
	}
}

// One who did not play keeps the rating and gets less sure of it: step 6 of the paper, phi* = sqrt(phi^2 + sigma^2).
func TestGlickoWithoutMeetings(t *testing.T) {
	got := Rating{1500, 200, 0.06}.After()
	if want := math.Sqrt(200*200 + math.Pow(0.06*173.7178, 2)); got.Value != 1500 || math.Abs(got.Deviation-want) > 1e-9 {
		t.Errorf("got %+v, want deviation %g", got, want)
	}
}

// testdata/fsrs6.json is what the library ts-fsrs 5.4.2 (FSRS-6, default parameters, without fuzz) computes for a few
// histories: next_state and next_interval after each try.
func TestFSRSLikeItsLibrary(t *testing.T) {
	data, err := os.ReadFile("testdata/fsrs6.json")
	if err != nil {
		t.Fatal(err)
	}
	var histories [][]struct {
		Days, Grade, Interval int
		Stability, Difficulty float64
	}
	if err := json.Unmarshal(data, &histories); err != nil {
		t.Fatal(err)
	}
	for n, h := range histories {
		var m Memory
		for i, want := range h {
			m.step(want.Days, Grade(want.Grade))
			m.Tries++
			// The library rounds to eight places after every step.
			if math.Abs(m.Stability/want.Stability-1) > 1e-6 || math.Abs(m.Difficulty-want.Difficulty) > 1e-6 || m.interval() != want.Interval {
				t.Errorf("history %d, try %d: %+v in %d days, the library has %+v", n, i, m, m.interval(), want)
			}
		}
	}
}

// After as many days as the stability the chance to know it is 90 %: the definition of stability.
func TestStabilityIsNinetyPercent(t *testing.T) {
	m := Memory{Stability: 12.5}
	if r := m.Recall(12.5); math.Abs(r-0.9) > 1e-12 {
		t.Errorf("recall %g", r)
	}
}

func TestDueDates(t *testing.T) {
	at := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	var m Memory
	m = m.Try(at, true)
	if want := at.Add(2 * day); !m.Due.Equal(want) { // good at first: stability 2.3 days
		t.Errorf("due %s, want %s", m.Due, want)
	}
	wrong := m.Try(m.Due, false)
	if wrong.Due.Sub(m.Due) != againAfter || wrong.Lapses != 1 {
		t.Errorf("%+v", wrong)
	}
	if back := m.Try(at.Add(-time.Hour), true); back.Seen.Before(m.Seen) {
		t.Error("the clock was put back and the memory went back too")
	}
}
