package charleston

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Choices are the very list of legal actions, at every phase, step and rack.
func TestChoicesAreTheLegalActions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rack tile.Rack
		for _, k := range rapid.SliceOfN(rapid.IntRange(0, tile.Kinds-1), 0, 14).Draw(t, "rack") {
			rack[k]++
		}
		v := View{
			Seat: Seat(rapid.IntRange(0, Seats-1).Draw(t, "seat")), Rack: rack,
			Step:     Step(rapid.IntRange(int(FirstRight), int(Courtesy)).Draw(t, "step")),
			Phase:    Phase(rapid.IntRange(int(Passing), int(Over)).Draw(t, "phase")),
			Rules:    house.Passing{Blind: rapid.Bool().Draw(t, "blind")},
			Exchange: rapid.IntRange(0, PassTiles).Draw(t, "exchange"),
		}
		choices := v.Choices()
		var got []Action
		for i := range choices.Len() {
			got = append(got, choices.At(i))
		}
		if want := v.Legal(); !slices.Equal(got, want) {
			t.Fatalf("%v\nwanted %v", got, want)
		}
	})
}
