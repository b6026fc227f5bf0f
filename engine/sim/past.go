package sim

import (
	"fmt"
	"math/rand/v2"

	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// past lays out what a seat cannot see as [Fill] does, but as it was at the deal, and then lets the
// others pass from their racks as they would, the seat itself as it did, up to the decision at hand. So the
// racks that are left have passed away what they could spare, which racks drawn afresh have not.
//
// What came to the seat came from whoever passes to it, which let it go since it could spare nothing better: before such a
// pass, tiles that the giver lacks change places with those that it would have passed. Otherwise the choices of the
// others are not conditioned on what came, and blind passes of theirs are left aside; that is the approximation.
func (a *Ahead) past(v *charleston.View, rng *rand.Rand) (racks [charleston.Seats]tile.Rack, wall []tile.Kind, err error) {
	start := *v
	start.Step, start.Phase = charleston.FirstRight, charleston.Passing
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		start.Rack = start.Rack.Plus(v.Gave[step].Rack())
	}
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		start.Rack = start.Rack.Minus(v.Came[step].Rack())
		start.Gave[step], start.Came[step], start.Blind[step] = charleston.Parcel{}, charleston.Parcel{}, 0
	}
	if racks, wall, err = Fill(&start, a.l.Game.Set(), rng); err != nil {
		return racks, nil, err
	}
	w := layout{racks: racks, wall: wall, seat: v.Seat, rng: rng}
	for step := charleston.FirstRight; step <= v.Step; step++ {
		if step == charleston.Courtesy {
			err = a.exchangeAcross(&w, v)
		} else if v.Gave[step].Len() > 0 || v.Blind[step] > 0 { // else not passed yet, or fallen away
			err = a.again(&w, v, step)
		}
		if err != nil {
			return racks, nil, err
		}
	}
	if w.racks[v.Seat] != v.Rack {
		return racks, nil, fmt.Errorf("what the seat gave and got does not lead to its rack")
	}
	return w.racks, w.wall, nil
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

// again lets all seats pass at a step that is over: the seat as it did, the others as they would.
func (a *Ahead) again(w *layout, v *charleston.View, step charleston.Step) error {
	d := step.Direction()
	giver := d.From(v.Seat)
	came := v.Came[step]
	if err := w.bring(giver, came.Rack(), a.wouldPass(w, giver, step, v.Rules)); err != nil {
		return err
	}
	var packets [charleston.Seats]tile.Rack
	for other := range charleston.Seat(charleston.Seats) {
		if other != v.Seat {
			packets[other] = a.wouldPass(w, other, step, v.Rules)
		}
	}
	onward := v.Blind[step] // tiles of the giver that the seat handed on unseen
	packets[giver] = came.Rack().Plus(first(packets[giver].Minus(came.Rack()), onward))
	if onward > 0 && packets[giver].Size() < charleston.PassTiles {
		packets[giver] = came.Rack().Plus(first(naturals(w.racks[giver].Minus(came.Rack())), onward))
	}
	packets[v.Seat] = v.Gave[step].Rack().Plus(packets[giver].Minus(came.Rack()))
	for from, p := range packets {
		if charleston.Seat(from) != v.Seat {
			w.racks[from] = w.racks[from].Minus(p)
		}
	}
	w.racks[v.Seat] = w.racks[v.Seat].Minus(v.Gave[step].Rack()).Plus(came.Rack())
	for from, p := range packets {
		if to := d.To(charleston.Seat(from)); to != v.Seat {
			w.racks[to] = w.racks[to].Plus(p)
		}
	}
	return nil
}

// wouldPass is what a seat's player passes from its rack, without blind tiles.
func (a *Ahead) wouldPass(w *layout, seat charleston.Seat, step charleston.Step, rules house.Passing) tile.Rack {
	rules.Blind = false
	view := charleston.View{Seat: seat, Rules: rules, Step: step, Phase: charleston.Passing, Rack: w.racks[seat]}
	return Decide(a.tables.Players[seat], &view).Own.Rack()
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

// first is the first n tiles of a rack, fewer where it has fewer.
func first(r tile.Rack, n int) tile.Rack {
	var taken tile.Rack
	for k, c := range r {
		take := min(int(c), n)
		taken[k] = uint8(take)
		n -= take
	}
	return taken
}
