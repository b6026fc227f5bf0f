package drill

import (
	"slices"

	"secondpass/advice"
	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Reason is what a choice does, in facts; package wording makes a sentence of it. It is what can be seen on the
// rack, and may be less than what the games know.
type Reason struct {
	Choice Choice
	// Facts is, for passes, what the own tiles keep and give up.
	Facts *advice.Facts
	// Spare is, in the passing, the tiles that the three nearest hands can do without before the choice.
	Spare tile.Rack
	// Plan is, for a section, how near it is.
	Plan *PlanFacts
	// Claim is, in play, what the choice leaves.
	Claim *ClaimFacts
}

// PlanFacts is how near a section is to a rack.
type PlanFacts struct {
	// Nearest is the nearest hand of the section, Options the number of its hands that are at most one further away,
	// Variants that of ways to make them.
	Nearest           fit.Reading
	Options, Variants int
}

// ClaimFacts is what is left after a claim, or when the discard is let go.
type ClaimFacts struct {
	// Before and After are the nearest hands, open groups counted.
	Before, After fit.Reading
	// Closed are the hands of the card that were options (at most one further away than the nearest) and that the open
	// groups do not allow any more.
	Closed []int
	// Jokers is the number of jokers laid open.
	Jokers int
}

// Reasons says what each choice of a drill does, in the order of the choices.
func (d *Drill) Reasons(c *card.Card) ([]Reason, error) {
	reasons := make([]Reason, len(d.Choices))
	for i, choice := range d.Choices {
		reasons[i].Choice = choice
	}
	if d.Position.InPlay() {
		return reasons, d.claimReasons(c, reasons)
	}
	v := &d.Position.View
	accountant, err := exercise.NewAccountant(c, nil)
	if err != nil {
		return nil, err
	}
	account := accountant.Account(v.Rack)
	actions := make([]charleston.Action, len(d.Choices))
	for i := range reasons {
		reasons[i].Spare = account.SparePlan
		actions[i] = d.Choices[i].Action
	}
	if d.Ask() == AskSection {
		return reasons, d.planReasons(c, reasons)
	}
	for i, f := range advice.FactsOf(c, *v, actions) {
		reasons[i].Facts = &f
	}
	return reasons, nil
}

func (d *Drill) planReasons(c *card.Card, reasons []Reason) error {
	for i := range reasons {
		hands, err := exercise.Hands(c, []string{d.Choices[i].Section})
		if err != nil {
			return err
		}
		x := prepared.Of(c).Aimed(hands)
		near, options := fit.NewRater(x).Nearest(&d.Position.View.Rack, 1, nil)
		variants := x.Variants(d.Position.View.Rack)
		count := 0
		for count < len(variants) && variants[count].Away <= variants[0].Away+1 {
			count++
		}
		reasons[i].Plan = &PlanFacts{near[0], options, count}
	}
	return nil
}

func (d *Drill) claimReasons(c *card.Card, reasons []Reason) error {
	state, err := d.Position.Table(prepared.Of(c).Game(house.Usual))
	if err != nil {
		return err
	}
	hands, err := exercise.Hands(c, nil)
	if err != nil {
		return err
	}
	seat := d.Position.Seat
	before := exercise.NearestInPlay(state.View(seat), hands, len(hands))
	for i := range reasons {
		a := d.Choices[i].Play
		facts := ClaimFacts{Before: before[0], After: before[0]}
		if a.Kind == table.Expose {
			after := state
			var claims [charleston.Seats]table.Claim
			claims[seat] = a.Claim()
			if err := after.Settle(claims); err != nil {
				return err
			}
			facts.read(before, exercise.NearestInPlay(after.View(seat), hands, len(hands)))
			facts.Jokers = int(a.Jokers)
		}
		reasons[i].Claim = &facts
	}
	return nil
}

// read compares the hands before and after a claim.
func (f *ClaimFacts) read(before, after []fit.Reading) {
	if len(after) > 0 {
		f.After = after[0]
	}
	for _, b := range before {
		open := slices.ContainsFunc(after, func(a fit.Reading) bool { return a.Hand == b.Hand })
		if b.Away <= before[0].Away+1 && !open {
			f.Closed = append(f.Closed, b.Hand)
		}
	}
}
