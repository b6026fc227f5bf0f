// Package exercise is one deal and its routes.
//
// An [Exercise] is a deal, the card with which it is played, house rules, and where incoming tiles
// come from. A [Route] is one sequence of decisions from the deal; [Exercise.Do] adds to it, [Exercise.Undo]
// takes back, [Exercise.Fork] starts another from any step. What was held, passed and came at each
// step, a [Snapshot], is never stored but replayed from the decisions, so that an exercise can be
// checked when it is read: see [Read].
//
// In a table exercise three simulated players sit at the table ([NewTable]). What they do is kept with the route, so
// that a route replays alike whoever sits there later; they are asked only for what is new. After the passing the route
// goes on through the play ([Exercise.Act]); a [Game] is that play as the route has brought it there. What the player
// cannot see is in [Hidden] and in [Decision.Others] and must not be shown before the game is over.
//
// [Exercise.WalkAll] lets a walker take the same deal along
// several aims, [Exercise.Repeat] does so over many draws of incoming tiles.
package exercise
