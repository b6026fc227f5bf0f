package player

import (
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Scales weigh what one seat may conceal beside what it has laid open, as a strong player there would. They use the
// player's working memory, and are good until it is asked for something else.
type Scales struct {
	s    *Strong
	held holding
	wall int
	// chances is for the tiles weighed last.
	chances chances
}

// Scales are those of a seat. Its open groups and the wall are taken from v, which any seat may look through.
func (s *Strong) Scales(v table.View, seat charleston.Seat) Scales {
	c := Scales{s: s, wall: v.WallLeft()}
	groups, n := v.Open(seat)
	for _, g := range groups[:n] {
		c.held.opened[g.Tile] += g.Size
	}
	if n > 0 {
		c.held.open, c.held.variants = true, v.Variants(seat)
	}
	return c
}

// Weigh is the worth of concealed tiles, at least [LeastWorth], where the seat does not see the tiles `unseen`.
func (c *Scales) Weigh(rack, unseen *tile.Rack) float64 {
	c.held.rack = *rack
	c.chances = c.s.kit.odds.at(unseen, c.wall)
	c.s.hopes.weigh(&c.held, &c.chances)
	return max(c.s.hopes.total, LeastWorth)
}

// Completes says whether one of some kinds, one bit each, completes a hand with concealed tiles.
func (c *Scales) Completes(rack *tile.Rack, kinds uint64) bool {
	c.held.rack = *rack
	waits := stance{}
	c.s.hopes.shortlist(&c.held)
	for _, at := range c.s.hopes.list {
		waits.wins |= c.held.winning(&c.s.kit.book.lines[at])
	}
	return waits.wins&kinds != 0
}

// Spare is one of each natural, of those of which more are held than floor says, without which the tiles weighed last would
// be worth as much but for a part `share`.
func (c *Scales) Spare(floor *tile.Rack, share float64) (spare tile.Rack) {
	h := c.s.hopes
	h.lose(&c.chances)
	for k := range tile.Joker {
		if c.held.rack[k] > floor[k] && h.loss[k] <= share*h.total {
			spare[k] = 1
		}
	}
	return spare
}

// Least is the natural whose loss costs the tiles weighed last least, among those of which more are held than floor says,
// and what would be left of their worth. ok is false where there is none.
func (c *Scales) Least(floor *tile.Rack) (least tile.Kind, left float64, ok bool) {
	h := c.s.hopes
	h.lose(&c.chances)
	for k := range tile.Joker {
		if c.held.rack[k] > floor[k] && (!ok || h.loss[k] < h.loss[least]) {
			least, ok = k, true
		}
	}
	return least, max(h.total-h.loss[least], LeastWorth), ok
}
