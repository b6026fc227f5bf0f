package store

import "secondpass/rules/tile"

// Wish says which exercises are looked for; what is empty asks for nothing. Names go by their parts, in capitals or not.
type Wish struct {
	// Name is a part of the exercise's name, Card that of its card's.
	Name, Card string
	// Has are tiles of the deal, Aim is a part of the name of a section or hand that a route was aimed at at some step.
	Has tile.Rack
	Aim string
}

// ByName says whether nothing but the name is asked for.
func (w *Wish) ByName() bool { return w.Card == "" && w.Aim == "" && w.Has.Size() == 0 }
