package wording

import (
	"fmt"
	"strings"

	"secondpass/advice"
	"secondpass/exercise"
	"secondpass/rules/card"
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

// Why words the facts of a pass.
func Why(c *card.Card, o *advice.Candidate) string {
	f := &o.Facts
	if o.Kind == charleston.Vote || o.Kind == charleston.Name {
		return fmt.Sprintf("nearest is %s", Near(&f.Best))
	}
	var parts []string
	if f.After.Hand == f.Best.Hand && f.After.Away == f.Best.Away {
		parts = append(parts, fmt.Sprintf("keeps %s", Near(&f.Best)))
	} else {
		parts = append(parts, fmt.Sprintf("%s before, then %s", Near(&f.Best), Near(&f.After)))
	}
	parts = append(parts, fmt.Sprintf("keeps %d of %s", len(f.Kept), Plural(len(f.Kept)+len(f.Lost), "option")))
	if len(f.Lost) > 0 {
		parts = append(parts, "gives up "+handNames(c, f.Lost))
	}
	if f.Broken.Size() > 0 {
		parts = append(parts, "breaks "+f.Broken.String())
	}
	if gift := Gift(f.Gift); gift != "" {
		parts = append(parts, gift)
	}
	return strings.Join(parts, "; ")
}

// namesShown is how many hands are named before the rest is counted.
const namesShown = 3

// handNames is the first few names of hands, and how many more there are.
func handNames(c *card.Card, hands []int) string {
	var names []string
	for i, h := range hands {
		if i == namesShown {
			names = append(names, fmt.Sprintf("%d more", len(hands)-namesShown))
			break
		}
		names = append(names, c.Hands[h].Name)
	}
	return strings.Join(names, ", ")
}

// Gift says what a pass gives its receiver by its looks; "" for nothing of use.
func Gift(g advice.Gift) string {
	return [...]string{"", "", "hands over two tiles of one suit", "hands over neighbours", "hands over like numbers", "hands over a pair"}[g]
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
