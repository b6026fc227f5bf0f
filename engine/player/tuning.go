package player

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"math"

	"secondpass/rules/card"
)

// Tuning is what self-play has fitted for one card.
type Tuning struct {
	// Card is the name of the card, Fingerprint that of its hands.
	Card        string `json:"card"`
	Fingerprint string `json:"fingerprint"`
	Params      Params `json:"params"`
	// Calibration turns the strong player's value of a rack after the passes into a chance to win.
	Calibration Calibration `json:"calibration"`
}

// Version counts the strong player's changes: games of another version are other games.
const Version = 2

// Calibration is the chance to win, 0..1, by the value of a rack after the passes: 1/(1+exp(-(A + B ln value))),
// for a seat among four strong players.
type Calibration struct {
	A float64 `json:"a"`
	B float64 `json:"b"`
}

// Chance is the chance to win, 0..1, with a rack of a value, at least 0.
func (c Calibration) Chance(value float64) float64 {
	return settled(1 / (1 + math.Exp(-(c.A + float64(c.B*math.Log(max(value, LeastWorth)))))))
}

// LeastWorth stands for the value of a rack that no hand is within reach of, whose logarithm is none.
const LeastWorth = 1e-9

// Fingerprint tells cards apart by their hands: the tiles of all variants, points, and whether they are
// concealed and take jokers. Names, notes and comments do not count.
func Fingerprint(c *card.Card) string {
	h := fnv.New64a()
	for i := range c.Variants {
		v := &c.Variants[i]
		hand := &c.Hands[v.Hand]
		h.Write(v.Small[:]) // a hash never fails to write
		h.Write(v.Large[:])
		fmt.Fprint(h, hand.Points, hand.Concealed, hand.Jokers)
	}
	return fmt.Sprintf("%016x", h.Sum64())
}

// practiceTuning is the tuning of the practice card that is built in, as `secondpass card tune` wrote it.
//
//go:embed lantern.tuning.json
var practiceTuning []byte

// TuningFor is the tuning built in for a card, and [General] for every card but the practice card.
// known says whether the card has a tuning of its own.
func TuningFor(c *card.Card) (t Tuning, known bool) {
	fingerprint := Fingerprint(c)
	t, err := ReadTuning(practiceTuning)
	if err != nil {
		panic("player: the tuning that is built in: " + err.Error()) // the tests read it
	}
	if t.Fingerprint == fingerprint {
		return t, true
	}
	return Tuning{Card: c.Name, Fingerprint: fingerprint, Params: General, Calibration: GeneralCalibration}, false
}

// ReadTuning reads what [Tuning.Text] has written; parameters out of their range are an error.
func ReadTuning(data []byte) (Tuning, error) {
	var t Tuning
	if err := json.Unmarshal(data, &t); err != nil {
		return t, fmt.Errorf("a tuning is JSON as `secondpass card tune` writes it: %w", err)
	}
	return t, t.Params.Check()
}

// Text is the tuning as a file has it.
func (t Tuning) Text() []byte {
	data, err := json.MarshalIndent(t, "", "  ")
	if err != nil {
		panic(err) // strings and finite numbers always have a JSON form
	}
	return append(data, '\n')
}
