package exercise

import (
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// EventKind is what an [Event] tells.
type EventKind uint8

const (
	// Acts: a seat did what Action says.
	Acts EventKind = 1 + iota
	// Draws: the player drew Tile. What others draw is not told.
	Draws
	// Dies: the open groups of Seat fit no hand of the card any more.
	Dies
	// Ends: the game is over, see [Game.Result].
	Ends
)

// Event is one thing that happened in the play, as the player may know it.
type Event struct {
	Kind EventKind
	Seat charleston.Seat
	// Action is what was done; that others let a discard go is not told, nor that the player did where nothing else
	// was legal.
	Action table.Action
	// Tile is the tile drawn, or the discard that a Decline of the player lets go.
	Tile tile.Kind
	// Number is the place of an action among all of the player's decisions, as [Route.Choice] counts; -1 for what is no
	// decision of the player.
	Number int
}

// Events tells the play so far as the player may know it, in the order of time. Of claims to one discard the player
// learns when all have answered; they stand in the order of play. passed is the number of the player's decisions in
// the passing.
func (g *Game) Events(passed int) ([]Event, error) {
	s, err := g.record.Game.Start(g.record.Racks, g.record.Wall)
	if err != nil {
		return nil, err
	}
	var events []Event
	var claims [charleston.Seats]*Event
	for _, a := range g.record.Actions {
		before := s
		if err := s.Apply(a); err != nil {
			return nil, err
		}
		e := Event{Kind: Acts, Seat: a.Seat, Action: a, Number: -1}
		if d, waits := before.View(g.seat).Claimable(); waits {
			e.Tile = d.Tile
		}
		decided := a.Seat == g.seat && (a.Kind != table.Decline || len(before.Legal(g.seat)) > 1)
		if decided {
			e.Number = passed
			passed++
		}
		switch {
		case before.Phase() == table.Discarding:
			events = append(events, e)
		case decided && a.Kind == table.Decline:
			events = append(events, e) // the player knows of the own answer at once
		case a.Kind != table.Decline:
			claims[a.Seat] = &e
		}
		if s.Phase() == table.Claiming && before.Phase() == table.Claiming {
			continue
		}
		for i := range charleston.Seat(charleston.Seats) {
			if e := claims[(before.Turn()+i)%charleston.Seats]; e != nil {
				events = append(events, *e)
			}
		}
		claims = [charleston.Seats]*Event{}
		events = append(events, g.followed(&before, &s)...)
	}
	return events, nil
}

// followed tells what followed of itself when an action led from one state to another.
func (g *Game) followed(before, after *table.State) []Event {
	var events []Event
	was, is := before.View(g.seat), after.View(g.seat)
	for seat := range charleston.Seat(charleston.Seats) {
		if is.Dead(seat) && !was.Dead(seat) {
			events = append(events, Event{Kind: Dies, Seat: seat, Number: -1})
		}
	}
	if after.Phase() == table.Over {
		return append(events, Event{Kind: Ends, Number: -1})
	}
	if is.WallLeft() < was.WallLeft() && is.Turn() == g.seat {
		drawn := is.Rack().Minus(was.Rack()).Tiles()
		if len(drawn) == 1 {
			events = append(events, Event{Kind: Draws, Seat: g.seat, Tile: drawn[0], Number: -1})
		}
	}
	return events
}
