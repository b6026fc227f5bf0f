package charleston

import (
	"fmt"

	"secondpass/rules/tile"
)

// FromView is a state that agrees with what one seat knows: its own rack and history, and racks for the
// other three (the seat's own entry is not looked at). The history of the others is empty. While Giving, the
// seat across is taken to have named the number that is exchanged, and the other two none.
func FromView(v View, others [Seats]tile.Rack, set tile.Set) (State, error) {
	if v.Phase == Over {
		return State{}, fmt.Errorf("the Charleston is over")
	}
	others[v.Seat] = v.Rack
	s, err := At(v.Step, others, v.Rules, set)
	if err != nil {
		return State{}, err
	}
	s.phase = v.Phase
	for step := range s.gave {
		s.gave[step][v.Seat], s.came[step][v.Seat], s.blind[step][v.Seat] = v.Gave[step], v.Came[step], uint8(v.Blind[step])
	}
	if v.Phase == Giving {
		s.blind[Courtesy] = [Seats]uint8{}
		s.blind[Courtesy][v.Seat], s.blind[Courtesy][Across.To(v.Seat)] = uint8(v.Blind[Courtesy]), uint8(v.Exchange)
		s.excuse()
	}
	return s, nil
}
