package fit

import "secondpass/rules/tile"

// Standing is a rack whose value is kept up to date as tiles come and go.
type Standing struct {
	r     *Rater
	w     *Weights
	rack  tile.Rack
	value int64
}

// Standing starts from a rack. The rater must not be used for anything else as long
// as the standing is.
func (r *Rater) Standing(w *Weights, rack tile.Rack) *Standing {
	return &Standing{r: r, w: w, rack: rack, value: r.Value(w, &rack)}
}

// Rack is the rack as it is now.
func (s *Standing) Rack() tile.Rack { return s.rack }

// Value is the value of the rack as it is now, as [Rater.Value] gives it.
func (s *Standing) Value() int64 { return s.value }

// Add takes one more tile in. The set must have that many copies.
func (s *Standing) Add(k tile.Kind) {
	s.rack[k]++
	if k == tile.Joker {
		s.value = s.r.sum(s.w.tables[s.rack[k]].weights())
		return
	}
	s.value += s.r.move(&s.r.x.touched[k][s.rack[k]-1], s.w.tables[s.rack[tile.Joker]].weights(), -1)
}

// Remove lets go of a tile that is held.
func (s *Standing) Remove(k tile.Kind) {
	s.rack[k]--
	if k == tile.Joker {
		s.value = s.r.sum(s.w.tables[s.rack[k]].weights())
		return
	}
	s.value += s.r.move(&s.r.x.touched[k][s.rack[k]], s.w.tables[s.rack[tile.Joker]].weights(), 1)
}

// move changes the states of the variants that a copy touches, sign 1 for one more
// missing tile and -1 for one fewer, and returns the change of value.
func (r *Rater) move(t *touch, weight *[256]int32, sign int) int64 {
	var sum int64
	for half, list := range [2][]int32{t.group, t.single} {
		step := uint8(sign << (4 * half)) // a negative step wraps round, as the sum does
		for _, v := range list {
			before := r.bytes[v]
			after := before + step
			r.bytes[v] = after
			sum += int64(weight[after]) - int64(weight[before])
		}
	}
	return sum
}
