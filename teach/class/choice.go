package class

import (
	"encoding/json"
	"fmt"
	"slices"

	"secondpass/exercise"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Choice is what a student would do, finished or not. It is comparable; the zero Choice is that of somebody who has
// not touched anything.
type Choice struct {
	// Own are the tiles chosen for a pass or the courtesy.
	Own charleston.Parcel
	// Count is the number of blind tiles of a pass, or the number offered at the courtesy.
	Count int
	// Stop is the vote after the first left.
	Stop bool
	// Said tells "go on" and an offer of 0 from no answer at all.
	Said bool
	// Plan is the hand that the student steers for; "" for none named.
	Plan string
	// Option is the number, from 1, of one of the question's options; 0 where it has none, or none is chosen.
	Option int
}

// Bare is the choice without its plan: votes are grouped by it.
func (c Choice) Bare() Choice {
	c.Plan = ""
	return c
}

// choiceText is a choice in storage and on the way.
type choiceText struct {
	Tiles  string `json:"tiles,omitempty"`
	Count  int    `json:"count,omitempty"`
	Stop   bool   `json:"stop,omitempty"`
	Said   bool   `json:"said,omitempty"`
	Plan   string `json:"plan,omitempty"`
	Option int    `json:"option,omitempty"`
}

// MarshalJSON writes the tiles as text.
func (c Choice) MarshalJSON() ([]byte, error) {
	return json.Marshal(choiceText{c.Own.String(), c.Count, c.Stop, c.Said, c.Plan, c.Option})
}

// UnmarshalJSON reads what MarshalJSON wrote; more than three tiles are an error.
func (c *Choice) UnmarshalJSON(data []byte) error {
	var t choiceText
	if err := json.Unmarshal(data, &t); err != nil {
		return err
	}
	kinds, err := tile.ParseList(t.Tiles)
	if err != nil {
		return err
	}
	own, err := charleston.ParcelOf(kinds...)
	if err != nil {
		return err
	}
	*c = Choice{own, t.Count, t.Stop, t.Said, t.Plan, t.Option}
	return nil
}

// Question is the decision that a round puts to the class.
type Question struct {
	Step  charleston.Step
	Phase charleston.Phase
	Rack  tile.Rack
	// Need is the number of tiles to choose at a pass, with those handed on blind, or at the courtesy.
	Need int
	// Blind says that tiles may be handed on unseen.
	Blind bool
	// Plans are the hands that may be named as a plan.
	Plans []string
	// Heading is what a drill asks, Options its answers where neither tiles nor a vote nor a number is asked for, as texts of
	// [drill.Choice]; of a question with options nothing but Option is an answer.
	Heading string
	Options []string
}

// Chooses says whether one of several options is asked for.
func (q *Question) Chooses() bool { return len(q.Options) > 0 }

// Ask is the question that the passing waits for.
func Ask(now *charleston.Solo, plans []string) (Question, error) {
	q := Question{Step: now.Step(), Phase: now.Phase(), Rack: now.Rack(), Plans: plans}
	switch q.Phase {
	case charleston.Passing:
		q.Need, q.Blind = charleston.PassTiles, now.View().Rules.Blind && q.Step.BlindAllowed()
	case charleston.Giving:
		q.Need = now.Exchange()
	case charleston.Over:
		return q, fmt.Errorf("the Charleston is over; nothing is left to ask")
	}
	return q, nil
}

// Check says why a choice cannot be on its way to an answer, or nil. Fewer tiles than are needed are fine; so are
// more with the blind ones, as when somebody changes the number of those first.
func (q *Question) Check(c Choice) error {
	if c.Plan != "" && !slices.Contains(q.Plans, c.Plan) {
		return fmt.Errorf("the plan %q is not among those asked for", c.Plan)
	}
	if q.Chooses() || c.Option != 0 {
		return q.checkOption(c)
	}
	tiles := q.Phase == charleston.Passing || q.Phase == charleston.Giving
	switch {
	case tiles && (c.Stop || c.Said):
		return fmt.Errorf("tiles are asked for at the %s, no vote and no number", q.Step)
	case !tiles && c.Own.Len() > 0:
		return fmt.Errorf("no tiles are asked for at the %s", q.Step)
	case c.Own.Rack()[tile.Joker] > 0:
		return fmt.Errorf("a joker is never passed")
	case tiles && !q.Rack.Contains(c.Own.Rack()):
		return fmt.Errorf("the rack does not hold %s", c.Own)
	case c.Count < 0 || c.Count > charleston.PassTiles:
		return fmt.Errorf("the number %d; 0 to 3 are right", c.Count)
	case c.Count > 0 && q.Phase != charleston.Naming && !q.Blind:
		return fmt.Errorf("no blind tiles at the %s", q.Step)
	case c.Stop && q.Phase != charleston.Voting:
		return fmt.Errorf("no vote at the %s", q.Step)
	}
	return nil
}

// checkOption is Check where one of several options is asked for.
func (q *Question) checkOption(c Choice) error {
	switch {
	case !q.Chooses():
		return fmt.Errorf("no option is asked for at the %s", q.Step)
	case c.Own.Len() > 0 || c.Count != 0 || c.Stop || c.Said:
		return fmt.Errorf("one of %d options is asked for, no tiles, vote or number", len(q.Options))
	case c.Option < 0 || c.Option > len(q.Options):
		return fmt.Errorf("option %d; 1 to %d are right", c.Option, len(q.Options))
	}
	return nil
}

// Complete says whether a choice is an answer. It takes one that Check lets pass.
func (q *Question) Complete(c Choice) bool {
	if q.Chooses() {
		return c.Option > 0
	}
	switch q.Phase {
	case charleston.Passing:
		return c.Own.Len()+c.Count == q.Need
	case charleston.Giving:
		return c.Own.Len() == q.Need
	}
	return c.Said
}

// Decision is the choice as a decision of a route.
func (q *Question) Decision(c Choice) exercise.Decision {
	return exercise.Decision{Step: q.Step, Phase: q.Phase, Own: c.Own, Count: c.Count, Stop: c.Stop}
}

// Action is the choice as an action of a seat.
func (q *Question) Action(c Choice, seat charleston.Seat) charleston.Action {
	kinds := map[charleston.Phase]charleston.ActionKind{charleston.Passing: charleston.Pass, charleston.Voting: charleston.Vote,
		charleston.Naming: charleston.Name, charleston.Giving: charleston.Give}
	return charleston.Action{Seat: seat, Kind: kinds[q.Phase], Own: c.Own, Count: c.Count, Stop: c.Stop}
}

// ChoiceOf is the choice that an action answers with.
func ChoiceOf(a charleston.Action) Choice {
	return Choice{Own: a.Own, Count: a.Count, Stop: a.Stop, Said: a.Kind == charleston.Vote || a.Kind == charleston.Name}
}

// questionText is a question in storage.
type questionText struct {
	Step    charleston.Step  `json:"step"`
	Phase   charleston.Phase `json:"phase"`
	Rack    string           `json:"rack"`
	Need    int              `json:"need,omitempty"`
	Blind   bool             `json:"blind,omitempty"`
	Plans   []string         `json:"plans,omitempty"`
	Heading string           `json:"heading,omitempty"`
	Options []string         `json:"options,omitempty"`
}

// MarshalJSON writes the rack as text.
func (q Question) MarshalJSON() ([]byte, error) {
	return json.Marshal(questionText{q.Step, q.Phase, q.Rack.String(), q.Need, q.Blind, q.Plans, q.Heading, q.Options})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (q *Question) UnmarshalJSON(data []byte) error {
	var t questionText
	if err := json.Unmarshal(data, &t); err != nil {
		return err
	}
	kinds, err := tile.ParseList(t.Rack)
	if err != nil {
		return err
	}
	if len(t.Options) > 0 {
		if len(kinds) == 0 || len(kinds) > charleston.East.DealtTiles() || t.Heading == "" {
			return fmt.Errorf("a question that no drill asks: %s", data)
		}
	} else if t.Step < charleston.FirstRight || t.Step > charleston.Courtesy || t.Phase < charleston.Passing || t.Phase > charleston.Giving ||
		len(kinds) < charleston.South.DealtTiles() || len(kinds) > charleston.East.DealtTiles() || t.Need < 0 || t.Need > charleston.PassTiles {
		return fmt.Errorf("a question that no passing asks: %s", data)
	}
	*q = Question{t.Step, t.Phase, tile.RackOf(kinds...), t.Need, t.Blind, t.Plans, t.Heading, t.Options}
	return nil
}
