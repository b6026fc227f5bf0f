package sim

import (
	"secondpass/charleston"
	"secondpass/player"
)

// Decide asks a player for the action that is due in the passing. Seat, phase and rack are those of the view.
func Decide(p player.Passer, v *charleston.View) charleston.Action { return decide(p, v) }
