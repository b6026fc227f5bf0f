// Package charleston is the passing before play: seven steps at most, as a state
// machine for four seats and as one seat's walk.
//
// A [State] holds the four racks and changes only through [State.Apply], which refuses
// what the rules do not allow and leaves the state as it was. [State.Legal] lists what a
// seat may do, [State.View] what it may know. A [Solo] is the same passing seen from
// one seat, the other three being a [Source]: tiles drawn in advance ([Mock]), typed in
// ([Entered]), or anything else that answers.
//
// The rules are those of American mahjong as commonly played, docs/rules.md 2 and 3 (common practice, no
// source); where tables differ the point is a house rule in [house.Passing]. The package knows
// tiles and nothing of cards or of who decides.
package charleston
