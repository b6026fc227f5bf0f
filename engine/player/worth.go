package player

import (
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Worth is what the player makes of a closed rack before play: the sum of the chances of all hands
// within reach. It has no unit and compares racks of one card and tuning; a calibration turns it into a
// chance to win. Of 14 tiles it is that of the best 13, so that East's compare with the others'.
func (s *Strong) Worth(rack tile.Rack) float64 {
	z := s.before(&rack)
	worth := s.value(&rack, &z)
	if rack.Size() == card.HandTiles {
		s.hopes.lose(&z)
		worth -= s.hopes.loss[s.discard()]
	}
	return worth
}
