package player

import (
	"math"

	"secondpass/rules/card"
	"secondpass/rules/tile"
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
	// maxNeed and maxLive bound the tables: tiles missing of a kind, one more than a hand has, and copies
	// unseen.
	maxNeed = card.HandTiles + 1
	maxLive = 24
	// perNeed and perRate are how far entries of a table for one tile more missing and for the next rate lie
	// apart.
	perNeed = maxLive + 1
	perRate = (maxNeed + 1) * perNeed
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
// let go what they draw. Method: our own, judged by self-play.
type Odds struct {
	params Params
	// tables are by q and unseen jokers.
	tables [horizons][liveJokers]odds
	// last[q][live] is the chance of the one tile that completes the hand: it can be claimed
	// whatever it is for. noJoker[q][jokers] is that no joker comes.
	last    [horizons][maxLive + 1]float32
	noJoker [horizons][liveJokers]float32
}

// odds are chances at rate*perRate + need*perNeed + live: that so many of a kind come where so many are unseen.
type odds struct {
	come [int(rates) * perRate]float32
	// less is by what factor the chance falls when one tile more is missing.
	less [int(rates) * perRate]float32
}

// chances are the odds at one moment: by the wall, the jokers unseen, and the unseen copies of each kind.
type chances struct {
	*odds
	last    *[maxLive + 1]float32
	noJoker float32
	live    tile.Rack
}

// at gives the odds for what a seat does not see and the tiles left in the wall.
func (o *Odds) at(unseen *tile.Rack, wall int) chances {
	q := o.params.Horizon * float64(wall) / 4 / float64(max(unseen.Size(), 1))
	step := min(horizons-1, max(1, int(float64(q/maxChance*(horizons-1))+0.5)))
	jokers := min(int(unseen[tile.Joker]), liveJokers-1)
	return chances{odds: &o.tables[step][jokers], last: &o.last[step], noJoker: o.noJoker[step][jokers], live: *unseen}
}

// finish is the chance that the last tile comes; for a group a joker may do.
func (z *chances) finish(s slot, r rate) float32 {
	p := z.last[z.live[s.kind()]]
	if s&slotGrouped != 0 && (r == drawnOrJoker || r == claimedOrJoker) {
		p = 1 - float32((1-p)*z.noJoker)
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
			o.last[h][live] = single(1 - math.Pow((1-q)*(1-claim), float64(live)))
			for jokers := range liveJokers {
				o.noJoker[h][jokers] = single(math.Pow(1-float64(q*p.JokerShare), float64(jokers)))
				o.tables[h][jokers].fill(live, jokers, q, claim, p.JokerShare)
			}
		}
	}
	return o
}

// single is a chance in single precision. Powers differ in the last of their digits from processor to processor; these are taken off
// first, or now and then the number beside it would come out.
func single(chance float64) float32 { return float32(settled(chance)) }

// settled is a number without the digits in which processors differ.
func settled(x float64) float64 { return math.Round(x*1e12) / 1e12 }

// fill tables the chances for so many unseen copies.
func (o *odds) fill(live, jokers int, q, claim, jokerShare float64) {
	bare := arrivals(live, q, 0, 0)
	helped := arrivals(live, q, jokers, q*jokerShare)
	for need := range maxNeed + 1 {
		at := need*perNeed + live
		o.come[int(drawn)*perRate+at] = single(bare.atLeast(need))
		o.come[int(drawnOrJoker)*perRate+at] = single(helped.atLeast(need))
		o.come[int(claimed)*perRate+at] = single(bare.withClaim(need, live, claim))
		o.come[int(claimedOrJoker)*perRate+at] = single(helped.withClaim(need, live, claim))
	}
	for r := range rates {
		for need := range maxNeed {
			at := int(r)*perRate + need*perNeed + live
			if now := o.come[at]; now > 0 {
				o.less[at] = o.come[at+perNeed] / now
			}
		}
	}
}

// counts is the distribution of the number of tiles that come, cut off at maxNeed.
type counts [maxNeed + 1]float64

// arrivals adds a binomial number of naturals and one of jokers.
func arrivals(live int, q float64, jokers int, j float64) counts {
	c := counts{1}
	added := 0
	add := func(p float64) {
		added++
		for n := min(added, maxNeed); n > 0; n-- {
			if n == maxNeed {
				c[n] += float64(c[n-1] * p) // the last entry stands for so many or more
				continue
			}
			c[n] = float64(c[n]*(1-p)) + float64(c[n-1]*p)
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
		p += float64(c[n-1] * (1 - math.Pow(1-claim, float64(left))))
	}
	return p
}
