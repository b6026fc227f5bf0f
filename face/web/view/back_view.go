package view

import (
	"secondpass/exercise"
	"secondpass/paper/wording"
)

// Back is what can be taken back of a route and done again where it stands.
type Back struct {
	Path string
	// At is the number of decisions so far and Changes that of plans and remarks changed: a form made for others is refused.
	At, Changes int
	Undo, Redo  BackAct
}

// BackAct is one of the two: Of says what in words, "" for nothing. What is a word for the button where it is no decision.
type BackAct struct{ Of, What string }

// BackOf is what can be taken back of a route.
func BackOf(x Exercise, route *exercise.Route) Back {
	b := Back{Path: StepPath(x.ID, route.ID), At: route.Len(), Changes: len(route.Changes), Undo: backAct(route.Last())}
	if len(route.Ahead) > 0 {
		b.Redo = backAct(&route.Ahead[0])
	}
	return b
}

func backAct(t *exercise.Taken) BackAct {
	switch {
	case t == nil:
		return BackAct{}
	case t.Change == nil:
		return BackAct{Of: wording.Taken(t)}
	case t.Change.OfRemark:
		return BackAct{wording.Taken(t), "the remark"}
	}
	return BackAct{wording.Taken(t), "the plan"}
}
