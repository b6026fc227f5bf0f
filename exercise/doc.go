// Package exercise is one deal and its routes.
//
// An [Exercise] is a deal, the card with which it is played, house rules, and where incoming tiles
// come from. A [Route] is one sequence of decisions from the deal; [Exercise.Do] adds to it, [Exercise.Undo]
// takes back, [Exercise.Fork] starts another from any step. What was held, passed and came at each
// step, a [Snapshot], is never stored but replayed from the decisions, so that an exercise can be
// checked when it is read: see [Read].
//
// [Draw] deals a rack, also to a condition. [Compare] lets a walker take the same deal along
// several aims, [Repeat] does so over many draws of incoming tiles.
package exercise
