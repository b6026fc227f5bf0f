package drill

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// Drill is one decision with its answers.
type Drill struct {
	// ID is the drill's number in the store, 0 outside of it.
	ID       int64
	Kind     Kind
	Position Position
	Choices  []Choice
	Origin   Origin
	// Words are the teacher's own in place of the program's.
	Words Words
	Key   Key
	// NearestErrs says whether the greedy player nearest chooses a wrong answer.
	NearestErrs bool
	// Rating is how difficult it is, on the scale of the students' ratings: estimated first, then by their results.
	Rating Rating
}

// Origin is where a drill was found: in deal number Deal of the search with a seed.
type Origin struct {
	Seed uint64 `json:"seed"`
	Deal uint64 `json:"deal"`
}

// Key is what playing on made of the choices.
type Key struct {
	// Version is that of the method, see KeyVersion.
	Version int `json:"version"`
	// Card and Fingerprint are the card's name and hands, Players who sits at the other seats.
	Card        string `json:"card"`
	Fingerprint string `json:"fingerprint"`
	Players     string `json:"players"`
	// Seed drew the games, Games is the number of games for each choice.
	Seed  uint64 `json:"seed"`
	Games int    `json:"games"`
	// Whole is the number of whole games of two choices that have set the level of the chances, where Games are short ones; 0
	// in keys of version 1, whose chances are estimates.
	Whole int `json:"whole,omitempty"`
	// Answers are in the order of the choices.
	Answers []Answer `json:"answers"`
}

// KeyVersion is the method by which keys are made; it changes when the same seed would give another key.
const KeyVersion = 4

// Answer is what the key says of one choice. All are chances to win, 0 to 1.
type Answer struct {
	// Right: it costs Margin or less by these games. A drill is found only where every cost is Errors standard errors
	// away from Margin; a key made again by a fixed number of games may be less sure.
	Right  bool                       `json:"right"`
	Chance stat.Interval[unit.Chance] `json:"chance"`
	// Cost is the best choice's chance less this one's, on the same games: what the answer throws away. Its interval
	// stays valid although the games stop when they have told enough.
	Cost stat.Interval[unit.ChanceDifference] `json:"cost"`
}

// Ask is what the drill asks for.
func (d *Drill) Ask() Ask {
	if d.Kind != Own {
		return d.Kind.Ask()
	}
	return d.Position.asks(d.texts())
}

// Mark tells what the drill asks from all that others ask, on its card: for answers that come back from elsewhere.
func (d *Drill) Mark() string {
	text, err := json.Marshal(struct {
		Card     string   `json:"card"`
		Kind     Kind     `json:"kind"`
		Position Position `json:"position"`
		Choices  []string `json:"choices"`
	}{d.Key.Fingerprint, d.Kind, d.Position, d.texts()})
	if err != nil {
		panic(err) // a position always has its text
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// texts are the choices as [ParseChoice] reads them.
func (d *Drill) texts() []string {
	texts := make([]string, len(d.Choices))
	for i, c := range d.Choices {
		texts[i] = c.String()
	}
	return texts
}

// WholeGames is the number of whole games by which the chances of a key to a question are; 0 where they are
// estimates by short games.
func (k *Key) WholeGames(asked Ask) int {
	if asked.Whole() {
		return k.Games
	}
	return k.Whole
}

// Right lists the places of the right answers among the choices.
func (k *Key) Right() []int {
	var right []int
	for i, a := range k.Answers {
		if a.Right {
			right = append(right, i)
		}
	}
	return right
}

// Best is the place of the best answer.
func (k *Key) Best() int {
	best := 0
	for i, a := range k.Answers {
		if a.Cost.Value < k.Answers[best].Cost.Value {
			best = i
		}
	}
	return best
}

// cheapest is the place of the wrong answer that costs least; ok is false where there is none.
func (k *Key) cheapest() (place int, ok bool) {
	for i, a := range k.Answers {
		if !a.Right && (!ok || a.Cost.Value < k.Answers[place].Cost.Value) {
			place, ok = i, true
		}
	}
	return place, ok
}

// Edge is what the cheapest wrong answer costs; the zero interval where there is none.
func (k *Key) Edge() stat.Interval[unit.ChanceDifference] {
	if wrong, ok := k.cheapest(); ok {
		return k.Answers[wrong].Cost
	}
	return stat.Interval[unit.ChanceDifference]{}
}

// Same says whether another key calls the same answers right.
func (k *Key) Same(other *Key) bool { return slices.Equal(k.Right(), other.Right()) }

// Choose finds a choice by its text or its number, counted from 1.
func (d *Drill) Choose(text string) (int, error) {
	text = strings.TrimSpace(text)
	var list []string
	for i, c := range d.Choices {
		if strings.EqualFold(text, c.String()) || text == fmt.Sprint(i+1) || strings.EqualFold("section "+text, c.String()) {
			return i, nil
		}
		list = append(list, c.String())
	}
	return 0, fmt.Errorf("%q is not among the choices: %s", text, strings.Join(list, "; "))
}

type drillJSON struct {
	Kind        Kind     `json:"kind"`
	Position    Position `json:"position"`
	Choices     []string `json:"choices"`
	Origin      Origin   `json:"origin"`
	Words       *Words   `json:"words,omitempty"`
	Key         Key      `json:"key"`
	NearestErrs bool     `json:"nearest_errs"`
	Rating      Rating   `json:"rating"`
}

// JSONForm is a value of the type that MarshalJSON writes.
func (Drill) JSONForm() any { return drillJSON{} }

// MarshalJSON writes the drill; its number in the store is left out.
func (d Drill) MarshalJSON() ([]byte, error) {
	j := drillJSON{Kind: d.Kind, Position: d.Position, Origin: d.Origin, Key: d.Key, NearestErrs: d.NearestErrs, Rating: d.Rating}
	if !d.Words.Empty() {
		j.Words = &d.Words
	}
	for _, c := range d.Choices {
		j.Choices = append(j.Choices, c.String())
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads a drill and checks that its parts fit each other.
func (d *Drill) UnmarshalJSON(data []byte) error {
	var j drillJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return err
	}
	if _, err := ParseKind(string(j.Kind)); err != nil {
		return err
	}
	*d = Drill{Kind: j.Kind, Position: j.Position, Origin: j.Origin, Key: j.Key, NearestErrs: j.NearestErrs, Rating: j.Rating}
	ask := j.Kind.Ask()
	if j.Kind == Own {
		ask = d.Position.asks(j.Choices)
	}
	if j.Words != nil {
		d.Words = *j.Words
	}
	for _, text := range j.Choices {
		c, err := ParseChoice(ask, d.Position.Seat, text)
		if err != nil {
			return fmt.Errorf("choice: %w", err)
		}
		d.Choices = append(d.Choices, c)
	}
	if len(d.Choices) < 2 || len(d.Key.Answers) != len(d.Choices) {
		return fmt.Errorf("%d choices and %d answers; two at least and as many answers are right", len(d.Choices), len(d.Key.Answers))
	}
	if ask.InPlay() != d.Position.InPlay() {
		return fmt.Errorf("a drill of the kind %s is in the wrong part of the game", d.Kind)
	}
	if err := d.Words.check(len(d.Choices)); err != nil {
		return err
	}
	return d.Rating.Check()
}
