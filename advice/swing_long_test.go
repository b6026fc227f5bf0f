package advice

import (
	"context"
	"flag"
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/internal/longrun"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

var (
	playDeals = flag.Int("playdeals", 16, "deals over which swings of the play are averaged, one decision of South at each")
	swingSeed = flag.Uint64("swingseed", 77, "seed of the deals of TestMeanSwing")
)

// TestMeanSwing deals real tables of four strong players and takes the swings of South, of all its decisions in the passing or of one in
// the play: the value that its next decision begins with less that of what it did, each by games of its own, which makes it noisy but
// not biased. Over many deals luck must average to nothing: in the passing by short games, in the play by whole ones, there also for what
// the others did and the tile drawn apart. It fails where the whole interval leaves what is asked for; in a short run where the mean is further from 0
// than four standard errors and that.
func TestMeanSwing(t *testing.T) {
	c := counsel(t, "strong")
	for _, part := range []struct {
		name  string
		deals int
		piece int     // deals that are kept together, see -progress
		limit float64 // percentage points
		full  int     // decisions for which that is asked
		ahead func(context.Context, charleston.Seat) (*sim.Lookahead, error)
		swing func(*swinger, uint64, swings) error
	}{
		{"passing", *deals, 2000, .15, 40000, c.inPassing, (*swinger).passing},
		{"play", *playDeals, 100, .5, 10000, c.inPlay, (*swinger).playing},
	} {
		if part.deals == 0 {
			continue
		}
		l, err := part.ahead(context.Background(), charleston.South)
		if err != nil {
			t.Fatal(err)
		}
		total := swings{}
		games := func(first, count int) (swings, error) {
			some := swings{}
			_, err := sim.Run(context.Background(), first, first+count, some, func() func(sim.Shard) (swings, error) {
				w := newSwinger(c, l)
				return func(s sim.Shard) (swings, error) {
					found := swings{}
					for g := s.First; g < s.First+s.Count; g++ {
						if err := part.swing(w, uint64(g), found); err != nil {
							return nil, err
						}
					}
					return found, nil
				}
			}, nil)
			return some, err
		}
		piece := min(part.piece, part.deals)
		of := fmt.Sprintf("swings, %d deals from seed %d, version %d, layouts %d", piece, *swingSeed, player.Version, layouts)
		if err := longrun.Each(*progress, part.name+" "+of, (part.deals+piece-1)/piece, func(i int) (swings, error) { return games(i*piece, piece) },
			func(_ int, some swings) error { total.Merge(some); return nil }); err != nil {
			t.Fatal(err)
		}
		if len(total) == 0 {
			t.Error("no swing was taken")
		}
		for _, of := range total.names() {
			m := total[of]
			mean, se := m.Mean()/1e4, m.SE()/1e4
			t.Logf("%s: %d decisions, mean swing %+.3f points (%+.3f to %+.3f)", of, m.N, mean, mean-1.96*se, mean+1.96*se)
			off := math.Abs(mean) - 4*se // a short run
			if m.Count() >= part.full {
				off = math.Abs(mean) + 1.96*se
			}
			if off > part.limit {
				t.Errorf("%s: mean swing %+.3f points, standard error %.3f; within %.2f is asked for", of, mean, se, part.limit)
			}
		}
	}
}

// swings adds up swings in millionths, by what they are of.
type swings map[string]*stat.IntMoments[unit.Count]

func (s swings) Merge(next swings) {
	for of, m := range next {
		s.of(of).Merge(*m)
	}
}

func (s swings) of(name string) *stat.IntMoments[unit.Count] {
	if s[name] == nil {
		s[name] = &stat.IntMoments[unit.Count]{}
	}
	return s[name]
}

func (s swings) names() []string { return slices.Sorted(maps.Keys(s)) }

// swinger measures swings on one core.
type swinger struct {
	c      *Counsel
	l      *sim.Lookahead
	ahead  *sim.Ahead
	own    *player.Strong
	tables sim.Tables
	// decision is what South does next in the play, pending says that it has not done it yet.
	decision table.Action
	pending  bool
}

func newSwinger(c *Counsel, l *sim.Lookahead) *swinger {
	w := &swinger{c: c, l: l, ahead: l.Worker(), own: c.Own.New(), tables: sim.Tables{Game: c.Game}}
	for seat := range w.tables.Players {
		w.tables.Players[seat] = l.Players[seat]()
	}
	return w
}

// passing deals table number g and takes the swing of each decision of South in its passing, each value by a game of its own.
func (w *swinger) passing(g uint64, part swings) error {
	racks, _ := table.Deal(tile.Usual, sim.Stream(*swingSeed, g, "deal"))
	s, err := charleston.Start(racks, house.Usual.Passing, tile.Usual)
	if err != nil {
		return err
	}
	lots := sim.Stream(*swingSeed, g, "lots")
	var of []string
	var values []int
	for s.Phase() != charleston.Over {
		if v := s.View(charleston.South); s.Waits(charleston.South) {
			value, err := w.ahead.Short(&v, sim.Decide(w.own, &v), uint64(1+len(values)), g)
			if err != nil {
				return err
			}
			values, of = append(values, int(value)), append(of, decisionName(&v))
		}
		if err := w.round(&s, lots); err != nil {
			return err
		}
	}
	v := s.View(charleston.South)
	values = append(values, int(math.Round(float64(sim.Sure)*w.l.Level.Chance(w.own, &v))))
	for i, name := range of {
		part.of(name).Add(values[i+1] - values[i])
	}
	return nil
}

// decisionName is what South decides.
func decisionName(v *charleston.View) string {
	of := v.Step.String()
	if v.Phase != charleston.Passing {
		of += ", " + map[charleston.Phase]string{charleston.Voting: "vote", charleston.Naming: "number", charleston.Giving: "tiles"}[v.Phase]
	}
	return of
}

// round lets every seat act once.
func (w *swinger) round(s *charleston.State, lots charleston.Lots) error {
	step, phase := s.Step(), s.Phase()
	for s.Step() == step && s.Phase() == phase && phase != charleston.Over {
		for seat := range charleston.Seat(charleston.Seats) {
			if !s.Waits(seat) {
				continue
			}
			v := s.View(seat)
			if err := s.Apply(sim.Decide(w.tables.Players[seat], &v), lots); err != nil {
				return err
			}
		}
	}
	return nil
}

const (
	// swingGames is how many whole games give each value of a swing in play.
	swingGames = 16
	// latest is the last own decision at which a swing is taken.
	latest = 14
)

// playing plays table number g and takes the swing of South at one own decision of it, with its parts.
func (w *swinger) playing(g uint64, part swings) error {
	racks, wall := table.Deal(tile.Usual, sim.Stream(*swingSeed, g, "deal"))
	if _, won := w.c.Game.DealtWin(racks[charleston.East]); won {
		return nil
	}
	passing, err := charleston.Start(racks, house.Usual.Passing, tile.Usual)
	if err != nil {
		return err
	}
	lots := sim.Stream(*swingSeed, g, "lots")
	for _, p := range w.tables.Players {
		p.Begin(lots)
	}
	for passing.Phase() != charleston.Over {
		if err := w.round(&passing, lots); err != nil {
			return err
		}
	}
	for seat := range racks {
		racks[seat] = passing.Rack(charleston.Seat(seat))
	}
	s, err := w.c.Game.Start(racks, wall)
	if err != nil {
		return err
	}
	w.pending = false
	for range g%latest + 1 {
		if err := w.goOn(&s); err != nil || s.Phase() == table.Over {
			return err
		}
	}
	taken, err := w.value(g, 1, func(seed, n uint64) (table.Result, error) { return w.ahead.Play(&s, w.decision, seed, n) })
	if err != nil {
		return err
	}
	if err := w.goOn(&s); err != nil {
		return err
	}
	after := 0
	switch {
	case s.Phase() != table.Over:
		if after, err = w.value(g, 2, func(seed, n uint64) (table.Result, error) { return w.ahead.Play(&s, w.decision, seed, n) }); err != nil {
			return err
		}
	case s.Result().Ending.Won() && s.Result().Winner == charleston.South:
		after = int(sim.Sure)
	}
	part.of("play").Add(after - taken)
	upTo := after
	if before, drew := s.Undrawn(); drew {
		if upTo, err = w.value(g, 3, func(seed, n uint64) (table.Result, error) { return w.ahead.Drawn(&before, seed, n) }); err != nil {
			return err
		}
		part.of("play, the tile drawn").Add(after - upTo)
	}
	part.of("play, the others").Add(upTo - taken)
	return nil
}

// goOn lets South do what is pending and all play on to its next decision of a ledger: a turn, or a discard that it claims.
func (w *swinger) goOn(s *table.State) error {
	for s.Phase() != table.Over {
		turn := s.Turn()
		if s.Phase() == table.Discarding {
			if turn == charleston.South && !w.pending {
				w.decision, w.pending = w.tables.Players[turn].Turn(s.View(turn)), true
				return nil
			}
			a := w.decision
			if turn != charleston.South {
				a = w.tables.Players[turn].Turn(s.View(turn))
			} else {
				w.pending = false
			}
			if err := s.Apply(a); err != nil {
				return err
			}
			continue
		}
		var claims [charleston.Seats]table.Claim
		if s.Waits(charleston.South) {
			v := s.View(charleston.South)
			if claims[charleston.South] = w.tables.Players[charleston.South].Claim(v); claims[charleston.South] != (table.Claim{}) && !w.pending {
				d, _ := v.Claimable()
				w.decision, w.pending = claims[charleston.South].By(charleston.South, d.Tile), true
				return nil
			}
			w.pending = false
		}
		for seat := range charleston.Seat(charleston.Seats) {
			if seat != charleston.South && s.Waits(seat) {
				claims[seat] = w.tables.Players[seat].Claim(s.View(seat))
			}
		}
		if err := s.Settle(claims); err != nil {
			return err
		}
	}
	return nil
}

// value is the mean of some whole games, in millionths.
func (w *swinger) value(g, seed uint64, play func(seed, n uint64) (table.Result, error)) (int, error) {
	sum := 0
	for n := range uint64(swingGames) {
		r, err := play(seed, swingGames*g+n)
		if err != nil {
			return 0, err
		}
		sum += int(sim.WholeOf(r, charleston.South).Result)
	}
	return sum / swingGames, nil
}
