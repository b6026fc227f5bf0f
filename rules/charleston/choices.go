package charleston

import "secondpass/rules/tile"

// Choices are the actions that [View.Legal] lists, in its order, without the list.
type Choices struct {
	view *View
	// ways are the parcels of the rack, by their number of own tiles from the first to the last.
	ways        ways
	first, last int
}

// Choices are what the seat may do, where the passing waits for it.
func (v *View) Choices() Choices {
	c := Choices{view: v}
	switch v.Phase {
	case Passing:
		c.first, c.last = PassTiles, PassTiles
		if v.Rules.Blind && v.Step.BlindAllowed() {
			c.last = 0
		}
		c.ways = waysOf(&v.Rack)
	case Giving:
		c.first, c.last = v.Exchange, v.Exchange
		c.ways = waysOf(&v.Rack)
	}
	return c
}

// Len is how many there are.
func (c *Choices) Len() int {
	switch c.view.Phase {
	case Voting:
		return 2
	case Naming:
		return PassTiles + 1
	case Passing, Giving:
		n := 0
		for own := c.first; own >= c.last; own-- {
			n += c.ways[0][own]
		}
		return n
	}
	return 0
}

// At is number i, from 0 to below Len.
func (c *Choices) At(i int) Action {
	a := Action{Seat: c.view.Seat, Kind: due[c.view.Phase].kind}
	switch c.view.Phase {
	case Voting:
		a.Stop = i == 1
	case Naming:
		a.Count = i
	case Passing, Giving:
		own := c.first
		for ; i >= c.ways[0][own]; own-- {
			i -= c.ways[0][own]
		}
		a.Own, a.Count = c.ways.parcel(&c.view.Rack, own, i), c.first-own
	}
	return a
}

// ways are how many parcels of n naturals a rack can give of the kinds from k on.
type ways [tile.Joker + 1][PassTiles + 1]int

func waysOf(rack *tile.Rack) ways {
	var w ways
	w[tile.Joker][0] = 1
	for k := int(tile.Joker) - 1; k >= 0; k-- {
		for n := range w[k] {
			for copies := 0; copies <= min(n, int(rack[k])); copies++ {
				w[k][n] += w[k+1][n-copies]
			}
		}
	}
	return w
}

// parcel is number i of the parcels of n, in rising order: those with more of the lowest kind come first.
func (w *ways) parcel(rack *tile.Rack, n, i int) Parcel {
	var p Parcel
	for k := tile.Kind(0); n > 0; k++ {
		copies := min(n, int(rack[k]))
		for ; i >= w[k+1][n-copies]; copies-- {
			i -= w[k+1][n-copies]
		}
		for range copies {
			p.tiles[p.n] = k
			p.n++
		}
		n -= copies
	}
	return p
}
