package wording

import (
	"fmt"
	"strings"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Decision is what was decided, in a few words: "1b 8c 9d", "stops here", "offers 2".
func Decision(d exercise.Decision) string {
	switch d.Phase {
	case charleston.Passing:
		text := d.Own.String()
		if d.Count > 0 {
			text = strings.TrimSpace(fmt.Sprintf("%s + %d blind", text, d.Count))
			text = strings.TrimPrefix(text, "+ ")
		}
		return text
	case charleston.Voting:
		switch {
		case d.Stop:
			return "stops here"
		case d.OthersStop:
			return "another seat stops"
		}
		return "goes on"
	case charleston.Naming:
		if d.Exchanged < d.Count {
			return fmt.Sprintf("offers %d, %d exchanged", d.Count, d.Exchanged)
		}
		return fmt.Sprintf("offers %d", d.Count)
	}
	return d.Own.String()
}

// Candidate is a decision in a few words: "1b 8c 9d", "17c + 1 blind", "stop", "offer 2".
func Candidate(o *advice.Candidate) string {
	switch o.Kind {
	case charleston.Vote:
		if o.Stop {
			return "stop"
		}
		return "go on"
	case charleston.Name:
		return fmt.Sprintf("offer %d", o.Count)
	}
	text := o.Own.String()
	if o.Count > 0 {
		text = strings.TrimPrefix(fmt.Sprintf("%s + %d blind", text, o.Count), " + ")
	}
	return text
}

// Action is a decision in a few words.
func Action(a charleston.Action) string {
	return Candidate(&advice.Candidate{Action: a})
}

// End is how a game ended, in a sentence.
func End(e *exercise.Exercise, g *exercise.Game) string {
	res := g.Result()
	if !res.Ending.Won() {
		return "Wall game: nobody wins."
	}
	who := func(seat charleston.Seat) string {
		if seat == e.Seat {
			return fmt.Sprintf("%s (you)", seat.Name())
		}
		return seat.Name()
	}
	how := "self-drawn"
	if res.Ending == table.OnDiscard {
		v := g.View()
		how = fmt.Sprintf("on %s of %s", v.Discard(v.Discards()-1).Tile, who(res.Discarder))
	}
	hand := e.Card.Hands[e.Card.Variants[res.Variant].Hand].Name
	return fmt.Sprintf("%s wins %s with %s, %s; you %+d.", who(res.Winner), how, hand, Plural(res.Points, "point"), res.Net[e.Seat])
}
