package class

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
)

// Due says whether the decision number n, from 0, of a student who walks alone may be taken now. For a number that was
// decided before it is false without an error. It changes nothing.
func (c *Class) Due(student, n int, q *Question, choice Choice) (bool, error) {
	if _, err := c.Student(student); err != nil {
		return false, err
	}
	walk := c.Walks[student]
	switch {
	case c.Mode != Duplicate:
		return false, fmt.Errorf("the class decides together; nobody walks alone")
	case n >= 0 && n < len(walk):
		return false, nil
	case n != len(walk):
		return false, fmt.Errorf("decision %d is not due; number %d is", n+1, len(walk)+1)
	case !c.Ended.IsZero():
		return false, ErrEnded
	}
	if err := q.Check(choice); err != nil {
		return false, err
	}
	if !q.Complete(choice) {
		return false, fmt.Errorf("the choice is not finished")
	}
	return true, nil
}

// Decide takes a decision that is due; see [Class.Due]. The map of walks is replaced by another, so that one who reads
// the old one sees no change.
func (c *Class) Decide(student, n int, q *Question, choice Choice) (done bool, err error) {
	if done, err = c.Due(student, n, q, choice); done {
		c.Walks = maps.Clone(c.Walks)
		if c.Walks == nil {
			c.Walks = map[int][]Choice{}
		}
		c.Walks[student] = append(slices.Clip(c.Walks[student]), choice.Bare())
	}
	return done, err
}

// Result is how far a student has come alone, and what the rack is worth.
type Result struct {
	Student int
	Decided int
	// Over says that the passing is over; the figures count from then on.
	Over bool
	// Spares is the number of tiles that none of the three nearest hands uses.
	Spares int
	// Chance is the estimated chance to win with the rack, 0..1.
	Chance float64
}

// Score is a result beside the room's mean.
type Score struct {
	Result
	// SparesGap is the spares less the room's mean: below 0 is fewer. ChanceGap is the chance less the room's mean.
	SparesGap, ChanceGap float64
	// Rank counts from 1; equal results share one. 0 for those who are not at the end.
	Rank int
}

// Scores sets the results of those at the end beside their mean, and ranks them by chance, then by fewer spares. Those
// who are still on the way follow. The room is everybody there is, so that its mean has no error.
func Scores(results []Result) (scores []Score, spares, chance float64) {
	n := 0
	for _, r := range results {
		scores = append(scores, Score{Result: r})
		if r.Over {
			n++
			spares += float64(r.Spares)
			chance += r.Chance
		}
	}
	if n > 0 {
		spares, chance = spares/float64(n), chance/float64(n)
	}
	slices.SortStableFunc(scores, func(a, b Score) int {
		if a.Over != b.Over {
			if a.Over {
				return -1
			}
			return 1
		}
		if !a.Over {
			return b.Decided - a.Decided
		}
		return cmp.Or(cmp.Compare(b.Chance, a.Chance), a.Spares-b.Spares)
	})
	for i := range scores {
		s := &scores[i]
		if !s.Over {
			continue
		}
		s.SparesGap, s.ChanceGap, s.Rank = float64(s.Spares)-spares, s.Chance-chance, i+1
		if i > 0 && s.Chance == scores[i-1].Chance && s.Spares == scores[i-1].Spares {
			s.Rank = scores[i-1].Rank
		}
	}
	return scores, spares, chance
}
