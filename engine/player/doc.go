// Package player is who decides: what to pass, whether to go on, how many to offer, what to discard,
// claim and exchange.
//
// A [Player] receives a charleston.View or a table.View, which hold only what its seat may know, and
// never a state, so that none can peek. [Random] does anything legal; [Nearest] is greedy on tiles away and
// the yardstick, with Ties it keeps the most hands open; [Thumb] follows the rules of thumb; [Strong] is
// the best there is here. [Cast] makes them by name, held to an aim or to [Rules]. docs/players.md tells
// teachers how each plays and how strong it is.
//
// [Steady] is the walker of the exercises: it only passes, plain and honest.
//
// # How the strong player judges
//
// A book lists what every variant of the card needs. fit.Tracker finds the few dozen within reach of
// a rack; for each, [Odds] give the chance that what is missing comes in time, by kind: from the wall, by a
// claim of the last tile of a group, or as a joker. The chances multiply within a variant and
// add up over the variants, and that sum is the value by which Strong does everything. Its parameters are
// a [Tuning], fitted by self-play in package sim.
package player
