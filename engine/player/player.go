package player

import (
	"math/rand/v2"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Player decides for one seat through a whole game: the passes, then the play. It owns working
// memory, so that each seat and each goroutine needs its own; within one game equal views give
// equal decisions, but for Random.
type Player interface {
	Passer
	// Begin tells of a new game. rng is where a player that draws lots takes them from.
	Begin(rng *rand.Rand)
	// Turn decides for a seat that holds 14 tiles: an Exchange, Declare or Discard.
	Turn(v table.View) table.Action
	// Claim answers a discard; the zero Claim lets it go.
	Claim(v table.View) table.Claim
}

// Random does anything that is legal, each action equally likely.
type Random struct {
	rng     *rand.Rand
	actions []table.Action
}

// Begin takes the source of lots.
func (r *Random) Begin(rng *rand.Rand) { r.rng = rng }

// Pass passes three tiles, none blind.
func (r *Random) Pass(v *charleston.View) (charleston.Parcel, int) {
	return r.parcel(v.Rack, charleston.PassTiles, nil), 0
}

// Stop stops in one game of two.
func (r *Random) Stop(*charleston.View) bool { return r.rng.IntN(2) == 0 }

// Offer offers 0 to 3 tiles.
func (r *Random) Offer(*charleston.View) int { return r.rng.IntN(charleston.PassTiles + 1) }

// Give hands over what is due.
func (r *Random) Give(v *charleston.View) charleston.Parcel { return r.parcel(v.Rack, v.Exchange, nil) }

// Release gives away any tiles, one after another, of those that may go.
func (r *Random) Release(rack tile.Rack, n int, may May) charleston.Parcel {
	return r.parcel(rack, n, may)
}

// parcel draws distinct parcels with equal chances, or under a rule tile after tile.
func (r *Random) parcel(rack tile.Rack, n int, may May) charleston.Parcel {
	if may == nil {
		parcels := charleston.Parcels(rack, n)
		return parcels[r.rng.IntN(len(parcels))]
	}
	var going []tile.Kind
	for range n {
		tiles := r.naturals(&rack, func(k tile.Kind) bool { return may(going, k) })
		if len(tiles) == 0 {
			tiles = r.naturals(&rack, func(tile.Kind) bool { return true })
		}
		k := tiles[r.rng.IntN(len(tiles))]
		rack[k]--
		going = append(going, k)
	}
	own, _ := charleston.ParcelOf(going...) // never more than three
	return own
}

func (r *Random) naturals(rack *tile.Rack, may func(tile.Kind) bool) []tile.Kind {
	var kinds []tile.Kind
	for k := range tile.Joker {
		if rack[k] > 0 && may(k) {
			kinds = append(kinds, k)
		}
	}
	return kinds
}

// Turn takes any legal action.
func (r *Random) Turn(v table.View) table.Action {
	r.actions = v.AppendLegal(r.actions[:0])
	return r.actions[r.rng.IntN(len(r.actions))]
}

// Claim gives any legal answer.
func (r *Random) Claim(v table.View) table.Claim {
	r.actions = v.AppendLegal(r.actions[:0])
	return r.actions[r.rng.IntN(len(r.actions))].Claim()
}
