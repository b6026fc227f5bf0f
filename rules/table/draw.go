package table

// Undrawn is the table as it was before the seat in turn drew its last tile, waiting for the draw alone; ok is false where it has come
// by its last tile otherwise, or nothing is known of the tiles drawn since all that is hidden was laid out anew.
func (s *State) Undrawn() (before State, ok bool) {
	if s.phase != Discarding || s.gain != fromWall || s.drawn == 0 || s.thrown == 0 {
		return State{}, false
	}
	before = *s
	before.drawn--
	before.racks[s.turn][s.wall[before.drawn]]--
	before.phase = Drawing
	return before, true
}

// Draw draws the next tile of the wall in a state that waits for that.
func (s *State) Draw() {
	if s.phase == Drawing {
		s.racks[s.turn][s.wall[s.drawn]]++
		s.drawn++
		s.phase = Discarding
	}
}
