package desk

import (
	"secondpass/deal"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Deal is how the rack of an exercise is to come about.
type Deal struct {
	Card  *card.Card
	House house.House
	Seat  charleston.Seat
	// Typed is a rack that was typed in; nil deals one to the condition by the seed.
	Typed     *tile.Rack
	Condition deal.Condition
	// Seed draws the rack, and what comes in later.
	Seed uint64
}

// Dealt is a rack and how it came about.
type Dealt struct {
	Deal
	Rack tile.Rack
	// Rarity is how rare such deals are; zero for a rack typed in.
	Rarity deal.Rarity
}

// Draw takes the rack that was typed in or deals one.
func (d Deal) Draw() (dealt *Dealt, err error) {
	dealt = &Dealt{Deal: d}
	if d.Typed != nil {
		dealt.Rack, dealt.Condition = *d.Typed, deal.Condition{}
		return dealt, nil
	}
	set, err := d.House.Set()
	if err != nil {
		return nil, err
	}
	dealt.Rack, dealt.Rarity, err = deal.Draw(d.Condition, d.Seat.DealtTiles(), set, prepared.Of(d.Card).Index(), d.Seed)
	return dealt, err
}

// Begin begins an exercise with the rack. players sit at the other seats of a table; "" are the usual ones.
func (d *Dealt) Begin(name string, in exercise.Incoming, players string) (e *exercise.Exercise, err error) {
	if in == exercise.TablePasses && players != "" {
		e, err = exercise.NewTable(name, d.Card, d.House, d.Seat, d.Rack, players, d.Seed)
	} else {
		e, err = exercise.New(name, d.Card, d.House, d.Seat, d.Rack, in, d.Seed)
	}
	if err == nil {
		e.Condition = d.Condition.String()
	}
	return e, err
}
