package sim

import (
	"context"
	"fmt"
	"math"

	"secondpass/engine/player"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// tilt is what is added to the worths that racks of a layout grow to, at each of tiltWalls. A rack that has grown to a worth does not
// win as often as a player's rack of that worth: it seeks good tiles wherever they lie, so that the wall is left poorer, and it waits for its last tile
// more often. How much that makes depends on the card.
type tilt [len(tiltWalls)]float64

// tiltWalls are the walls at which it is set: the beginning of the play, and two later stages. Between them it goes in a straight line.
var tiltWalls = [...]int{99, 60, 40}

const (
	// tiltRound is the games of the first of the two rounds, tiltRounds those of both, for each game from which worths are taken: some
	// seconds of work in all.
	tiltRound, tiltRounds = 0.75, 3
	// tiltPlayouts is the games played on at each wall, predicted, and truly where not all seats count.
	tiltPlayouts = charleston.Seats
	// tiltSlope is about how much the chance of a seat falls for 1 more in the logarithm of the worth of the other three.
	tiltSlope = 0.06
	// tiltMost is how far it may go.
	tiltMost = 1.0
)

// at is the tilt at a wall.
func (l *tilt) at(wall int) float64 {
	if wall >= tiltWalls[0] {
		return l[0]
	}
	for i := 1; i < len(tiltWalls); i++ {
		if low, high := tiltWalls[i], tiltWalls[i-1]; wall >= low {
			part := float64(wall-low) / float64(high-low)
			return l[i] + float64(part*(l[i-1]-l[i]))
		}
	}
	return l[len(l)-1]
}

// tilting is what the rounds count at each wall: positions looked at, and the games won of those played on from layouts and truly.
type tilting [len(tiltWalls)]struct{ Positions, Predicted, Truly int }

// Merge adds the games that follow.
func (l *tilting) Merge(next *tilting) {
	for i := range l {
		l[i].Positions += next[i].Positions
		l[i].Predicted += next[i].Predicted
		l[i].Truly += next[i].Truly
	}
}

// setTilt sets the tilt such that seats are predicted to win as often as they do in self-play, in two rounds: the second begins with what the
// first has found. others is nil for four alike; then the chances of all seats, each by its own layouts, are added up, and the true sum is
// whether anybody won.
func (b *Beliefs) setTilt(ctx context.Context, g *table.Game, kit *player.StrongKit, others func() player.Player, seed uint64, games int) error {
	from := 0
	var sum, weight tilt
	for _, to := range [...]int{int(tiltRound * float64(games)), tiltRounds * games} {
		total := &tilting{}
		played, err := runShards(ctx, ShardGames/4, from, to, total, func() func(Shard) (*tilting, error) {
			w := b.tilter(g, kit, others)
			return func(s Shard) (*tilting, error) {
				part := &tilting{}
				for n := s.First; n < s.First+s.Count; n++ {
					if err := w.play(part, seed, uint64(n)); err != nil {
						return nil, err
					}
				}
				return part, nil
			}
		}, nil)
		if err != nil {
			return err
		}
		if played < to {
			return fmt.Errorf("what the others may hold was not worked out: stopped after %d of %d games of the last step: %w", played, tiltRounds*games, context.Cause(ctx))
		}
		for i, c := range total {
			n := float64(c.Positions)
			off := float64(c.Predicted-c.Truly) / (tiltPlayouts * max(n, 1))
			sum[i] += n * (b.tilt[i] + off/tiltSlope)
			weight[i] += n
		}
		for i := range b.tilt {
			if weight[i] > 0 {
				b.tilt[i] = math.Round(100*min(max(sum[i]/weight[i], -tiltMost), tiltMost)) / 100
			}
		}
		from = to
	}
	return nil
}

// tilter is one worker's means to play games for the tilt.
type tilter struct {
	ahead  *Ahead
	own    player.Player
	others [charleston.Seats - 1]player.Player
	alike  bool
}

func (b *Beliefs) tilter(g *table.Game, kit *player.StrongKit, others func() player.Player) *tilter {
	w := &tilter{own: kit.New(), alike: others == nil,
		ahead: &Ahead{l: &Lookahead{Game: g, Judge: kit, Beliefs: b}, judge: kit.New(), tables: Tables{Game: g}}}
	for i := range w.others {
		w.others[i] = seated(kit, others)
	}
	return w
}

// play plays game n of the seed, and from each of the walls some on.
func (w *tilter) play(part *tilting, seed, n uint64) error {
	t := &w.ahead.tables
	own := charleston.Seat(n % charleston.Seats)
	t.seat(w.own, &w.others, own)
	passing, state, ok, err := t.passed(Stream(seed, n, "tilt deal"), Stream(seed, n, "tilt lots"))
	if !ok || err != nil {
		return err
	}
	look := &tiltLook{w: w, own: own, seed: seed, n: n}
	var o Outcome
	reached := 0
	for ; reached < len(tiltWalls); reached++ {
		for reached > 0 && state.Phase() != table.Over && (state.Phase() != table.Discarding || state.View(state.Turn()).WallLeft() > tiltWalls[reached]) {
			if err := t.step(&state, &o); err != nil {
				return err
			}
		}
		if state.Phase() == table.Over {
			break
		}
		if err := look.on(&part[reached], &passing, &state, reached); err != nil {
			return err
		}
	}
	if err := t.Finish(&state, &o); err != nil {
		return err
	}
	won := boolInt(o.Result.Ending.Won() && (w.alike || o.Result.Winner == own))
	for i := range reached {
		part[i].Truly += won
	}
	return nil
}

// tiltLook is a game that is looked at.
type tiltLook struct {
	w       *tilter
	own     charleston.Seat
	seed, n uint64
}

// on plays on from the state at a wall, and counts what the end of the game itself does not tell.
func (k *tiltLook) on(c *struct{ Positions, Predicted, Truly int }, passing *charleston.State, state *table.State, at int) error {
	c.Positions++
	for i := range uint64(tiltPlayouts) {
		seat := k.own
		if k.w.alike {
			seat = charleston.Seat(i)
		}
		g := (k.n*tiltPlayouts+i)*uint64(len(tiltWalls)) + uint64(at)
		r, err := k.predicted(passing, state, seat, at, g)
		if err != nil {
			return err
		}
		c.Predicted += boolInt(r.Ending.Won() && r.Winner == seat)
		if k.w.alike || i == 0 {
			continue
		}
		if r, err = k.truly(state, g); err != nil {
			return err
		}
		c.Truly += boolInt(r.Ending.Won() && r.Winner == seat)
	}
	return nil
}

// predicted plays on with what the seat does not see laid out.
func (k *tiltLook) predicted(passing *charleston.State, state *table.State, seat charleston.Seat, at int, g uint64) (table.Result, error) {
	if at == 0 {
		v := passing.View(seat)
		return k.w.ahead.Out(&v, k.seed, g)
	}
	s := *state
	if err := k.w.ahead.refill(&s, seat, Stream(k.seed, g, "unseen")); err != nil {
		return table.Result{}, err
	}
	return k.finish(&s, g)
}

// truly plays on with the wall shuffled.
func (k *tiltLook) truly(state *table.State, g uint64) (table.Result, error) {
	s := *state
	var racks [charleston.Seats]tile.Rack
	for seat := range charleston.Seat(charleston.Seats) {
		racks[seat] = s.View(seat).Rack()
	}
	wall := s.Wall()
	Stream(k.seed, g, "wall").Shuffle(len(wall), func(i, j int) { wall[i], wall[j] = wall[j], wall[i] })
	if err := s.Redeal(k.own, &racks, wall); err != nil {
		return table.Result{}, err
	}
	return k.finish(&s, g)
}

func (k *tiltLook) finish(s *table.State, g uint64) (table.Result, error) {
	lots := Stream(k.seed, g, "lots")
	for _, p := range k.w.ahead.tables.Players {
		p.Begin(lots)
	}
	var o Outcome
	err := k.w.ahead.tables.Finish(s, &o)
	return o.Result, err
}
