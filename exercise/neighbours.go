package exercise

import (
	"fmt"

	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Hidden is what the player of a table exercise cannot see at the deal. It must not be shown before
// a route's game is over.
type Hidden struct {
	// Racks are those of the other three seats; the player's own entry is empty.
	Racks [charleston.Seats]tile.Rack
	// Wall is the tiles to be drawn, next first.
	Wall []tile.Kind
}

// drawHidden deals the other racks and the wall from the tiles that the deal leaves, every order equally
// likely. Should East be dealt a complete hand the tiles are dealt anew, since nothing would be left to decide.
func (e *Exercise) drawHidden() (Hidden, error) {
	left, err := e.Set.Less(e.Deal)
	if err != nil {
		return Hidden{}, err
	}
	for trial := uint64(0); ; trial++ {
		tiles := left.Tiles()
		sim.Stream(e.Seed, trial, "table").Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
		var h Hidden
		for seat := range charleston.Seat(charleston.Seats) {
			if seat != e.Seat {
				n := seat.DealtTiles()
				h.Racks[seat] = tile.RackOf(tiles[:n]...)
				tiles = tiles[n:]
			}
		}
		h.Wall = tiles
		if _, complete := e.kit.game().DealtWin(h.Racks[charleston.East]); !complete {
			return h, nil
		}
	}
}

// check says why the hidden tiles and the player's rack do not make up the set, or nil.
func (h *Hidden) check(own tile.Rack, e *Exercise) error {
	racks := h.beside(own, e.Seat)
	counts := [tile.Kinds]int{}
	for seat, r := range racks {
		if n, want := r.Size(), charleston.Seat(seat).DealtTiles(); n != want {
			return fmt.Errorf("racks: %s has %d tiles; %d are right", charleston.Seat(seat).Name(), n, want)
		}
		for k, n := range r {
			counts[k] += int(n)
		}
	}
	for _, k := range h.Wall {
		counts[k]++
	}
	for k, n := range counts {
		if want := int(e.Set[k]); n != want {
			return fmt.Errorf("the deal, the racks and the wall hold %d of %s in all, but the set has %d", n, tile.Kind(k), want)
		}
	}
	return nil
}

// beside is all four racks, with the player's.
func (h *Hidden) beside(own tile.Rack, seat charleston.Seat) [charleston.Seats]tile.Rack {
	racks := h.Racks
	racks[seat] = own
	return racks
}

// Move is what another seat of the table did while the player decided.
type Move struct {
	// Own are the tiles it passed or, at the courtesy, handed over. When a number is offered, Own are tiles that the
	// two other seats then exchange with each other, where the player exchanges none.
	Own charleston.Parcel
	// Count is its blind tiles or the number it offered.
	Count int
	// Stop is its vote.
	Stop bool
}

// neighbours is the other three seats of a table exercise as a source of incoming tiles. It keeps the passing of all
// four seats.
type neighbours struct {
	e     *Exercise
	state charleston.State
	// ask says that the players decide; otherwise they did what told says. did is what they did at the last
	// decision.
	ask       bool
	told, did [charleston.Seats]Move
}

func newNeighbours(e *Exercise) (*neighbours, error) {
	s, err := charleston.Start(e.Hidden.beside(e.Deal, e.Seat), e.House.Passing, e.Set)
	return &neighbours{e: e, state: s}, err
}

// Incoming lets all four pass and says what stayed with the player.
func (n *neighbours) Incoming(step charleston.Step, own charleston.Parcel, blind int, _ tile.Rack) (charleston.Parcel, error) {
	a := charleston.Action{Kind: charleston.Pass, Own: own, Count: blind}
	if n.state.Phase() == charleston.Giving {
		a.Kind = charleston.Give
	}
	if err := n.round(a); err != nil {
		return charleston.Parcel{}, err
	}
	return n.state.View(n.e.Seat).Came[step], nil
}

// Stopped lets all four vote.
func (n *neighbours) Stopped(stop bool) (bool, error) {
	err := n.round(charleston.Action{Kind: charleston.Vote, Stop: stop})
	stopped := false
	for _, m := range n.did {
		stopped = stopped || m.Stop
	}
	return stopped, err
}

// Offered lets all four name a number. Where that leaves the player nothing to exchange, the other two may still
// have something.
func (n *neighbours) Offered(count int) (int, error) {
	if err := n.round(charleston.Action{Kind: charleston.Name, Count: count}); err != nil {
		return 0, err
	}
	offered := n.did[charleston.Across.To(n.e.Seat)].Count
	if n.state.Phase() == charleston.Giving && !n.state.Waits(n.e.Seat) {
		return offered, n.round(charleston.Action{})
	}
	return offered, nil
}

// round lets every seat that is waited for act, the player as given. Each step has its own stream for the tiles
// that are handed on blind, so that routes stay comparable.
func (n *neighbours) round(own charleston.Action) error {
	lots := sim.Stream(n.e.Seed, uint64(n.state.Step()), "blind")
	var actions []charleston.Action
	for seat := range charleston.Seat(charleston.Seats) {
		if !n.state.Waits(seat) {
			continue
		}
		a := own
		a.Seat = seat
		if seat != n.e.Seat {
			var err error
			if a, err = n.action(seat); err != nil {
				return err
			}
			n.note(a)
		}
		actions = append(actions, a)
	}
	for _, a := range actions {
		if err := n.state.Apply(a, lots); err != nil {
			return err
		}
	}
	return nil
}

var actionKinds = [...]charleston.ActionKind{
	charleston.Passing: charleston.Pass, charleston.Voting: charleston.Vote,
	charleston.Naming: charleston.Name, charleston.Giving: charleston.Give,
}

// action is what another seat does: what is told of it, or what its player says.
func (n *neighbours) action(seat charleston.Seat) (charleston.Action, error) {
	if !n.ask {
		m := n.told[seat]
		return charleston.Action{Seat: seat, Kind: actionKinds[n.state.Phase()], Own: m.Own, Count: m.Count, Stop: m.Stop}, nil
	}
	p, err := n.e.kit.player()
	if err != nil {
		return charleston.Action{}, err
	}
	v := n.state.View(seat)
	p.Begin(sim.Stream(n.e.Seed, (uint64(v.Step)<<8|uint64(v.Phase))<<2|uint64(seat), "passing lots"))
	return sim.Decide(p, &v), nil
}

// note keeps what another seat did, the fields that count and no others.
func (n *neighbours) note(a charleston.Action) {
	m := &n.did[a.Seat]
	switch a.Kind {
	case charleston.Pass:
		m.Own, m.Count = a.Own, a.Count
	case charleston.Vote:
		m.Stop = a.Stop
	case charleston.Name:
		m.Count = a.Count
	case charleston.Give:
		m.Own = a.Own
	}
}

// askPlay asks the player of another seat what it does in the play.
func (e *Exercise) askPlay(g *Game, seat charleston.Seat) (table.Action, error) {
	p, err := e.kit.player()
	if err != nil {
		return table.Action{}, err
	}
	p.Begin(sim.Stream(e.Seed, uint64(len(g.record.Actions))<<2|uint64(seat), "play lots"))
	v := g.state.View(seat)
	if d, waits := v.Claimable(); waits {
		return p.Claim(v).By(seat, d.Tile), nil
	}
	a := p.Turn(v)
	a.Seat = seat
	return a, nil
}
