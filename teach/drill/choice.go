package drill

import (
	"fmt"
	"strings"

	"secondpass/exercise"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Choice is one of the answers that a drill offers. It is used by its part that the drill's Ask names.
type Choice struct {
	// Action is a pass, a vote or a number; for AskBlind a pass with so many blind tiles and the best own ones.
	Action charleston.Action
	// Play is a claim or that the discard is let go.
	Play table.Action
	// Section is a section of the card to steer for.
	Section string
}

// String is the choice as text that [ParseChoice] reads: "1b 8c 9d", "17c + 1 blind", "stop", "go on", "offer 3",
// "S claims 4c: 444c J", "S declines", "section Runs". It is what an answer is kept as.
func (c Choice) String() string {
	switch {
	case c.Section != "":
		return "section " + c.Section
	case c.Play.Kind != 0:
		return c.Play.String()
	case c.Action.Kind == charleston.Vote && c.Action.Stop:
		return "stop"
	case c.Action.Kind == charleston.Vote:
		return "go on"
	case c.Action.Kind == charleston.Name:
		return fmt.Sprintf("offer %d", c.Action.Count)
	case c.Action.Count == 0:
		return c.Action.Own.String()
	}
	return strings.TrimPrefix(fmt.Sprintf("%s + %d blind", c.Action.Own, c.Action.Count), " + ")
}

// ParseChoice reads what Choice.String writes, for a seat.
func ParseChoice(ask Ask, seat charleston.Seat, text string) (Choice, error) {
	a := charleston.Action{Seat: seat}
	switch ask {
	case AskSection:
		name, ok := strings.CutPrefix(text, "section ")
		if !ok || name == "" {
			return Choice{}, fmt.Errorf(`%q: "section" and a name are right`, text)
		}
		return Choice{Section: name}, nil
	case AskClaim, AskTurn:
		play, err := table.ParseAction(text)
		if err == nil && play.Seat != seat {
			err = fmt.Errorf("%q: %s is to answer", text, seat.Name())
		}
		return Choice{Play: play}, err
	case AskStop:
		a.Kind, a.Stop = charleston.Vote, text == "stop"
		if !a.Stop && text != "go on" {
			return Choice{}, fmt.Errorf(`%q: "stop" or "go on" are right`, text)
		}
		return Choice{Action: a}, nil
	case AskOffer:
		a.Kind = charleston.Name
		if n, err := fmt.Sscanf(text, "offer %d", &a.Count); n != 1 || err != nil || a.Count < 0 || a.Count > charleston.PassTiles {
			return Choice{}, fmt.Errorf(`%q: "offer" and 0 to %d are right`, text, charleston.PassTiles)
		}
		return Choice{Action: a}, nil
	}
	return parsePass(a, text)
}

func parsePass(a charleston.Action, text string) (Choice, error) {
	a.Kind = charleston.Pass
	own := text
	if rest, ok := strings.CutSuffix(text, " blind"); ok {
		before, count, ok := strings.Cut(rest, " + ")
		if !ok {
			before, count = "", rest
		}
		if n, err := fmt.Sscanf(count, "%d", &a.Count); n != 1 || err != nil || a.Count < 1 || a.Count > charleston.PassTiles {
			return Choice{}, fmt.Errorf("%q: 1 to %d tiles are passed blind", text, charleston.PassTiles)
		}
		own = before
	}
	var err error
	if a.Own, err = exercise.ParseParcel(own, largest); err != nil {
		return Choice{}, err
	}
	if a.Own.Len()+a.Count != charleston.PassTiles {
		return Choice{}, fmt.Errorf("%q: %d tiles; %d are right", text, a.Own.Len()+a.Count, charleston.PassTiles)
	}
	return Choice{Action: a}, nil
}
