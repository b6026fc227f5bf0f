package sim

import (
	"fmt"
	"math/rand/v2"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// past lays out what a seat cannot see as [Fill] does, but as it was at the deal, and then lets the
// others pass from their racks as they would, the seat itself as it did, up to the decision at hand. So the
// racks that are left have passed away what they could spare, which racks drawn afresh have not.
//
// What came to the seat came from whoever passes to it, which let it go since it could spare nothing better: so it takes the
// place of what would have come, see [Ahead.again]. The others have voted to go on where a second Charleston was held, and
// the seat across has offered as many tiles of the courtesy as are exchanged: a layout in which they would not is made anew, a
// few times. Otherwise the choices of the others are not conditioned on what is known; that is the approximation.
func (a *Ahead) past(v *charleston.View, rng *rand.Rand) (racks [charleston.Seats]tile.Rack, wall []tile.Kind, err error) {
	for try := 0; ; try++ {
		w, err := a.laidPast(v, rng, try == pastTries)
		if err != nil {
			return racks, nil, err
		}
		if w != nil {
			return w.racks, w.wall, nil
		}
	}
}

// pastTries is how often a layout is made anew in which the others would not have voted or offered as they did.
const pastTries = 8

// laidPast makes a layout of past. It is nil if the others would not have voted and offered as they did, unless any will do.
func (a *Ahead) laidPast(v *charleston.View, rng *rand.Rand, anyWillDo bool) (*layout, error) {
	start := *v
	start.Step, start.Phase = charleston.FirstRight, charleston.Passing
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		start.Rack = start.Rack.Plus(v.Gave[step].Rack())
	}
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		start.Rack = start.Rack.Minus(v.Came[step].Rack())
		start.Gave[step], start.Came[step], start.Blind[step] = charleston.Parcel{}, charleston.Parcel{}, 0
	}
	racks, wall, err := Fill(&start, a.l.Game.Set(), rng)
	if err != nil {
		return nil, err
	}
	w := &layout{racks: racks, wall: wall, seat: v.Seat, rng: rng}
	for step := charleston.FirstRight; step <= v.Step; step++ {
		if !anyWillDo && (step == charleston.SecondLeft && !a.wouldVote(w, v) || step == charleston.Courtesy && !a.wouldOffer(w, v)) {
			return nil, nil
		}
		if step == charleston.Courtesy {
			err = a.exchangeAcross(w, v)
		} else if v.Gave[step].Len() > 0 || v.Blind[step] > 0 { // else not passed yet, or fallen away
			err = a.again(w, v, step)
		}
		if err != nil {
			return nil, err
		}
	}
	if w.racks[v.Seat] != v.Rack {
		return nil, fmt.Errorf("what the seat gave and got does not lead to its rack")
	}
	return w, nil
}

// wouldVote says whether the others would vote to go on after the first left, if there was a second Charleston.
func (a *Ahead) wouldVote(w *layout, v *charleston.View) bool {
	if v.Step == charleston.Courtesy && !v.Second() {
		return true
	}
	for other := range charleston.Seat(charleston.Seats) {
		view := charleston.View{Seat: other, Rules: v.Rules, Step: charleston.FirstLeft, Phase: charleston.Voting, Rack: w.racks[other]}
		if other != v.Seat && Decide(a.tables.Players[other], &view).Stop {
			return false
		}
	}
	return true
}

// wouldOffer says whether the seat across would name a number at the courtesy by which as many tiles are exchanged as are; true before
// that is known.
func (a *Ahead) wouldOffer(w *layout, v *charleston.View) bool {
	exchanged := v.Exchange
	switch {
	case v.Phase == charleston.Naming || !v.Rules.Courtesy:
		return true
	case v.Phase == charleston.Over:
		exchanged = v.Came[charleston.Courtesy].Len()
	}
	across := charleston.Across.To(v.Seat)
	view := charleston.View{Seat: across, Rules: v.Rules, Step: charleston.Courtesy, Phase: charleston.Naming, Rack: w.racks[across]}
	return min(Decide(a.tables.Players[across], &view).Count, max(v.Blind[charleston.Courtesy], exchanged)) == exchanged
}

// exchangeAcross carries out the seat's courtesy, if it is over; that of the other two is left aside.
func (a *Ahead) exchangeAcross(w *layout, v *charleston.View) error {
	partner := charleston.Across.To(v.Seat)
	gave, came := v.Gave[charleston.Courtesy].Rack(), v.Came[charleston.Courtesy].Rack()
	view := charleston.View{Seat: partner, Rules: v.Rules, Step: charleston.Courtesy, Phase: charleston.Giving, Rack: w.racks[partner], Exchange: came.Size()}
	if err := w.bring(partner, came, Decide(a.tables.Players[partner], &view).Own.Rack()); err != nil {
		return err
	}
	w.racks[partner] = w.racks[partner].Minus(came).Plus(gave)
	w.racks[v.Seat] = w.racks[v.Seat].Minus(gave).Plus(came)
	return nil
}

// layout is racks and wall under way, and the seat whose rack is known.
type layout struct {
	racks [charleston.Seats]tile.Rack
	wall  []tile.Kind
	seat  charleston.Seat
	rng   *rand.Rand
}

// bring makes a seat hold tiles that it is known to have passed on: those it lacks change places with those that it
// would have passed, and with others of its own where these do not suffice, from wherever the seat that knows cannot see, each
// copy equally likely.
func (w *layout) bring(to charleston.Seat, tiles, would tile.Rack) error {
	for k := range tile.Kind(tile.Joker) {
		for w.racks[to][k] < tiles[k] {
			from := naturals(w.racks[to].Minus(tiles))
			if spare := from.Minus(from.Minus(would)); spare != (tile.Rack{}) {
				from = spare
			}
			out := w.anyOf(from)
			if !w.swap(to, out, k) {
				return fmt.Errorf("%s came, but no copy of it can have been there", k)
			}
		}
	}
	return nil
}

// swap trades a tile of a seat for a copy of another kind that lies elsewhere, out of sight.
func (w *layout) swap(to charleston.Seat, out, in tile.Kind) bool {
	var copies int
	for other, r := range w.racks {
		if charleston.Seat(other) != to && charleston.Seat(other) != w.seat {
			copies += int(r[in])
		}
	}
	var inWall []int
	for i, k := range w.wall {
		if k == in {
			inWall = append(inWall, i)
		}
	}
	if copies+len(inWall) == 0 {
		return false
	}
	w.racks[to][out]--
	w.racks[to][in]++
	pick := w.rng.IntN(copies + len(inWall))
	if pick >= copies {
		w.wall[inWall[pick-copies]] = out
		return true
	}
	for other := range w.racks {
		if charleston.Seat(other) == to || charleston.Seat(other) == w.seat {
			continue
		}
		if pick -= int(w.racks[other][in]); pick < 0 {
			w.racks[other][in]--
			w.racks[other][out]++
			break
		}
	}
	return true
}

// anyOf draws one tile of a rack.
func (w *layout) anyOf(r tile.Rack) tile.Kind {
	at := w.rng.IntN(r.Size())
	for k, n := range r {
		if at -= int(n); at < 0 {
			return tile.Kind(k)
		}
	}
	return tile.Joker
}

func naturals(r tile.Rack) tile.Rack {
	r[tile.Joker] = 0
	return r
}
