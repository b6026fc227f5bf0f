package advice

import (
	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

func rack(text string) tile.Rack { return tile.MustParse(text) }

func parcel(text string) charleston.Parcel {
	p, err := exercise.ParseParcel(text, tile.Usual)
	if err != nil {
		panic(err)
	}
	return p
}

// newExercise is an exercise with a deal by the seed; those against players meet players that are quick.
func newExercise(t interface{ Fatal(...any) }, seat charleston.Seat, in exercise.Incoming, seed uint64) *exercise.Exercise {
	rack, _, err := deal.Draw(deal.Condition{}, seat.DealtTiles(), tile.Usual, fit.New(card.Practice()), seed)
	if err != nil {
		t.Fatal(err)
	}
	var e *exercise.Exercise
	if in == exercise.TablePasses {
		e, err = exercise.NewTable("Try", card.Practice(), house.Usual, seat, rack, "nearest", seed)
	} else {
		e, err = exercise.New("Try", card.Practice(), house.Usual, seat, rack, in, seed)
	}
	if err != nil {
		t.Fatal(err)
	}
	return e
}
