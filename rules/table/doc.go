// Package table is the play of a hand from the last pass to the end: turns, claims, open
// groups, joker exchange, dead hands, wins and what is paid for them.
//
// A [Game] is a card prepared for play under house rules; it is read-only and shared. A
// [State] is the table at one moment, a plain value that changes only through [State.Apply]
// and [State.Settle], which refuse what the rules do not allow and leave the state as it
// was. [State.Legal] lists what a seat may do. [State.View] is what one seat may know;
// whoever decides for a seat is given a View and never a State. A [Record] is a whole game as text
// that a person can read and the program replays.
//
// Drawing is no decision: a state moves on by itself to the next one. Luck is in the wall alone,
// which is given at the start.
//
// The rules are those of American mahjong as commonly played, docs/rules.md 4 and 5 (common practice, no source); where
// tables differ the point is a house rule in [house.House]. The package does not ask who decides,
// and it does not deal with the passes before play, see package charleston.
package table
