package drill

import (
	"secondpass/advice"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

// Reason is what sets a choice apart, in facts; package wording makes sentences of it. It is what can be seen, and may be
// less than what the games know.
type Reason struct {
	Choice Choice
	Facts  advice.Facts
	// Against is the choice that it is compared with: a wrong one with the best right one, a right one with the cheapest
	// wrong one.
	Against Choice
	// Points are all respects in which the two differ, the most telling first.
	Points []advice.Point
	// Words are the teacher's in place of those of the points; "" for none.
	Words string
}

// Reasons says what sets each choice of a drill apart, in the order of the choices.
func (d *Drill) Reasons(c *card.Card) ([]Reason, error) {
	facts, err := d.facts(c)
	if err != nil {
		return nil, err
	}
	reasons := make([]Reason, len(d.Choices))
	for i, choice := range d.Choices {
		against := d.Key.Best()
		if d.Key.Answers[i].Right {
			against = d.Key.cheapestWrong()
		}
		reasons[i] = Reason{Choice: choice, Facts: facts[i], Words: d.Words.Reason(i)}
		if against >= 0 {
			reasons[i].Against, reasons[i].Points = d.Choices[against], advice.Contrast(&facts[i], &facts[against])
		}
	}
	return reasons, nil
}

// cheapestWrong is the place of the wrong answer that costs least, -1 where all are right.
func (k *Key) cheapestWrong() int {
	cheapest := -1
	for i, a := range k.Answers {
		if !a.Right && (cheapest < 0 || a.Cost.Value < k.Answers[cheapest].Cost.Value) {
			cheapest = i
		}
	}
	return cheapest
}

// Told says whether what can be seen tells the drill's right answers from its wrong ones. One that is not told is kept and
// marked, and not offered to anybody to try. Of a teacher's own drill the key must teach something besides.
func (d *Drill) Told(c *card.Card) (bool, error) {
	if d.Kind == Own && d.Key.Check() != nil {
		return false, nil
	}
	reasons, err := d.Reasons(c)
	return err == nil && d.Key.Separates(reasons), err
}

// telling is what the points said must weigh together for a reader to see which side they speak for.
const telling = 0.05

// Separates says whether reasons tell right answers from wrong ones: of each answer the most telling point, those that are
// said together, and all of them must speak for it if it is right, and against it if it is wrong. What a teacher has said is not
// looked into.
func (k *Key) Separates(reasons []Reason) bool {
	for i := range reasons {
		if reasons[i].Words != "" {
			continue
		}
		points := reasons[i].Points
		if len(points) == 0 {
			return false
		}
		sign := -1.
		if k.Answers[i].Right {
			sign = 1
		}
		if sign*points[0].Weight <= 0 || sign*advice.Balance(advice.Said(points)) < telling || sign*advice.Balance(points) < telling {
			return false
		}
	}
	return true
}

// facts are what each choice leaves.
func (d *Drill) facts(c *card.Card) ([]advice.Facts, error) {
	switch d.Ask() {
	case AskSection:
		names := make([]string, len(d.Choices))
		for i := range names {
			names[i] = d.Choices[i].Section
		}
		return advice.FactsOfSections(c, d.Position.View, names)
	case AskClaim, AskTurn:
		state, err := d.Position.Table(prepared.Of(c).Game(house.Usual))
		if err != nil {
			return nil, err
		}
		actions := make([]table.Action, len(d.Choices))
		for i := range actions {
			actions[i] = d.Choices[i].Play
		}
		return advice.FactsOfPlay(state, d.Position.Seat, actions)
	}
	actions := make([]charleston.Action, len(d.Choices))
	for i := range actions {
		actions[i] = d.Choices[i].Action
	}
	return advice.FactsOf(c, d.Position.View, actions), nil
}
