package sim

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Dealt is one seat of one game after the passes: what its rack was worth to a strong player, and
// whether it won.
type Dealt struct {
	Worth float64
	Won   bool
	// Second says that the second Charleston was held.
	Second bool
}

// dealts is a list of them as a Result: in the order of the games.
type dealts struct{ List []Dealt }

// Merge adds the games that follow.
func (d *dealts) Merge(next *dealts) { d.List = append(d.List, next.List...) }

// Worths plays games of four strong players of a kit and lists their seats, four a game, in the order of
// the games. Games that East wins with the tiles dealt are left out. A stopped run keeps the games it has.
func Worths(ctx context.Context, g *table.Game, kit *player.StrongKit, seed uint64, games int) ([]Dealt, error) {
	dealt, _, err := worths(ctx, g, kit, nil, seed, games)
	return dealt, err
}

// worths is Worths where others, if it is not nil, makes the players of three seats; then only the fourth is listed, a
// strong player that sits in each seat in turn.
func worths(ctx context.Context, g *table.Game, kit *player.StrongKit, others func() player.Player, seed uint64, games int) ([]Dealt, int, error) {
	total := &dealts{}
	played, err := Run(ctx, 0, games, total, func() func(Shard) (*dealts, error) {
		w := dealer{judge: kit.New(), tables: Tables{Game: g}, own: kit.New(), alike: others == nil}
		for i := range w.others {
			if w.alike {
				w.others[i] = kit.New()
			} else {
				w.others[i] = others()
			}
		}
		return func(s Shard) (*dealts, error) {
			part := &dealts{}
			for n := s.First; n < s.First+s.Count; n++ {
				if err := w.play(part, seed, uint64(n)); err != nil {
					return nil, err
				}
			}
			return part, nil
		}
	}, nil)
	return total.List, played, err
}

// dealer is one worker's means to play games with a look at the racks after the passes.
type dealer struct {
	tables Tables
	judge  *player.Strong
	own    player.Player
	others [charleston.Seats - 1]player.Player
	alike  bool
}

// seat puts the player of the kit in a seat of a game.
func (t *Tables) seat(own player.Player, others *[charleston.Seats - 1]player.Player, at charleston.Seat) {
	for i, p := range others {
		t.Players[(int(at)+1+i)%charleston.Seats] = p
	}
	t.Players[at] = own
}

// play plays one game.
func (d *dealer) play(into *dealts, seed, n uint64) error {
	own := charleston.Seat(n % charleston.Seats)
	d.tables.seat(d.own, &d.others, own)
	passing, state, ok, err := d.tables.passed(Stream(seed, n, "deal"), Stream(seed, n, "lots"))
	if !ok || err != nil {
		return err
	}
	var worths [charleston.Seats]float64
	for seat := range charleston.Seat(charleston.Seats) {
		if d.alike || seat == own {
			worths[seat] = d.judge.Worth(passing.Rack(seat))
		}
	}
	view := passing.View(own)
	second := view.Second()
	var o Outcome
	if err := d.tables.Finish(&state, &o); err != nil {
		return err
	}
	for seat, worth := range worths {
		if d.alike || seat == int(own) {
			into.List = append(into.List, Dealt{worth, o.Ending.Won() && int(o.Winner) == seat, second})
		}
	}
	return nil
}

// Calibrated is a fitted calibration and how much it tells.
type Calibrated struct {
	player.Calibration
	// N is the number of seats, SEA and SEB are the standard errors of A and B as if seats were independent.
	N        int
	SEA, SEB float64
	// R is the correlation of the fitted chance with winning, AUC the share of pairs of a winner and a loser in
	// which the winner's rack was worth more.
	R, AUC float64
	// Tenths are the seats by rising worth in ten equal parts: the mean fitted chance and the share that won.
	Tenths [10]struct{ Chance, Won float64 }
}

// Calibrate fits the chance to win by the logarithm of the worth: logistic regression by maximum likelihood
// (Newton's method; D. R. Cox, J. R. Statist. Soc. B 20 (1958) 215-242). It needs winners and losers of different
// worths.
func Calibrate(seats []Dealt) (Calibrated, error) {
	c := Calibrated{N: len(seats)}
	var h00, h01, h11 float64
	for range 50 {
		var g0, g1 float64
		h00, h01, h11 = 0, 0, 0
		for _, s := range seats {
			x, y := math.Log(max(s.Worth, player.LeastWorth)), 0.0
			if s.Won {
				y = 1
			}
			p := 1 / (1 + math.Exp(-(c.A + float64(c.B*x))))
			w := float64(p * (1 - p))
			g0, g1 = g0+y-p, g1+float64((y-p)*x)
			h00, h01, h11 = h00+w, h01+float64(w*x), h11+float64(w*x*x)
		}
		det := float64(h00*h11) - float64(h01*h01)
		stepA, stepB := (float64(h11*g0)-float64(h01*g1))/det, (float64(h00*g1)-float64(h01*g0))/det
		c.A, c.B = c.A+stepA, c.B+stepB
		if !(math.Abs(c.A)+math.Abs(c.B) < 1e3) {
			break
		}
		if math.Abs(stepA)+math.Abs(stepB) < 1e-10 {
			c.A, c.B = rounded(c.A), rounded(c.B)
			c.SEA, c.SEB = math.Sqrt(h11/det), math.Sqrt(h00/det)
			c.judge(seats)
			return c, nil
		}
	}
	return c, fmt.Errorf("%d seats do not fit a calibration: winners and losers of different worths are needed", len(seats))
}

// judge measures how much the fit tells.
func (c *Calibrated) judge(seats []Dealt) {
	sorted := slices.Clone(seats)
	slices.SortStableFunc(sorted, func(a, b Dealt) int { return cmp.Compare(a.Worth, b.Worth) })
	n := len(sorted)
	var sumP, sumPP, sumY, sumPY float64
	var winners, losers []float64
	for i, d := range sorted {
		p, y := c.Chance(d.Worth), float64(boolInt(d.Won))
		if d.Won {
			winners = append(winners, d.Worth)
		} else {
			losers = append(losers, d.Worth)
		}
		sumP, sumPP, sumY, sumPY = sumP+p, sumPP+float64(p*p), sumY+y, sumPY+float64(p*y)
		tenth := &c.Tenths[i*10/n]
		tenth.Chance += p
		tenth.Won += y
	}
	for t := range c.Tenths {
		size := float64(((t+1)*n+9)/10 - (t*n+9)/10)
		if size > 0 {
			c.Tenths[t].Chance /= size
			c.Tenths[t].Won /= size
		}
	}
	total := float64(n)
	c.R = (sumPY/total - sumP/total*sumY/total) /
		math.Sqrt((sumPP/total-sumP/total*sumP/total)*(sumY/total-sumY/total*sumY/total))
	c.AUC = stat.AUC(winners, losers)
}
