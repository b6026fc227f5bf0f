package view

import (
	"fmt"

	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
)

// Field is one line of a label, with where it leads, or "".
type Field struct{ Name, Value, Path string }

// FieldsOf is the label of an exercise: how it came about.
func FieldsOf(id int64, e *exercise.Exercise) []Field {
	deal := fmt.Sprintf("seed %d", e.Seed)
	if e.Condition != "" {
		deal = e.Condition + ", " + deal
	}
	seat := e.Seat.Name() + ", not dealer"
	if e.Seat == charleston.East {
		seat = "East, the dealer"
	}
	incoming := map[exercise.Incoming]string{exercise.MockPasses: "mock, the same for all routes", exercise.EnteredPasses: "entered from real tiles",
		exercise.TablePasses: "three simulated players: " + e.Players}[e.Incoming]
	fields := []Field{{Name: "Deal", Value: deal}, {Name: "Seat", Value: seat}, {Name: "Card", Value: e.Card.Name, Path: SheetPath(id) + "/card"}, {Name: "Incoming", Value: incoming}}
	if rules := wording.Unusual(e.House); rules != "" {
		fields = append(fields, Field{Name: "House rules", Value: rules})
	}
	return fields
}
