// Package advice says what a decision is worth, by playing on from it against simulated players.
//
// A [Counsel] judges for one card, house and table: every legal decision of a seat that passes ([Counsel.Advise]) or plays
// ([Counsel.AdvisePlay]), plans ([Counsel.AdviseAims]), a whole route with what was cost and what luck
// ([Counsel.Review]), and racks at the end of the passing ([OutlookRun]). What a seat does not see is laid out afresh in
// every game, the same for all that is compared. It knows exercises but no store, and formats nothing: keeping and wording
// what it finds is for desk, paper and the faces.
package advice
