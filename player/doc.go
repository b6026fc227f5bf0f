// Package player is who decides: what to pass, whether to go on, how many to offer.
//
// A [Passer] receives a charleston.View, which holds only what its seat may know, and never a
// state, so that none can peek. [Steady] is the walker of the exercises: plain and
// honest, held to an aim if one is given.
package player
