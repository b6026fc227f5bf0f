package exercise

import (
	"fmt"
	"math/rand/v2"

	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// PlayOn begins the play of a route whose passing is over in an exercise where nobody sat at the other seats: their racks and the
// wall are laid out in agreement with what the player knows, by the exercise's seed; see [unseen].
// The others, who are [DefaultPlayers], go on until the player is to decide. In a table exercise the play begins by itself.
func (e *Exercise) PlayOn(route string) (*Game, error) {
	r, err := e.Route(route)
	if err != nil {
		return nil, err
	}
	t, err := e.Replay(r)
	switch {
	case err != nil:
		return nil, err
	case t.Game != nil:
		return nil, fmt.Errorf("route %s is in its play already", r.Name)
	case t.Now.Phase() != charleston.Over:
		return nil, fmt.Errorf("the passing is not over: the %s is due", t.Now.Step())
	}
	view := t.Now.View()
	for trial := uint64(0); ; trial++ {
		u, err := unseen(&view, e.Set, sim.Stream(e.Seed, trial, "played on"))
		if err != nil {
			return nil, err
		}
		if _, complete := e.kit.game().DealtWin(u.Racks[charleston.East]); complete {
			continue // nothing would be left to play
		}
		r.Unseen = u
		break
	}
	g, err := e.startGame(&t, nil, r)
	if err == nil {
		r.Play, err = e.goOn(g)
	}
	if err != nil {
		r.Unseen, r.Play = nil, nil
		return nil, err
	}
	return g, nil
}

// unseen lays out what a seat cannot see once the passing is over, every layout that agrees with what it knows equally likely.
// That is the own rack, how many tiles each seat holds, and where the tiles lie that it gave last: those of the courtesy
// across, or, where there is none, those of the last pass, unless it allows blind tiles and they may have gone on unseen.
func unseen(v *charleston.View, set tile.Set, rng *rand.Rand) (*Hidden, error) {
	u := &Hidden{}
	last := charleston.Courtesy
	if !v.Rules.Courtesy {
		for last--; last > charleston.FirstRight && v.Gave[last].Len() == 0 && v.Blind[last] == 0; {
			last--
		}
	}
	if last == charleston.Courtesy || !v.Rules.Blind || !last.BlindAllowed() {
		u.Racks[last.Direction().To(v.Seat)] = v.Gave[last].Rack()
	}
	left, err := set.Less(v.Rack)
	for seat := range charleston.Seat(charleston.Seats) {
		if err == nil {
			left, err = left.Less(u.Racks[seat])
		}
	}
	if err != nil {
		return nil, fmt.Errorf("what the player knows cannot be: %w", err)
	}
	tiles := left.Tiles()
	rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
	for seat := range charleston.Seat(charleston.Seats) {
		if seat != v.Seat {
			n := seat.DealtTiles() - u.Racks[seat].Size()
			u.Racks[seat] = u.Racks[seat].Plus(tile.RackOf(tiles[:n]...))
			tiles = tiles[n:]
		}
	}
	u.Wall = tiles
	return u, nil
}
