package drill

import (
	"sync"

	"secondpass/rules/charleston"
)

// side is one way in which drills of a kind come out. Where one way is right nearly always, a set that took drills as
// they come would teach to choose it unseen, so that no side may be more than two thirds of a kind.
type side struct {
	kind Kind
	// less: stop, offer 0, no blind tile, rather than more passing.
	less bool
}

// sides are those of a kind.
func sides(k Kind) []side {
	switch k {
	case Blind, Stopping, Courtesy:
		return []side{{k, false}, {k, true}}
	}
	return []side{{kind: k}}
}

// sideOf is the side of the best answer.
func sideOf(d *Drill, k *Key) side {
	best := d.Choices[k.Best()].Action
	s := side{kind: d.Kind}
	switch d.Kind {
	case Blind, Courtesy:
		s.less = best.Count == 0
	case Stopping:
		s.less = best.Kind == charleston.Vote && best.Stop
	}
	return s
}

// quota is how many drills of each kind and side are still wanted. Once none of a side are, none will be.
type quota struct {
	mu    sync.Mutex
	kinds map[Kind]int
	sides map[side]int
	total int
}

func newQuota(kinds []Kind, each, total int) *quota {
	q := &quota{kinds: map[Kind]int{}, sides: map[side]int{}, total: total}
	if len(kinds) == 0 {
		kinds = Kinds
	}
	for _, k := range kinds {
		q.kinds[k] = each
		list := sides(k)
		for _, s := range list {
			q.sides[s] = each
			if len(list) > 1 {
				q.sides[s] = (2*each + 2) / 3
			}
		}
	}
	return q
}

func (q *quota) wanted(s side) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.kinds[s.kind] > 0 && q.sides[s] > 0 && q.total > 0
}

// take counts a drill if it is still wanted.
func (q *quota) take(s side) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.kinds[s.kind] <= 0 || q.sides[s] <= 0 || q.total <= 0 {
		return false
	}
	q.kinds[s.kind]--
	q.sides[s]--
	q.total--
	return true
}

func (q *quota) full() bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	for s, left := range q.sides {
		if left > 0 && q.kinds[s.kind] > 0 && q.total > 0 {
			return false
		}
	}
	return true
}

// EachKind is the most drills of one kind in a search for total drills of so many kinds, 0 for all of them: half as
// many again as an even share, so that a rare kind does not hold the search up and a common one does not fill it.
func EachKind(total, kinds int) int {
	if kinds == 0 {
		kinds = len(Kinds)
	}
	if kinds == 1 {
		return total
	}
	return (3*total + 2*kinds - 1) / (2 * kinds)
}
