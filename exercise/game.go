package exercise

import (
	"fmt"
	"strings"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Game is the play of a route, replayed.
type Game struct {
	seat   charleston.Seat
	state  table.State
	record table.Record
}

// View is the table as the player may know it.
func (g *Game) View() table.View { return g.state.View(g.seat) }

// Over says whether the game has ended; Result how, see [table.State.Result].
func (g *Game) Over() bool           { return g.state.Phase() == table.Over }
func (g *Game) Result() table.Result { return g.state.Result() }

// State is the whole table, hidden tiles included: for those who judge a decision, not for showing.
func (g *Game) State() table.State { return g.state }

// Record is the whole game so far, hidden tiles included, which must not be shown before it is over.
func (g *Game) Record() *table.Record { return &g.record }

// Lines tells the play so far as the player may know it: the lines of the record without what the
// others drew.
func (g *Game) Lines() ([]string, error) {
	text, err := g.record.Text()
	if err != nil {
		return nil, err
	}
	_, play, _ := strings.Cut(text, "\nplay\n")
	var lines []string
	for line := range strings.Lines(play) {
		line = strings.TrimSpace(line)
		if who, drew := strings.CutSuffix(line[:min(len(line), len("E draws"))], " draws"); drew && who != g.seat.String() {
			continue
		}
		lines = append(lines, line)
	}
	return lines, nil
}

// next is the seat whose action comes next. A discard is answered by the player first and then by the others in the
// order of play; none of them knows of the other answers.
func (g *Game) next() charleston.Seat {
	turn := g.state.Turn()
	if g.state.Phase() != table.Claiming {
		return turn
	}
	if g.state.Waits(g.seat) {
		return g.seat
	}
	seat := charleston.Right.To(turn)
	for !g.state.Waits(seat) {
		seat = charleston.Right.To(seat)
	}
	return seat
}

// apply carries out an action that the rules list. A claim that would leave a dead hand is refused too.
func (g *Game) apply(a table.Action) error {
	if err := g.state.Check(a); err != nil {
		return err
	}
	if err := g.state.Apply(a); err != nil {
		return err
	}
	g.record.Actions = append(g.record.Actions, a)
	return nil
}

func (g *Game) decline(seat charleston.Seat) error {
	return g.apply(table.Action{Seat: seat, Kind: table.Decline})
}

// skip lets a discard go for the player where there is nothing to decide: that is never asked or kept.
func (g *Game) skip() error {
	if g.state.Phase() == table.Claiming && g.state.Waits(g.seat) && len(g.state.Legal(g.seat)) == 1 {
		return g.decline(g.seat)
	}
	return nil
}

// settle lets the others decline, for which a route keeps no action; until says when to stop.
func (g *Game) settle(until func(next charleston.Seat) bool) error {
	for g.state.Phase() == table.Claiming {
		next := g.next()
		if next == g.seat || until(next) {
			return nil
		}
		if err := g.decline(next); err != nil {
			return err
		}
	}
	return nil
}

// take carries out an action that a route keeps.
func (g *Game) take(a table.Action) error {
	answer := a.Kind == table.Expose || a.Kind == table.Mahjong
	if err := g.settle(func(next charleston.Seat) bool { return answer && a.Seat == next }); err != nil {
		return err
	}
	if g.state.Phase() == table.Claiming && g.next() == g.seat && a.Seat != g.seat {
		return fmt.Errorf("%s's answer to the discard before it is missing", g.seat.Name())
	}
	if a.Kind == table.Decline && a.Seat != g.seat {
		return fmt.Errorf("%s: that others decline is not written down", a.Seat.Name())
	}
	if err := g.apply(a); err != nil {
		return err
	}
	return g.skip()
}

// waits says whether the player is to decide.
func (g *Game) waits() bool { return !g.Over() && g.next() == g.seat }

// startGame sets the table for a route's play. It gives nil where the play has not begun: where the passing is not over, unless
// the dealer declares the hand it was dealt, and where nobody sits at the other seats.
func (e *Exercise) startGame(t *Trail, n *neighbours, r *Route) (*Game, error) {
	dealt := n != nil && len(r.Decisions) == 0 && len(r.Play) == 1 && e.Seat == charleston.East && r.Play[0].Kind == table.Declare
	over := t.Now.Phase() == charleston.Over
	switch {
	case !over && !dealt && (len(r.Play) > 0 || r.Unseen != nil):
		return nil, fmt.Errorf("route %s: it is played before the passing is over", r.Name)
	case !over && !dealt:
		return nil, nil
	case n == nil && r.Unseen == nil && len(r.Play) > 0:
		return nil, fmt.Errorf("route %s: it is played, but nobody has tiles to play against", r.Name)
	case n == nil && r.Unseen == nil:
		return nil, nil
	}
	g := &Game{seat: e.Seat, record: table.Record{Game: e.kit.game(), Wall: e.Hidden.Wall}}
	if n != nil {
		for seat := range charleston.Seat(charleston.Seats) {
			g.record.Racks[seat] = n.state.Rack(seat)
		}
	} else {
		own := t.Now.Rack()
		if err := r.Unseen.check(own, e); err != nil {
			return nil, fmt.Errorf("route %s: unseen: %w", r.Name, err)
		}
		g.record.Racks, g.record.Wall = r.Unseen.beside(own, e.Seat), r.Unseen.Wall
	}
	var err error
	g.state, err = g.record.Game.Start(g.record.Racks, g.record.Wall)
	return g, err
}

// replayPlay takes a game through all that its route keeps.
func (g *Game) replayPlay(r *Route) error {
	for i, a := range r.Play {
		if err := g.take(a); err != nil {
			return fmt.Errorf("route %s, play %d (%s): %w", r.Name, i+1, a, err)
		}
	}
	return g.settle(func(charleston.Seat) bool { return false })
}

// goOn asks the others until the player is to decide or the game is over, and returns what a route keeps of it.
func (e *Exercise) goOn(g *Game) ([]table.Action, error) {
	var kept []table.Action
	for !g.Over() && !g.waits() {
		seat := g.next()
		a, err := e.askPlay(g, seat)
		a = plain(a, seat)
		if err == nil {
			err = g.apply(a)
		}
		if err == nil {
			err = g.skip()
		}
		if err != nil {
			return nil, fmt.Errorf("the player of %s: %w", seat.Name(), err)
		}
		if a.Kind != table.Decline {
			kept = append(kept, a)
		}
	}
	return kept, nil
}

// Act adds an action of the player to the play of a route and lets the others go on until the player
// is to decide again or the game is over. Of a it reads what its kind names; the seat is the player's. The dealer
// may declare a complete hand before the first pass. After an error the route is as before.
func (e *Exercise) Act(route string, a table.Action) (*Game, error) {
	r, err := e.Route(route)
	if err != nil {
		return nil, err
	}
	t, err := e.Replay(r)
	if err != nil {
		return nil, err
	}
	a = plain(a, e.Seat)
	g := t.Game
	switch {
	case g == nil && t.Now.Phase() == charleston.Over:
		return nil, fmt.Errorf("the play of route %s has not begun: play on first", r.Name)
	case g == nil && e.Incoming == TablePasses && a.Kind == table.Declare && e.Seat == charleston.East && len(r.Decisions) == 0:
		return e.declareDealt(r, a)
	case g == nil:
		return nil, fmt.Errorf("the passing is not over: the %s is due", t.Now.Step())
	}
	if err := g.apply(a); err != nil {
		return nil, err
	}
	kept, err := e.goOn(g)
	if err != nil {
		return nil, err
	}
	r.Play = append(append(r.Play, a), kept...)
	r.went()
	return g, nil
}

func (e *Exercise) declareDealt(r *Route, a table.Action) (*Game, error) {
	try := *r
	try.Play = []table.Action{a}
	t, err := e.Replay(&try)
	if err != nil {
		return nil, fmt.Errorf("the tiles dealt make no hand of the card")
	}
	r.Play = try.Play
	r.went()
	return t.Game, nil
}

// plain is an action of a seat with those fields only that its kind names, so that equal actions are equal.
func plain(a table.Action, seat charleston.Seat) table.Action {
	p := table.Action{Seat: seat, Kind: a.Kind}
	switch a.Kind {
	case table.Discard, table.Mahjong:
		p.Tile = a.Tile
	case table.Exchange:
		p.Tile, p.From = a.Tile, a.From
	case table.Expose:
		p.Tile, p.Size, p.Jokers = a.Tile, a.Size, a.Jokers
	}
	return p
}
