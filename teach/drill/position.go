package drill

import (
	"encoding/json"
	"fmt"
	"strings"

	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Position is the moment that a drill asks about: what one seat knows, in the passing or in play.
type Position struct {
	// Seat decides.
	Seat charleston.Seat
	// View is, in the passing, what the seat knows.
	View charleston.View
	// Record is, in play, the text of the game up to the decision, see table.Record; "" in the passing. It holds
	// tiles that the seat has not seen.
	Record string
}

// InPlay says whether the passing is over.
func (p *Position) InPlay() bool { return p.Record != "" }

// Step is the step of the passing that is due; 0 in play.
func (p *Position) Step() charleston.Step {
	if p.InPlay() {
		return 0
	}
	return p.View.Step
}

// StepKey is the step's name in machine-readable output; "play" in play.
func (p *Position) StepKey() string {
	if p.InPlay() {
		return "play"
	}
	return p.View.Step.Key()
}

// Table is the whole table of a position in play, hidden tiles included: for those who judge. What a student may be
// shown is its View of the seat.
func (p *Position) Table(g *table.Game) (table.State, error) {
	// The record may name another card: a drill is judged anew when the season's card changes.
	rec, err := table.ReadRecord(retitled(p.Record, g.Card().Name), func(h table.Head) (*table.Game, error) {
		return g.With(house.House{Passing: g.House().Passing, Play: h.Play}), nil
	})
	if err != nil {
		return table.State{}, fmt.Errorf("the game before the decision: %w", err)
	}
	state, err := rec.Replay()
	if err == nil && !state.Waits(p.Seat) {
		err = fmt.Errorf("%s has nothing to decide", p.Seat.Name())
	}
	return state, err
}

// Board is the position as the seat may see it.
func (p *Position) Board(c *card.Card) (*exercise.Board, error) {
	if !p.InPlay() {
		return exercise.BoardOf(c, &p.View), nil
	}
	state, err := p.Table(prepared.Of(c).Game(house.Usual))
	if err != nil {
		return nil, err
	}
	return exercise.BoardInPlay(state.View(p.Seat)), nil
}

// retitled is a record's text with another card in its head, and without the lines that follow of themselves: which
// hands die depends on the card.
func retitled(text, name string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		word, _, _ := strings.Cut(strings.TrimSpace(line), " ")
		switch {
		case word == "card":
			fmt.Fprintf(&b, "card     %s\n", name)
		case strings.Contains(line, " is dead: "):
		default:
			b.WriteString(line)
		}
	}
	return b.String()
}

// Rack is the concealed tiles of the seat.
func (p *Position) Rack(c *card.Card) (tile.Rack, error) {
	if !p.InPlay() {
		return p.View.Rack, nil
	}
	s, err := p.Table(prepared.Of(c).Game(house.Usual))
	if err != nil {
		return tile.Rack{}, err
	}
	return s.Rack(p.Seat), nil
}

// positionJSON is a position as a person can read it.
type positionJSON struct {
	Seat    string         `json:"seat"`
	House   *house.Passing `json:"house,omitempty"`
	Step    string         `json:"step,omitempty"`
	Phase   string         `json:"phase,omitempty"`
	Rack    string         `json:"rack,omitempty"`
	History []passedJSON   `json:"history,omitempty"`
	Record  []string       `json:"record,omitempty"`
}

// passedJSON is a step that is over.
type passedJSON struct {
	Step  string `json:"step"`
	Gave  string `json:"gave,omitempty"`
	Came  string `json:"came,omitempty"`
	Blind int    `json:"blind,omitempty"`
}

// phases are the phases that drills know.
var phases = map[charleston.Phase]string{charleston.Passing: "pass", charleston.Voting: "vote", charleston.Naming: "offer"}

// JSONForm is a value of the type that MarshalJSON writes.
func (Position) JSONForm() any { return positionJSON{} }

// MarshalJSON writes the position.
func (p Position) MarshalJSON() ([]byte, error) {
	j := positionJSON{Seat: p.Seat.String()}
	if p.InPlay() {
		j.Record = strings.Split(strings.TrimRight(p.Record, "\n"), "\n")
		return json.Marshal(j)
	}
	v := &p.View
	j.House, j.Step, j.Phase, j.Rack = &v.Rules, v.Step.Key(), phases[v.Phase], v.Rack.String()
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		if v.Gave[step].Len() > 0 || v.Blind[step] > 0 {
			j.History = append(j.History, passedJSON{step.Key(), v.Gave[step].String(), v.Came[step].String(), v.Blind[step]})
		}
	}
	return json.Marshal(j)
}

// largest is the set in which every text of tiles is read: that of the card is checked when the drill is judged.
var largest = func() tile.Set {
	set, err := tile.NewSet(tile.MaxFlowers, tile.MaxJokers)
	if err != nil {
		panic(err) // the limits of a set, see package tile
	}
	return set
}()

// UnmarshalJSON reads a position and checks what can be checked without a card.
func (p *Position) UnmarshalJSON(data []byte) error {
	var j positionJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return err
	}
	seat, err := charleston.ParseSeat(j.Seat)
	if err != nil {
		return err
	}
	*p = Position{Seat: seat}
	if len(j.Record) > 0 {
		p.Record = strings.Join(j.Record, "\n") + "\n"
		return nil
	}
	v := charleston.View{Seat: seat}
	if j.House == nil {
		return fmt.Errorf("a position of the passing without house rules")
	}
	v.Rules = *j.House
	if v.Step, err = charleston.ParseStep(j.Step); err != nil {
		return err
	}
	for phase, name := range phases {
		if name == j.Phase {
			v.Phase = phase
		}
	}
	if v.Phase == 0 {
		return fmt.Errorf("phase %q: pass, vote or offer are right", j.Phase)
	}
	if v.Rack, err = tile.Parse(j.Rack, largest); err != nil {
		return fmt.Errorf("rack: %w", err)
	}
	for _, h := range j.History {
		if err := h.read(&v); err != nil {
			return fmt.Errorf("history: %w", err)
		}
	}
	p.View = v
	return nil
}

func (h *passedJSON) read(v *charleston.View) error {
	step, err := charleston.ParseStep(h.Step)
	if err != nil {
		return err
	}
	if h.Blind < 0 || h.Blind > charleston.PassTiles {
		return fmt.Errorf("%d blind tiles", h.Blind)
	}
	v.Blind[step] = h.Blind
	if v.Gave[step], err = exercise.ParseParcel(h.Gave, largest); err != nil {
		return err
	}
	v.Came[step], err = exercise.ParseParcel(h.Came, largest)
	return err
}
