package stat

import "secondpass/engine/unit"

// Paired gathers a whole number of one unit U for each of several candidates, game after game, where all candidates meet the same games:
// the sums of each, and of every two those of their differences, by which an interval of a difference goes. The sums are
// exact, so that the same games merged in any order and grouping give the same bits. Make it with [NewPaired].
type Paired[U unit.Unit] struct {
	// Each is the numbers of each candidate.
	Each []IntMoments[U] `json:"each"`
	// Pairs are the numbers of candidate i less those of each j > i, row after row; see [Paired.Less].
	Pairs []IntMoments[U] `json:"pairs"`
}

// NewPaired is an empty tally of so many candidates.
func NewPaired[U unit.Unit](candidates int) *Paired[U] {
	return &Paired[U]{make([]IntMoments[U], candidates), make([]IntMoments[U], candidates*(candidates-1)/2)}
}

// Add takes in one game: a number for every candidate.
func (p *Paired[U]) Add(values []int) {
	at := 0
	for i, v := range values {
		p.Each[i].Add(v)
		for _, w := range values[i+1:] {
			p.Pairs[at].Add(v - w)
			at++
		}
	}
}

// Merge takes in all games of other, which has as many candidates.
func (p *Paired[U]) Merge(other *Paired[U]) {
	for i := range p.Each {
		p.Each[i].Merge(other.Each[i])
	}
	for i := range p.Pairs {
		p.Pairs[i].Merge(other.Pairs[i])
	}
}

// Count is the number of games.
func (p *Paired[U]) Count() int {
	if len(p.Each) == 0 {
		return 0
	}
	return p.Each[0].Count()
}

// Less is the numbers of candidate i less those of candidate j, game by game.
func (p *Paired[U]) Less(i, j int) IntMoments[U] {
	switch {
	case i == j:
		return IntMoments[U]{N: int64(p.Count())}
	case i > j:
		m := p.Less(j, i)
		m.Sum = -m.Sum
		return m
	}
	before := i * (2*len(p.Each) - i - 1) / 2 // the pairs of the rows above
	return p.Pairs[before+j-i-1]
}

// Shares is, where every number is 0 or 1, the games on which both candidates have 1, only i, only j, and neither: what
// [PairedProportions] asks for.
func (p *Paired[U]) Shares(i, j int) (both, onlyI, onlyJ, neither int) {
	less := p.Less(i, j)
	onlyI, onlyJ = int(less.SumSq+less.Sum)/2, int(less.SumSq-less.Sum)/2
	both = int(p.Each[i].Sum) - onlyI
	return both, onlyI, onlyJ, p.Count() - both - onlyI - onlyJ
}
