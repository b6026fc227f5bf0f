package stat

import "secondpass/engine/unit"

// Joint gathers two whole numbers of one unit U a game, x and y, for the mean and spread of any mixture of them. The zero value is empty
// and ready. It is exact sums, with the range of [IntMoments].
type Joint[U unit.Unit] struct {
	N  int64 `json:"n"`
	X  int64 `json:"x"`
	Y  int64 `json:"y"`
	XX int64 `json:"xx"`
	YY int64 `json:"yy"`
	XY int64 `json:"xy"`
}

// Add takes in one game.
func (j *Joint[U]) Add(x, y int) {
	a, b := int64(x), int64(y)
	j.N++
	j.X += a
	j.Y += b
	j.XX += a * a
	j.YY += b * b
	j.XY += a * b
}

// Merge takes in all games of other.
func (j *Joint[U]) Merge(other Joint[U]) {
	j.N += other.N
	j.X += other.X
	j.Y += other.Y
	j.XX += other.XX
	j.YY += other.YY
	j.XY += other.XY
}

// Negated is the games with both signs changed.
func (j Joint[U]) Negated() Joint[U] {
	j.X, j.Y = -j.X, -j.Y
	return j
}

// First and Second are x and y alone.
func (j Joint[U]) First() IntMoments[U]  { return IntMoments[U]{j.N, j.X, j.XX} }
func (j Joint[U]) Second() IntMoments[U] { return IntMoments[U]{j.N, j.Y, j.YY} }

// Mixed is the sample of (1-w) x + w y; 0 <= w <= 1.
func (j Joint[U]) Mixed(w float64) Sample { return mixed[U]{j, w} }

type mixed[U unit.Unit] struct {
	Joint[U]
	w float64
}

func (m mixed[U]) Count() int { return int(m.N) }

func (m mixed[U]) Mean() float64 {
	return float64((1-m.w)*m.First().Mean()) + float64(m.w*m.Second().Mean())
}

// Variance is (1-w)^2 var x + w^2 var y + 2 w (1-w) cov. The covariance is from the variance of the sum, so that no small
// difference of large numbers is rounded.
func (m mixed[U]) Variance() float64 {
	x, y := m.First().Variance(), m.Second().Variance()
	sum := IntMoments[U]{m.N, m.X + m.Y, m.XX + 2*m.XY + m.YY}.Variance()
	return max(0, float64((1-m.w)*(1-m.w)*x)+float64(m.w*m.w*y)+float64(m.w*(1-m.w)*(sum-x-y)))
}
