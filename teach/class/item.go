package class

import (
	"fmt"

	"secondpass/rules/charleston"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// OfLesson stands in the place of a route in the rounds of a class that works on a lesson; At is then the item, from 0.
const OfLesson = "lesson"

// AskItem is the question of an item of a lesson: of an exercise the decision that is due, of a drill what it asks, where any legal
// pass, vote and number is an answer. heading is what another drill asks, options its choices, both in words.
func AskItem(item *lesson.Item, heading string, options, plans []string) (Question, error) {
	if item.Exercise != nil {
		t, err := item.Trail()
		if err != nil {
			return Question{}, err
		}
		if t.Now.Phase() == charleston.Over {
			return Question{}, fmt.Errorf("route %s is in its play there; a class works on the passing", item.Route)
		}
		return Ask(&t.Now, plans)
	}
	d := item.Drill
	if d.Position.InPlay() {
		rack, err := d.Position.Rack(item.Card)
		return Question{Rack: rack, Heading: heading, Options: options}, err
	}
	v := &d.Position.View
	q := Question{Step: v.Step, Phase: v.Phase, Rack: v.Rack, Plans: plans}
	switch d.Ask() {
	case drill.AskPass:
		q.Need, q.Blind = charleston.PassTiles, v.Rules.Blind && v.Step.BlindAllowed()
	case drill.AskStop, drill.AskOffer:
	default:
		q.Heading, q.Options = heading, options
	}
	return q, nil
}

// DrillChoice is the choice as one of a drill's, whether or not the drill offers it.
func (q *Question) DrillChoice(d *drill.Drill, c Choice) drill.Choice {
	if c.Option > 0 && c.Option <= len(d.Choices) {
		return d.Choices[c.Option-1]
	}
	return drill.Choice{Action: q.Action(c, d.Position.Seat)}
}

// ChoiceOfDrill is choice number i, from 0, of a drill as a choice of its question.
func (q *Question) ChoiceOfDrill(d *drill.Drill, i int) Choice {
	if q.Chooses() {
		return Choice{Option: i + 1}
	}
	return ChoiceOf(d.Choices[i].Action)
}
