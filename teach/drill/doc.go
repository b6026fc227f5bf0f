// Package drill finds decisions that teach, says by games which answers are right, and keeps account of practice.
//
// A [Drill] is a [Position], a few choices, and a [Key]: what playing on from each choice made of it. A [Maker] judges
// them for one card; a [Search] looks for them in random deals. An answer is right when it is not shown to cost more than
// Margin, a point of win chance, and a key is kept only when every answer is at least three standard errors away from that
// line, so that more games seldom move one across it ([Maker.Remake] tries). [Maker.Renew] judges drills for a new
// card. What a choice does to the rack is in its [Reason].
//
// A [Student]'s [Try] moves a [Rating] (Glicko-2) and a [Memory] (FSRS-6), from which [Queue] says what comes
// next. [NewProgress] adds up tries; its figures say "no change shown" as long as none is. A [CardReading] asks what a rack is
// near. Times come in as arguments, random numbers from seeds.
package drill
