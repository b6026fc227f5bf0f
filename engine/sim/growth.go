package sim

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Lay replaces, in a state of play, what a seat cannot see, as [Refill] does, by racks that are worth what the others'
// racks are worth at that stage. known is tiles that each of the others is known to conceal. judge lends its working
// memory. The seat's View is the same afterwards; the same rng gives the same layout.
func (b *Beliefs) Lay(s *table.State, seat charleston.Seat, known *[charleston.Seats]tile.Rack, judge *player.Strong, rng *rand.Rand) error {
	l := b.layout(s.View(seat), known, judge, rng)
	return s.Redeal(seat, &l.racks, l.wall)
}

// LayView is the state that a seat sees, with what it does not see laid out as [Beliefs.Lay] does.
func (b *Beliefs) LayView(v table.View, known *[charleston.Seats]tile.Rack, judge *player.Strong, rng *rand.Rand) (table.State, error) {
	l := b.layout(v, known, judge, rng)
	return v.Laid(&l.racks, l.wall)
}

// layout makes a layout.
func (b *Beliefs) layout(v table.View, known *[charleston.Seats]tile.Rack, judge *player.Strong, rng *rand.Rand) *growing {
	seat := v.Seat()
	l := &growing{b: b, v: v, judge: judge, rng: rng}
	l.hidden = l.v.Unseen()
	for other := range charleston.Seat(charleston.Seats) {
		if other == seat {
			continue
		}
		l.floor[other] = known[other]
		l.floor[other][tile.Joker] = max(l.floor[other][tile.Joker], uint8(l.v.Jokers(other)))
		l.racks[other] = l.floor[other]
		l.hidden = l.hidden.Minus(l.floor[other])
	}
	l.placeJokers()
	l.shun()
	l.deal()
	var targets [charleston.Seats]float64
	var waits [charleston.Seats]bool
	order := rng.Perm(charleston.Seats)
	for _, at := range order {
		targets[at] = math.Inf(-1)
		other := charleston.Seat(at)
		if c := b.near(l.v, other, rng); other != seat && !l.v.Dead(other) && c != nil {
			targets[at] = c.draw(int(l.racks[other][tile.Joker]), rng)
			waits[at] = c.waits(targets[at], rng)
			targets[at] += b.tilt.at(l.v.WallLeft())
		}
	}
	slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(targets[y], targets[x]) })
	for i, at := range order {
		if !math.IsInf(targets[at], -1) {
			l.grow(charleston.Seat(at), targets[at], waits[at], order[i+1:])
		}
	}
	for range l.jokers {
		l.wall = append(l.wall, tile.Joker)
	}
	rng.Shuffle(len(l.wall), func(i, j int) { l.wall[i], l.wall[j] = l.wall[j], l.wall[i] })
	return l
}

// growing is a layout under way.
type growing struct {
	b     *Beliefs
	v     table.View
	judge *player.Strong
	rng   *rand.Rand
	// hidden is what is not laid out yet, racks what is; floor is what is known to lie there.
	hidden       tile.Rack
	racks, floor [charleston.Seats]tile.Rack
	// spare is tiles of racks that have grown, which they can do without.
	spare [charleston.Seats]tile.Rack
	// own is the seat's tiles; one of their kinds is taken by another seat so often as against others, at most 1.
	own   tile.Rack
	often float64
	// wall is the naturals of the wall, jokers the number of jokers in it.
	wall   []tile.Kind
	jokers int
}

// room is how many tiles a seat still lacks.
func (l *growing) room(seat charleston.Seat) int { return l.v.Hidden(seat) - l.racks[seat].Size() }

// placeJokers gives each joker that nobody has seen to a seat, by the share that such a seat conceals, or to the wall. Were
// they dealt like other tiles, racks would hold too many: who has jokers lays them open.
func (l *growing) placeJokers() {
	var shares [charleston.Seats]float64
	sum := 0.0
	for other := range charleston.Seat(charleston.Seats) {
		if c := l.b.near(l.v, other, l.rng); other != l.v.Seat() && c != nil {
			shares[other] = c.share()
			sum += shares[other]
		}
	}
	for ; l.hidden[tile.Joker] > 0; l.hidden[tile.Joker]-- {
		at := l.rng.Float64() * max(sum, 1)
		to := charleston.Seat(charleston.Seats)
		for other, share := range shares {
			if at < share {
				if l.room(charleston.Seat(other)) > 0 {
					to = charleston.Seat(other)
				}
				break
			}
			at -= share
		}
		if to == charleston.Seats && l.jokers < l.v.WallLeft() {
			l.jokers++
			continue
		}
		for other := charleston.Seat(0); to == charleston.Seats; other++ { // a wall of jokers alone: the first that has room
			if other != l.v.Seat() && l.room(other) > 0 {
				to = other
			}
		}
		l.racks[to][tile.Joker]++
	}
}

// deal deals the naturals: each order is equally likely, but for tiles of kinds that the seat has.
func (l *growing) deal() {
	tiles := l.hidden.Tiles()
	l.rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
	for other := range charleston.Seat(charleston.Seats) {
		if other == l.v.Seat() {
			continue
		}
		for range l.room(other) {
			at := 0
			for at < len(tiles)-1 && !l.takes(tiles[at]) {
				at++
			}
			l.racks[other][tiles[at]]++
			tiles = slices.Delete(tiles, at, at+1)
		}
	}
	l.wall = tiles
}

// place is a natural that a seat may get: where it lies, and what it is.
type place struct {
	seat charleston.Seat // or charleston.Seats for the wall
	at   int             // in the wall
	tile tile.Kind
}

// pool is the naturals of the wall and those of seats that are not known to lie there.
func (l *growing) pool(seats []int) []place {
	var pool []place
	for at, k := range l.wall {
		pool = append(pool, place{charleston.Seats, at, k})
	}
	for _, s := range seats {
		seat := charleston.Seat(s)
		if seat == l.v.Seat() {
			continue
		}
		for k := range tile.Joker {
			for range l.racks[seat][k] - l.floor[seat][k] {
				pool = append(pool, place{seat: seat, tile: k})
			}
		}
	}
	for seat := range charleston.Seat(charleston.Seats) {
		for k, n := range l.spare[seat] {
			if n > 0 {
				pool = append(pool, place{seat: seat, tile: tile.Kind(k)})
			}
		}
	}
	return pool
}

// put puts a tile where another was.
func (l *growing) put(p *place, k tile.Kind) {
	if p.seat == charleston.Seats {
		l.wall[p.at] = k
	} else {
		l.racks[p.seat][p.tile]--
		l.racks[p.seat][k]++
		l.spare[p.seat][p.tile] = 0 // it is gone, or was not spare
	}
	p.tile = k
}

// grow brings a seat's rack to the worth that was drawn for it, by exchanges with the wall and with those that are still to
// grow. Below it a random tile comes for the one that the seat would miss least, above it for a random one. Where no tile
// helps any more the rack is shaken, and the best rack that was met is kept.
func (l *growing) grow(seat charleston.Seat, target float64, waits bool, later []int) {
	if len(l.wall) == 0 {
		return
	}
	g := &grower{l: l, seat: seat, target: target, scales: l.judge.Scales(l.v, seat),
		all: l.v.Unseen().Plus(l.v.Rack()), pool: l.pool(later), rack: l.racks[seat]}
	_, open := l.v.Open(seat)
	aside, held := tile.Joker, false
	if open == 0 && g.rack.Size() == card.HandTiles { // to discard first: its worth is that of the rest
		g.weigh()
		if aside, _, held = g.scales.Least(&l.floor[seat]); held {
			g.rack[aside]--
		}
	}
	g.run()
	refused := l.refused(seat)
	for tries := 0; tries < growthTries && !g.fits(waits, refused); tries++ {
		g.shake()
		g.run()
	}
	if held {
		g.rack[aside]++
	}
	l.racks[seat] = g.rack
	g.weigh()
	l.spare[seat] = g.scales.Spare(&l.floor[seat], growthSpare)
}

// fits says whether a rack that has grown waits or does not, as it is to, and not for a tile that its seat has let go.
func (g *grower) fits(waits bool, refused uint64) bool {
	return g.scales.Completes(&g.rack, anyTile) == waits && (refused == 0 || !waits || !g.scales.Completes(&g.rack, refused))
}

// shun works out how much seldomer a tile of a kind that the seat has is given to another than one of other kinds.
func (l *growing) shun() {
	l.own, l.often = naturals(l.v.Rack()), 1
	share, ok := l.b.share(l.v.WallLeft())
	elsewhere := 0
	for other := range charleston.Seat(charleston.Seats) {
		if other != l.v.Seat() {
			elsewhere += l.v.Hidden(other)
		}
	}
	if ok && share > 0 && l.v.WallLeft() > 0 {
		odds := (1 - share) / share * float64(l.v.WallLeft()) / float64(max(elsewhere, 1))
		l.often = min(1, odds*odds) // squared: racks that grow seek such tiles all the same
	}
}

// takes says by lot whether another seat takes a tile that is offered to it.
func (l *growing) takes(k tile.Kind) bool { return l.own[k] == 0 || l.rng.Float64() < l.often }

// refused is the kinds, one bit each, that have been thrown since a seat had its tiles together and that it let go, its own
// among them: it does not wait for one of them. It has them together since its last turn at least; that it had them at the
// turn before is likely each time, since hands that wait do so for long, or they would have won.
func (l *growing) refused(seat charleston.Seat) (kinds uint64) {
	n := l.v.Discards()
	if _, waits := l.v.Claimable(); waits {
		n-- // nobody has let that go yet
	}
	for i := n - 1; i >= 0; i-- {
		d := l.v.Discard(i)
		if d.Seat == seat && l.rng.Float64() > growthWaits {
			break
		}
		if !d.Claimed && d.Tile != tile.Joker {
			kinds |= 1 << d.Tile
		}
	}
	return kinds
}

// grower is a rack on its way to a worth.
type grower struct {
	l      *growing
	seat   charleston.Seat
	target float64 // logarithm of a worth
	scales player.Scales
	// all is what is concealed somewhere or in the wall.
	all  tile.Rack
	pool []place
	rack tile.Rack
}

const (
	// growthSteps bounds how often a rack may exchange a tile to reach its worth.
	growthSteps = 600
	// growthStall is how many exchanges in a row may bring nothing before the rack is shaken: growthShaken of its tiles change
	// places with others.
	growthStall, growthShaken = 20, 6
	// growthWaits is how likely a hand that waits has waited a turn before. Set by how many of the discards of all seats
	// win in layouts and in truth.
	growthWaits = 0.8
	// growthOffers bounds how many tiles in a row are not taken.
	growthOffers = 8
	// growthTries is how often a rack that waits for what its seat has let go is sought anew.
	growthTries = 4
	// growthSpare is the part of its worth that a rack which has grown may lose by a tile that another may have.
	growthSpare = 0.1
)

// weigh is the logarithm of the worth of the rack.
func (g *grower) weigh() float64 {
	unseen := g.all.Minus(g.rack)
	return math.Log(g.scales.Weigh(&g.rack, &unseen))
}

func (g *grower) run() {
	worth := g.weigh()
	best, bestWorth, stalled := g.rack, worth, 0
	for step := 0; step < growthSteps && worth != g.target; step++ {
		before, at := g.rack, g.offered()
		var next float64
		var gone tile.Kind
		var ok bool
		if worth < g.target {
			gone, next, ok = g.better(at)
		} else {
			gone, next, ok = g.any(at)
		}
		if !ok {
			break
		}
		crossed := (next >= g.target) != (worth >= g.target)
		if crossed && math.Abs(next-g.target) > math.Abs(worth-g.target) {
			g.rack = before
			break
		}
		if next > worth || worth >= g.target {
			stalled = 0
		} else {
			stalled++
		}
		g.l.put(&g.pool[at], gone)
		if worth = next; crossed {
			break
		}
		if worth > bestWorth && worth < g.target {
			best, bestWorth = g.rack, worth
		}
		if stalled >= growthStall {
			stalled = 0
			if next, ok := g.best(worth); ok {
				worth = next
				if worth > bestWorth && worth < g.target {
					best, bestWorth = g.rack, worth
				}
				if worth >= g.target {
					break
				}
				continue
			}
			worth = g.shake()
		}
	}
	if worth < bestWorth && bestWorth < g.target {
		g.take(best)
	}
}

// offered is a random place of the pool.
func (g *grower) offered() int {
	for range growthOffers {
		if at := g.l.rng.IntN(len(g.pool)); g.l.takes(g.pool[at].tile) {
			return at
		}
	}
	return g.l.rng.IntN(len(g.pool))
}

// better exchanges the one of the rack that is missed least for a tile of the pool, and says what the rack is worth then.
func (g *grower) better(at int) (gone tile.Kind, worth float64, ok bool) {
	came := g.pool[at].tile
	g.rack[came]++
	g.weigh()
	gone, left, ok := g.scales.Least(&g.l.floor[g.seat])
	if !ok {
		g.rack[came]--
		return came, 0, false
	}
	g.rack[gone]--
	if worth = math.Log(left); worth >= g.target { // what is left was an estimate; where it matters it is weighed
		worth = g.weigh()
	}
	return gone, worth, true
}

// best exchanges the tile of the rack that is missed least for the one of the pool that then is worth most, if that gains.
func (g *grower) best(worth float64) (float64, bool) {
	var tried [tile.Kinds]bool
	from, came, gone, most := g.rack, -1, tile.Joker, worth
	for at := range g.pool {
		k := g.pool[at].tile
		if tried[k] {
			continue
		}
		tried[k] = true
		out, next, ok := g.better(at)
		g.rack = from
		if ok && out != k && next > most {
			came, gone, most = at, out, next
		}
	}
	if came < 0 {
		return worth, false
	}
	g.rack[g.pool[came].tile]++
	g.rack[gone]--
	g.l.put(&g.pool[came], gone)
	return most, true
}

// any exchanges any natural of the rack for a tile of the pool.
func (g *grower) any(at int) (gone tile.Kind, worth float64, ok bool) {
	if gone, ok = g.swap(at); ok {
		worth = g.weigh()
	}
	return gone, worth, ok
}

// swap takes a random natural out of the rack, of those not known to lie there, for a tile of the pool.
func (g *grower) swap(at int) (gone tile.Kind, ok bool) {
	free := g.rack.Minus(g.l.floor[g.seat])
	free[tile.Joker] = 0
	n := free.Size()
	if n == 0 {
		return 0, false
	}
	gone = free.Tiles()[g.l.rng.IntN(n)]
	g.rack[gone]--
	g.rack[g.pool[at].tile]++
	return gone, true
}

// shake exchanges some tiles at random.
func (g *grower) shake() (worth float64) {
	for range growthShaken {
		at := g.l.rng.IntN(len(g.pool))
		if gone, ok := g.swap(at); ok {
			g.l.put(&g.pool[at], gone)
		}
	}
	return g.weigh()
}

// take goes back to a rack that was met before; its tiles are in the rack and the pool.
func (g *grower) take(rack tile.Rack) {
	for k := range tile.Joker {
		for g.rack[k] < rack[k] {
			at := 0
			for g.pool[at].tile != k {
				at++
			}
			over := tile.Kind(0)
			for g.rack[over] <= rack[over] {
				over++
			}
			g.rack[k]++
			g.rack[over]--
			g.l.put(&g.pool[at], over)
		}
	}
}
