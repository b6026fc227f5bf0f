package player

import (
	"math"

	"secondpass/tile"
)

// rate is how the missing tiles of a part of a hand can come.
type rate uint8

const (
	// drawn: from the wall only.
	drawn rate = iota
	// drawnOrJoker: from the wall, a joker standing in where one comes.
	drawnOrJoker
	// claimed: from the wall, the last one also by a claim.
	claimed
	// claimedOrJoker: from the wall, as a joker, the last one also by a claim.
	claimedOrJoker
	rates
)

const (
	// maxNeed and maxLive bound the tables: tiles missing of a kind, copies unseen.
	maxNeed = 6
	maxLive = 24
	// horizons is the number of steps in which the chance of one copy to come is told.
	horizons = 48
	// maxChance is the chance of one copy to come at the last step.
	maxChance = 0.12
	// liveJokers is one more than the most unseen jokers told apart.
	liveJokers = 11
)

// Odds are the chances that missing tiles come in time, tabled for a whole game.
//
// One unseen copy reaches the seat by its own draws with chance q = horizon x (wall / 4) / unseen:
// the seat draws a quarter of the wall, but a hand is worth something only if it comes
// before the others win, so that the horizon is a fraction. Copies come independently (binomial);
// of a group the last tile can also be claimed, which triples the chances at the rate at which others
// let go what they draw. Method: our own, after a prototype that judged by self-play.
type Odds struct {
	params Params
	// table[q][jokers][rate][need][live]
	table [horizons][liveJokers][rates][maxNeed + 1][maxLive + 1]float32
	// last[q][live] is the chance of the one tile that completes the hand: it can be claimed
	// whatever it is for. noJoker[q][jokers] is that no joker comes.
	last    [horizons][maxLive + 1]float32
	noJoker [horizons][liveJokers]float32
}

// chances are the odds at one moment: by the wall, the jokers unseen, and the unseen copies of each kind.
type chances struct {
	table   *[rates][maxNeed + 1][maxLive + 1]float32
	last    *[maxLive + 1]float32
	noJoker float32
	live    tile.Rack
}

// at gives the odds for what a seat does not see and the tiles left in the wall.
func (o *Odds) at(unseen *tile.Rack, wall int) chances {
	q := o.params.Horizon * float64(wall) / 4 / float64(max(unseen.Size(), 1))
	step := min(horizons-1, max(1, int(q/maxChance*(horizons-1)+0.5)))
	jokers := min(int(unseen[tile.Joker]), liveJokers-1)
	return chances{table: &o.table[step][jokers], last: &o.last[step], noJoker: o.noJoker[step][jokers], live: *unseen}
}

// of is the chance that so many tiles of a kind come for singles and so many for a group.
func (z *chances) of(k tile.Kind, r rate, single, group uint8) float32 {
	live := z.live[k]
	if single == 0 {
		return z.table[r][min(group, maxNeed)][live]
	}
	p := z.table[drawn][min(single, maxNeed)][live]
	if group > 0 {
		p *= z.table[r][min(group, maxNeed)][live-min(live, single)]
	}
	return p
}

// finish is the chance that the last tile comes; for a group a joker may do.
func (z *chances) finish(k tile.Kind, r rate, forGroup bool) float32 {
	p := z.last[z.live[k]]
	if forGroup && (r == drawnOrJoker || r == claimedOrJoker) {
		p = 1 - (1-p)*z.noJoker
	}
	return p
}

// NewOdds tables the chances for some parameters. The table is read-only and shared.
func NewOdds(p Params) *Odds {
	o := &Odds{params: p}
	for h := range horizons {
		q := maxChance * float64(h) / (horizons - 1)
		claim := min(1, q*3*p.LetGo)
		for live := range maxLive + 1 {
			o.last[h][live] = float32(1 - math.Pow((1-q)*(1-claim), float64(live)))
			for jokers := range liveJokers {
				o.noJoker[h][jokers] = float32(math.Pow(1-q*p.JokerShare, float64(jokers)))
				for need := range maxNeed + 1 {
					o.fill(h, jokers, need, live, q, claim)
				}
			}
		}
	}
	return o
}

func (o *Odds) fill(h, jokers, need, live int, q, claim float64) {
	bare := arrivals(live, q, 0, 0)
	helped := arrivals(live, q, jokers, q*o.params.JokerShare)
	row := &o.table[h][jokers]
	row[drawn][need][live] = float32(bare.atLeast(need))
	row[drawnOrJoker][need][live] = float32(helped.atLeast(need))
	row[claimed][need][live] = float32(bare.withClaim(need, live, claim))
	row[claimedOrJoker][need][live] = float32(helped.withClaim(need, live, claim))
}

// counts is the distribution of the number of tiles that come, cut off at maxNeed.
type counts [maxNeed + 1]float64

// arrivals adds a binomial number of naturals and one of jokers.
func arrivals(live int, q float64, jokers int, j float64) counts {
	c := counts{1}
	add := func(p float64) {
		for n := maxNeed; n > 0; n-- {
			if n == maxNeed {
				c[n] += c[n-1] * p // the last entry stands for so many or more
				continue
			}
			c[n] = c[n]*(1-p) + c[n-1]*p
		}
		c[0] *= 1 - p
	}
	for range live {
		add(q)
	}
	for range jokers {
		add(j)
	}
	return c
}

func (c *counts) atLeast(n int) float64 {
	sum := 0.0
	for _, p := range c[n:] {
		sum += p
	}
	return sum
}

// withClaim is the chance that n come, or n-1 and the last one is claimed.
func (c *counts) withClaim(n, live int, claim float64) float64 {
	p := c.atLeast(n)
	if n > 0 {
		left := max(live-(n-1), 0)
		p += c[n-1] * (1 - math.Pow(1-claim, float64(left)))
	}
	return p
}
