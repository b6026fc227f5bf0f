// Package play is the page of the game after the passing, and the form by which a decision of it is made.
//
// The page stands at the address of its route, so the area of exercises asks for it and saves what it did; see
// rules/table for the game itself. Only face/web makes an [Area].
package play
