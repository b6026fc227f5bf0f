// Package rules is the commands by which scripts and referees work out passes and payments, an answer for each line.
// face/cli alone calls it.
package rules

import (
	"fmt"

	"secondpass/engine/sim"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Rules is the command rules.
type Rules struct {
	Pass rulesPassCmd `cmd:"" help:"The racks after a pass: reads one JSON object a line, answers one a line."`
	Pay  rulesPayCmd  `cmd:"" help:"Who pays what: reads one JSON object a line, answers one a line."`
}

type rulesPassCmd struct{ command.PassFlags }

type passQuestion struct {
	Step  string            `json:"step"`
	Racks map[string]string `json:"racks"`
	Own   map[string]string `json:"own"`
	Blind map[string]int    `json:"blind"`
	Named map[string]int    `json:"named"`
}

func (c *rulesPassCmd) Run(g *command.Globals) error {
	rules, set, err := c.House()
	if err != nil {
		return err
	}
	return command.AnswerLines(g, func(line uint64, text []byte) (any, error) {
		var q passQuestion
		if err := command.DecodeLine(text, &q); err != nil {
			return nil, err
		}
		racks, err := q.resolve(rules.Passing, set, sim.Stream(g.Seed, line, "pass"))
		return passed{racks}, err
	})
}

// passed is the racks after a pass, paid who pays what, by seat.
type (
	passed struct {
		Racks map[string]string `json:"racks"`
	}
	paid struct {
		Net map[string]int `json:"net"`
	}
)

func (*rulesPassCmd) Answers() command.Answers {
	return command.EachLine(passed{}, command.Refusal{})
}
func (*rulesPayCmd) Answers() command.Answers { return command.EachLine(paid{}, command.Refusal{}) }

// bySeat fetches what a map has for every seat; needed says that none may lack.
func bySeat[V any](m map[string]V, what string, needed bool) (values [charleston.Seats]V, err error) {
	for key := range m {
		if seat, err := charleston.ParseSeat(key); err != nil || seat.String() != key {
			return values, fmt.Errorf("%s: %q is no seat; E, S, W and N are", what, key)
		}
	}
	for seat := range charleston.Seat(charleston.Seats) {
		v, ok := m[seat.String()]
		if !ok && needed {
			return values, fmt.Errorf("%s: nothing for %s", what, seat)
		}
		values[seat] = v
	}
	return values, nil
}

func (q *passQuestion) resolve(rules house.Passing, set tile.Set, lots charleston.Lots) (map[string]string, error) {
	step, err := charleston.ParseStep(q.Step)
	if err != nil {
		return nil, err
	}
	texts, err := bySeat(q.Racks, "racks", true)
	if err != nil {
		return nil, err
	}
	var racks [charleston.Seats]tile.Rack
	for seat, text := range texts {
		if racks[seat], err = tile.Parse(text, set); err != nil {
			return nil, fmt.Errorf("rack of %s: %w", charleston.Seat(seat), err)
		}
	}
	state, err := charleston.At(step, racks, rules, set)
	if err != nil {
		return nil, err
	}
	actions, err := q.actions(step, set)
	if err != nil {
		return nil, err
	}
	for _, a := range actions {
		if err := state.Apply(a, lots); err != nil {
			return nil, err
		}
	}
	after := map[string]string{}
	for seat := range charleston.Seat(charleston.Seats) {
		after[seat.String()] = state.Rack(seat).String()
	}
	return after, nil
}

// actions are those of all seats: the passes, or at the courtesy the numbers and then the tiles.
func (q *passQuestion) actions(step charleston.Step, set tile.Set) ([]charleston.Action, error) {
	own, err := bySeat(q.Own, "own", false)
	if err != nil {
		return nil, err
	}
	blind, err := bySeat(q.Blind, "blind", false)
	if err != nil {
		return nil, err
	}
	named, err := bySeat(q.Named, "named", step == charleston.Courtesy)
	if err != nil {
		return nil, err
	}
	if step != charleston.Courtesy && len(q.Named) > 0 {
		return nil, fmt.Errorf("named: numbers are named at the courtesy only")
	}
	if step == charleston.Courtesy && len(q.Blind) > 0 {
		return nil, fmt.Errorf("blind: no blind pass at the courtesy")
	}
	var actions, giving []charleston.Action
	for seat := range charleston.Seat(charleston.Seats) {
		parcel, err := exercise.ParseParcel(own[seat], set)
		if err != nil {
			return nil, fmt.Errorf("own of %s: %w", seat, err)
		}
		if step != charleston.Courtesy {
			actions = append(actions, charleston.Action{Seat: seat, Kind: charleston.Pass, Own: parcel, Count: blind[seat]})
			continue
		}
		actions = append(actions, charleston.Action{Seat: seat, Kind: charleston.Name, Count: named[seat]})
		exchanged := min(named[seat], named[charleston.Across.To(seat)])
		if exchanged > 0 {
			giving = append(giving, charleston.Action{Seat: seat, Kind: charleston.Give, Own: parcel})
		} else if parcel.Len() > 0 {
			return nil, fmt.Errorf("%s: nothing is exchanged, but own has %s", seat.Name(), parcel)
		}
	}
	return append(actions, giving...), nil
}

type rulesPayCmd struct{}

// Help says what the points are not.
func (rulesPayCmd) Help() string { return wording.PointsCaution }

type payQuestion struct {
	Points int    `json:"points"`
	Winner string `json:"winner"`
	// What is missing would stand for something, so it must be there.
	Discarder        *string `json:"discarder"`
	JokerInHand      *bool   `json:"joker_in_hand"`
	HandCanHoldJoker *bool   `json:"hand_can_hold_joker"`
}

func (c *rulesPayCmd) Run(g *command.Globals) error {
	return command.AnswerLines(g, func(_ uint64, text []byte) (any, error) {
		var q payQuestion
		if err := command.DecodeLine(text, &q); err != nil {
			return nil, err
		}
		net, err := q.settle()
		return paid{net}, err
	})
}

// maxBase bounds the points of a question, so that eight times as many are no overflow.
const maxBase = 1_000_000

func (q *payQuestion) settle() (map[string]int, error) {
	if q.Points < 1 || q.Points > maxBase {
		return nil, fmt.Errorf("points: %d; a whole number from 1 to %d is right", q.Points, maxBase)
	}
	winner, err := charleston.ParseSeat(q.Winner)
	if err != nil {
		return nil, fmt.Errorf("winner: %w", err)
	}
	if q.Discarder == nil {
		return nil, fmt.Errorf(`discarder: missing; a seat is right, or "" for a self-drawn tile`)
	}
	discarder := winner // self-drawn
	if *q.Discarder != "" {
		if discarder, err = charleston.ParseSeat(*q.Discarder); err != nil {
			return nil, fmt.Errorf("discarder: %w", err)
		}
		if discarder == winner {
			return nil, fmt.Errorf("discarder: %s cannot discard to itself; leave it empty for a self-drawn tile", winner)
		}
	}
	if q.JokerInHand == nil || q.HandCanHoldJoker == nil {
		return nil, fmt.Errorf("joker_in_hand and hand_can_hold_joker: one is missing; true or false is right for both")
	}
	net := map[string]int{}
	for seat, points := range table.Pay(q.Points, winner, discarder, *q.JokerInHand, *q.HandCanHoldJoker) {
		net[charleston.Seat(seat).String()] = points
	}
	return net, nil
}
