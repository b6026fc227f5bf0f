package exercise

import (
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Advised is advice as it was given at a moment: what was played, and what came of the decisions that were played to the end.
// What a decision keeps and gives up can be read off the rack and is not in it.
type Advised struct {
	// Seed drew the games.
	Seed uint64
	// Games is the number of games by which the options were picked, Whole that of whole games of each.
	Games, Whole int
	// Of is how many decisions were open. Options are those of them with figures, best first.
	Of      int
	Options []Option
}

// Option is one decision with its figures. The intervals hold while somebody watches.
type Option struct {
	// Pass is a decision of the passing; in the play Act is the decision instead, and has a kind.
	Pass charleston.Action
	Act  table.Action
	// Chance is the chance to win, Behind that of the best option less this one's, on the same games; Points are the net
	// points of the games.
	Chance stat.Interval[unit.Chance]
	Behind stat.Interval[unit.ChanceDifference]
	Points stat.IntMoments[unit.NetPoints]
	// Even says that it is not shown to be worse than the best, Own that the player asked about it.
	Even, Own bool
}
