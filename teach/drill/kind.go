package drill

import (
	"fmt"
	"strings"
)

// Kind is what a decision teaches. It gives the answer away, so that a student is told it afterwards.
type Kind string

// The kinds of drills.
const (
	// Plans: two or three sections are equally near; which is it to be? One is shown to be better.
	Plans Kind = "plans"
	// Tempting: the pass that the greedy player nearest makes is shown to be wrong.
	Tempting Kind = "tempting"
	// Breaking: every right pass breaks a multiple of the nearest hand.
	Breaking Kind = "breaking"
	// Blind: how many tiles to pass blind.
	Blind Kind = "blind"
	// Courtesy: how many tiles to offer.
	Courtesy Kind = "courtesy"
	// Stopping: after the first left, stop or go on.
	Stopping Kind = "stop"
	// Refusing: a discard would complete a group and bring the nearest hand nearer; every right answer lets it go.
	Refusing Kind = "refuse"
	// Taking: the counterpart of Refusing, so that letting go is not always right: claiming is.
	Taking Kind = "take"
	// Switching: the hand that was nearest before the last tiles came is given up by every right pass.
	Switching Kind = "switch"
	// Own: a teacher's own decision, with answers of the teacher's choice. It says nothing of what is right, and no search finds one.
	Own Kind = "own"
)

// Kinds lists the kinds that a search finds in the order of a lesson: the passing from its start, then the play.
var Kinds = []Kind{Plans, Tempting, Breaking, Switching, Blind, Stopping, Courtesy, Refusing, Taking}

// ParseKind reads a kind's name.
func ParseKind(text string) (Kind, error) {
	for _, k := range Kinds {
		if string(k) == text {
			return k, nil
		}
	}
	if text == string(Own) {
		return Own, nil
	}
	return "", fmt.Errorf("%q is no kind of drill; the kinds are %s", text, kindList())
}

func kindList() string {
	list := ""
	for _, k := range Kinds {
		list += string(k) + ", "
	}
	return strings.TrimSuffix(list, ", ") + " and " + string(Own)
}

// Ask is what a drill asks for. It gives nothing away.
type Ask string

// What drills ask for.
const (
	AskSection Ask = "section" // which section of the card to steer for
	AskPass    Ask = "pass"    // which tiles to pass
	AskBlind   Ask = "blind"   // how many tiles to pass blind
	AskStop    Ask = "stop"    // stop or go on
	AskOffer   Ask = "offer"   // how many tiles to offer at the courtesy
	AskClaim   Ask = "claim"   // claim the discard or let it go
	AskTurn    Ask = "turn"    // what to discard, exchange or declare
)

// Ask is what drills of the kind ask for; a teacher's own ask for what their position does, see [Drill.Ask].
func (k Kind) Ask() Ask {
	switch k {
	case Plans:
		return AskSection
	case Blind:
		return AskBlind
	case Stopping:
		return AskStop
	case Courtesy:
		return AskOffer
	case Refusing, Taking:
		return AskClaim
	}
	return AskPass
}

// InPlay says whether it is asked in the play.
func (a Ask) InPlay() bool { return a == AskClaim || a == AskTurn }

// Whole says whether answers are judged by whole games; the others by short ones, which end with the passing.
func (a Ask) Whole() bool { return a == AskSection || a == AskClaim || a == AskTurn }
