package wording

import (
	"fmt"
	"strings"

	"secondpass/advice"
	"secondpass/engine/fit"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
)

// Phrase is sentences in which hands and tiles stand, for those who draw them.
type Phrase []Part

// Part is a piece of text, a hand as a rack stands with it, or tiles; only one of them is set.
type Part struct {
	Text  string
	Hand  *fit.Reading
	Tiles tile.Rack
}

// String is the phrase with hands and tiles as text: "Leaves Runs 3 (111b 222b 3333b 4444b), 6 away.".
func (p Phrase) String() string {
	var b strings.Builder
	drawn := map[int]bool{} // a hand is drawn where it is named first
	for i := range p {
		switch part := &p[i]; {
		case part.Hand != nil && drawn[part.Hand.Hand]:
			b.WriteString(part.Hand.OnCard().Name)
		case part.Hand != nil:
			drawn[part.Hand.Hand] = true
			fmt.Fprintf(&b, "%s (%s)", part.Hand.OnCard().Name, Groups(part.Hand.Groups()))
		case part.Tiles.Size() > 0:
			b.WriteString(part.Tiles.String())
		default:
			b.WriteString(part.Text)
		}
	}
	return b.String()
}

// phrase puts texts, readings of hands and racks together.
func phrase(parts ...any) Phrase {
	var p Phrase
	for _, part := range parts {
		switch part := part.(type) {
		case string:
			p = append(p, Part{Text: part})
		case *fit.Reading:
			p = append(p, Part{Hand: part})
		case tile.Rack:
			p = append(p, Part{Tiles: part})
		}
	}
	return p
}

// Text is the phrase with hands by their names alone, for where they are drawn beside it.
func (p Phrase) Text() string {
	var b strings.Builder
	for i := range p {
		switch part := &p[i]; {
		case part.Hand != nil:
			b.WriteString(part.Hand.OnCard().Name)
		case part.Tiles.Size() > 0:
			b.WriteString(part.Tiles.String())
		default:
			b.WriteString(part.Text)
		}
	}
	return b.String()
}

// Why is what sets a candidate apart from the best one, or a good one from the rest; empty where nothing stands against it.
func Why(a *advice.Advice, i int) Phrase {
	points, other := a.Contrast(i)
	if other == nil {
		return nil
	}
	return Reason(points, Candidate(other))
}

// DrillReason is what sets a choice apart from the right ones, or from the wrong ones, in two sentences at most, or what the teacher
// says of it, which is called so.
func DrillReason(r *drill.Reason) Phrase {
	if r.Words != "" {
		return phrase("The teacher says: " + r.Words)
	}
	return Reason(r.Points, DrillChoice(r.Against))
}

// Reason is what sets a decision apart from another one, named in a few words, in two sentences at most: the most telling
// points of a contrast.
func Reason(points []advice.Point, other string) Phrase {
	if len(points) == 0 {
		return phrase("What is on the rack does not tell it from " + other + ".")
	}
	var all Phrase
	said := advice.Said(points)
	for i := range said {
		if i > 0 {
			all = append(all, Part{Text: " "})
			if said[i].Weight*said[0].Weight < 0 {
				all = append(all, Part{Text: "But: "})
			}
		}
		all = append(all, sentence(&said[i], other)...)
	}
	return all
}

// Shown is the hand that a reason draws: the one that its first sentence about a hand is about; nil for none.
func (p Phrase) Shown() *fit.Reading {
	for i := range p {
		if p[i].Hand != nil {
			return p[i].Hand
		}
	}
	return nil
}

// sentence words one point.
func sentence(p *advice.Point, other string) Phrase {
	speaksFor := p.Weight > 0
	switch p.Kind {
	case advice.PointWays:
		back := fmt.Sprintf("%d of the %d near ways", p.Here, p.Of)
		switch {
		case p.Here == 0 && p.Of == 1:
			back = "not the one near way"
		case p.Here == 0:
			back = fmt.Sprintf("none of the %d near ways", p.Of)
		case p.Here < p.There:
			back = "only " + back
		}
		there := fmt.Sprint(p.There)
		if p.There == 0 {
			there = "none"
		}
		return phrase(fmt.Sprintf("Sets back %s; %s sets back %s.", back, other, there))
	case advice.PointHand:
		return phrase("Leaves ", p.Hand, fmt.Sprintf(", %d away; %s leaves it %d away.", p.Here, other, p.There))
	case advice.PointSwitch:
		return phrase("Turns from ", p.Hand, fmt.Sprintf(", then %d away, to ", p.There), p.To, fmt.Sprintf(", %d away.", p.Here))
	case advice.PointGivesUp:
		if !speaksFor {
			return phrase("Gives up ", p.Hand, "; "+other+" does not.")
		}
		return phrase(Capital(other)+" gives up ", p.Hand, ".")
	case advice.PointBreaks:
		if !speaksFor {
			return phrase("Breaks ", p.Tiles, " of ", p.Hand, ".")
		}
		return phrase("Keeps ", p.Tiles, " of ", p.Hand, " together.")
	case advice.PointGift:
		if !speaksFor {
			return phrase("Hands over " + giftWords[p.Here] + ".")
		}
		return phrase(Capital(other) + " hands over " + giftWords[p.There] + ".")
	case advice.PointBlind:
		return blindSentence(p)
	case advice.PointMissing, advice.PointSpare:
		return moreSentence(p)
	case advice.PointPairs:
		lacks, there := Plural(p.Here, "tile"), fmt.Sprint(p.There)
		if p.Here == 0 {
			lacks = "no tile"
		}
		if p.There == 0 {
			there = "none"
		}
		return phrase(p.Hand, fmt.Sprintf(" lacks %s in singles and pairs, where no joker helps; %s: %s.", lacks, other, there))
	case advice.PointConcealed:
		if p.Here == 1 {
			return phrase(p.Hand, " is concealed: only its last tile may be claimed.")
		}
		return phrase(p.Hand, " may be laid open, so that discards can be claimed for it.")
	case advice.PointChoice:
		return phrase(fmt.Sprintf("%s within one tile of the nearest; %s: %d.", Plural(p.Here, "way")+are(p.Here), other, p.There))
	case advice.PointAlive:
		return phrase(fmt.Sprintf("%s of what ", Plural(p.Here, "unseen tile")+are(p.Here)), p.Hand, fmt.Sprintf(" lacks; %s: %d.", other, p.There))
	case advice.PointNearer:
		return phrase("Leaves ", p.Hand, fmt.Sprintf(", %d away; %s: %s, %d away.", p.Here, other, p.To.OnCard().Name, p.There))
	case advice.PointShows:
		if p.Here > p.There {
			return phrase("Lays " + Plural(p.Here, "joker") + " open, for anybody to exchange.")
		}
		return phrase("Keeps " + Plural(p.There, "joker") + " out of the others' reach.")
	}
	if p.Kind == advice.PointAsked {
		if speaksFor {
			return phrase(fmt.Sprintf("%s's open groups ask for ", p.Seat.Name()), p.Tiles, " rather.")
		}
		return phrase(fmt.Sprintf("%s's open groups ask for ", p.Seat.Name()), p.Tiles, ".")
	}
	if p.Kind == advice.PointExchange {
		if speaksFor {
			return phrase("Keeps ", p.Tiles, ", for which a joker lies open.")
		}
		return phrase("Throws ", p.Tiles, " away, for which a joker lies open.")
	}
	if p.Kind == advice.PointWins {
		if speaksFor {
			return phrase("Wins now.")
		}
		return phrase(Capital(other) + " wins now.")
	}
	if speaksFor {
		return phrase(Capital(other) + " leaves no hand of the card.")
	}
	return phrase("Leaves no hand of the card: the hand is dead.")
}

func are(n int) string {
	if n == 1 {
		return " is"
	}
	return " are"
}

var giftWords = [...]string{advice.GiftNothing: "nothing of use", advice.GiftScattered: "nothing of use", advice.GiftOneSuit: "nothing of use",
	advice.GiftNeighbours: "neighbours", advice.GiftLike: "like numbers", advice.GiftPair: "a pair"}

// blindSentence words the bargain of tiles handed on unseen.
func blindSentence(p *advice.Point) Phrase {
	blind, saved := max(p.Here, -p.Here), p.There
	if p.Here < 0 {
		saved = -saved
	}
	tiles := "one incoming tile"
	if blind > 1 {
		tiles = Numeral(blind) + " incoming tiles"
	}
	ways, only := fmt.Sprintf("%d of the %d near ways", saved, p.Of), "only "
	if saved <= 0 {
		ways, only = "no near way", ""
	}
	switch {
	case p.Here > 0 && p.Weight > 0:
		return phrase("Hands " + tiles + " more on unseen, but keeps " + ways + " that would be set back.")
	case p.Here > 0:
		return phrase("Hands " + tiles + " more on unseen, to keep " + only + ways + ".")
	case p.Weight > 0:
		return phrase("Looks at " + tiles + " more, at the price of " + only + ways + ".")
	}
	return phrase("Sets back " + ways + " to look at " + tiles + " more.")
}

// moreSentence words why more tiles should change hands, or no more.
func moreSentence(p *advice.Point) Phrase {
	more, good := p.There > p.Of, p.Weight > 0
	if p.Kind == advice.PointMissing {
		switch {
		case more && good:
			return phrase(p.Hand, fmt.Sprintf(" still lacks %s: more passing can bring them.", Plural(p.Here, "tile")))
		case good:
			return phrase("Keeps ", p.Hand, fmt.Sprintf(", which lacks only %s.", Plural(p.Here, "tile")))
		case more:
			return phrase("Puts ", p.Hand, fmt.Sprintf(" at risk, which lacks only %s.", Plural(p.Here, "tile")))
		}
		return phrase("Stays with ", p.Hand, fmt.Sprintf(", which still lacks %s.", Plural(p.Here, "tile")))
	}
	spare := Plural(p.Here, "tile") + are(p.Here) + " spare"
	if p.Here == 0 {
		spare = "no tile is spare"
	}
	switch {
	case more && good:
		return phrase(Capital(spare)+" for ", p.Hand, ": passing them costs it nothing.")
	case good:
		return phrase("Breaks nothing, where only "+spare+" for ", p.Hand, ".")
	case more:
		return phrase("Breaks into ", p.Hand, ", for which only "+spare+".")
	}
	return phrase("Keeps tiles that ", p.Hand, " has no use for: "+spare+".")
}
