package sim

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"secondpass/cardmaking/compose"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/stat"
	"secondpass/internal/goodness"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

var (
	positions = flag.Int("positions", 32, "positions a stage of TestPredictedIsTrue and TestDangerIsSeen")
	playouts  = flag.Int("playouts", 16, "games played on from each of them, predicted and true")
	stageSeed = flag.Uint64("stageseed", 31, "seed of TestPredictedIsTrue and TestDangerIsSeen")
	uniform   = flag.Bool("uniform", false, "in TestPredictedIsTrue and TestDangerIsSeen, lay out uniformly what a seat does not see")
	stageCard = flag.String("stagecard", "practice", "the card of TestPredictedIsTrue and TestDangerIsSeen: practice, clumsy or orderly")
	stageList = flag.String("stages", "", "the stages of TestPredictedIsTrue, as in 60,40; 100 is after the passing; all where none is named")
	cardSeed  = flag.Uint64("cardseed", 7, "the seed by which a clumsy or orderly card is drawn for them")
)

// stages are those that the flag names, or all.
func stages(t *testing.T) []int {
	if *stageList == "" {
		return []int{afterPassing, 99, 80, 60, 40}
	}
	var list []int
	for word := range strings.SplitSeq(*stageList, ",") {
		stage, err := strconv.Atoi(word)
		if err != nil {
			t.Fatalf("-stages %s: %v", *stageList, err)
		}
		list = append(list, stage)
	}
	return list
}

// afterPassing is the stage before the first turn, as [Ahead.Out] plays on from it; the others are walls, of which so many
// tiles or fewer are left at a seat's own turn.
const afterPassing = 100

func stageName(stage int) string {
	if stage == afterPassing {
		return "after the passing"
	}
	return fmt.Sprintf("wall %d or less", stage)
}

// staged is the means to look at positions of four strong players on the card that the flags name, with beliefs or without.
func staged(t *testing.T, beliefs bool) *Lookahead {
	t.Helper()
	c := card.Practice()
	if *stageCard != "practice" {
		c = characterCard(t, *cardSeed, compose.Character(*stageCard))
	}
	tuning, _ := player.TuningFor(c)
	kit := prepared.Of(c).Cast(tuning).Kit()
	l := &Lookahead{Game: table.NewGame(c, house.Usual), Judge: kit}
	for seat := range l.Players {
		l.Players[seat] = func() player.Player { return kit.New() }
	}
	if beliefs {
		var err error
		games := BeliefGames
		if *positions < 100 {
			games = 100 // a look at a few positions shows far larger errors than these leave
		}
		if l.Beliefs, err = Believe(context.Background(), l.Game, kit, nil, 1, games); err != nil {
			t.Fatal(err)
		}
	}
	return l
}

// TestPredictedIsTrue compares, at the first own turn of a seat at several stages of the play, its share of wins with
// what it does not see laid out, against that with the true racks and the wall shuffled, which is unbiased. One position
// a game, all seats in turn, four strong players. The chances that the four seats see there, each by its own layouts, and
// the share of games that nobody wins have to add up to 100 %.
func TestPredictedIsTrue(t *testing.T) {
	l := staged(t, !*uniform)
	for _, stage := range stages(t) {
		seen := &predictions{}
		if _, err := runShards(context.Background(), 8, 0, *positions, seen, func() func(Shard) (*predictions, error) {
			w := l.Worker()
			return func(s Shard) (*predictions, error) {
				part := &predictions{}
				for n := s.First; n < s.First+s.Count; n++ {
					if err := w.predict(part, uint64(n), stage); err != nil {
						return nil, err
					}
				}
				return part, nil
			}
		}, nil); err != nil {
			t.Fatal(err)
		}
		gap, half := seen.mean(func(p *prediction) float64 { return p.first/2 + p.second/2 - p.truly })
		sum, sumHalf := seen.mean(func(p *prediction) float64 { return p.sum })
		predicted, _ := seen.mean(func(p *prediction) float64 { return p.first/2 + p.second/2 })
		truly, _ := seen.mean(func(p *prediction) float64 { return p.truly })
		won, wonHalf := seen.mean(func(p *prediction) float64 { return p.first/2 + p.second/2 - float64(boolInt(p.won)) })
		t.Logf("%s: predicted %.1f, true %.1f %%, predicted less true %+.1f +- %.1f points over %d positions, less games won %+.1f +- %.1f; four seats and the wall %.1f +- %.1f %%",
			stageName(stage), 100*predicted, 100*truly, 100*gap, 100*half, len(seen.list), 100*won, 100*wonHalf, 100*sum, 100*sumHalf)
		// Uniform layouts are off by 15 to 29 points.
		if limit := 0.02 + 1.5*half; math.Abs(gap) > limit {
			t.Errorf("%s: predicted less true is %+.1f points, outside +-%.1f", stageName(stage), 100*gap, 100*limit)
		}
		if limit := 0.02 + 1.5*sumHalf; math.Abs(sum-1) > limit {
			t.Errorf("%s: four seats and the wall add up to %.1f %%, outside 100 +-%.1f", stageName(stage), 100*sum, 100*limit)
		}
		if stage != afterPassing {
			t.Logf("%s: of the tiles of kinds that the seat has and does not see %.1f %% lie in the wall, in layouts %.1f %%",
				stageName(stage), 100*seen.kin.part(), 100*seen.laid.part())
		}
		seen.tenths(t, stage)
	}
}

// prediction is one position: the share of wins predicted by each half of the games, the true one, whether one of the true
// games was won, and what the chances of the four seats, each by its own layouts, and the wall's share add up to.
type prediction struct {
	first, second, truly float64
	won                  bool
	sum                  float64
}

// predictions is what is seen at a stage. kin is where tiles of kinds that the seats have lay, laid where a layout of each position
// had them.
type predictions struct {
	list      []prediction
	kin, laid kinship
}

// Merge adds the positions that follow.
func (p *predictions) Merge(next *predictions) {
	p.list = append(p.list, next.list...)
	p.kin.add(next.kin)
	p.laid.add(next.laid)
}

// part is the part that lies in the wall.
func (k *kinship) part() float64 { return float64(k.Wall) / float64(max(k.Unseen, 1)) }

// mean is the mean of something and half the width of its 95 % interval.
func (p *predictions) mean(of func(*prediction) float64) (mean, half float64) {
	var m stat.Moments
	for i := range p.list {
		m.Add(of(&p.list[i]))
	}
	i := stat.MeanT[points](&m)
	return float64(i.Value), float64(i.High-i.Low) / 2
}

// points is the unit of what is measured here.
type points float64

// tenths compares by tenths of rising prediction. One half of the games puts the positions in order and the other half
// gives the figures, so that what is luck in the first does not count.
func (p *predictions) tenths(t *testing.T, stage int) {
	slices.SortStableFunc(p.list, func(a, b prediction) int { return cmp.Compare(a.first, b.first) })
	n := len(p.list)
	if n < 200 {
		return
	}
	var line string
	var groups []goodness.Predicted
	for tenth := range 10 {
		var g goodness.Predicted
		truly := 0.0
		part := p.list[tenth*n/10 : (tenth+1)*n/10]
		for _, q := range part {
			g.Count++
			g.Chances += q.second
			g.Seen += boolInt(q.won)
			truly += q.truly
		}
		line += fmt.Sprintf(" %.0f/%.0f", 100*g.Chances/float64(len(part)), 100*truly/float64(len(part)))
		groups = append(groups, g)
	}
	test, err := goodness.HosmerLemeshow(groups, 0)
	t.Logf("%s: tenths, predicted/true in %%:%s; Hosmer-Lemeshow %.1f, p %.3f (%v)", stageName(stage), line, test.Stat, test.P, err)
}

// predict plays game n up to the first turn of a seat at a stage and adds its prediction, if the game comes there.
func (a *Ahead) predict(into *predictions, n uint64, stage int) error {
	seat := charleston.Seat(n % charleston.Seats)
	var views [charleston.Seats]charleston.View
	state, err := a.passed(*stageSeed, n, func(s *charleston.State) {
		for i := range views {
			views[i] = s.View(charleston.Seat(i))
		}
	})
	if err != nil {
		return err
	}
	if stage != afterPassing {
		if err := a.goOn(&state, ownTurn(seat, stage)); err != nil || state.Phase() == table.Over {
			return err
		}
	}
	believed := func(of charleston.Seat, g uint64) (table.Result, error) {
		if stage == afterPassing {
			return a.Out(&views[of], *stageSeed+1, g<<32|n)
		}
		return a.outFrom(&state, of, *stageSeed+1, g<<32|n)
	}
	if stage != afterPassing {
		layout := state
		if err := a.refill(&layout, seat, Stream(*stageSeed+1, n, "kin")); err != nil {
			return err
		}
		into.kin.look(&state, state.View(seat))
		into.laid.look(&layout, layout.View(seat))
	}
	racks, wall := bare(&state)
	var p prediction
	games := *playouts &^ 1
	each := 1 / float64(games)
	for g := range uint64(games) {
		r, err := believed(seat, g)
		if err != nil {
			return err
		}
		won := float64(boolInt(r.Ending.Won() && r.Winner == seat))
		if g%2 == 0 {
			p.first += 2 * each * won
		} else {
			p.second += 2 * each * won
		}
		p.sum += each * (won + float64(boolInt(r.Ending == table.WallGame)))
		if r, err = a.truly(&state, seat, racks, wall, g<<32|n); err != nil {
			return err
		}
		truly := r.Ending.Won() && r.Winner == seat
		p.won = p.won || g == 0 && truly
		p.truly += each * float64(boolInt(truly))
	}
	for other := range charleston.Seat(charleston.Seats) {
		for g := range uint64(games / 4) {
			if other == seat {
				continue
			}
			r, err := believed(other, g)
			if err != nil {
				return err
			}
			p.sum += 4 * each * float64(boolInt(r.Ending.Won() && r.Winner == other))
		}
	}
	into.list = append(into.list, p)
	return nil
}

// outFrom plays a state to its end with what a seat does not see laid out.
func (a *Ahead) outFrom(state *table.State, seat charleston.Seat, seed, g uint64) (table.Result, error) {
	s := *state
	if err := a.refill(&s, seat, Stream(seed, g, "unseen")); err != nil {
		return table.Result{}, err
	}
	var o Outcome
	err := a.tables.Finish(&s, &o)
	return o.Result, err
}

// truly plays a state to its end with the true racks and the wall shuffled.
func (a *Ahead) truly(state *table.State, seat charleston.Seat, racks [charleston.Seats]tile.Rack, wall []tile.Kind, g uint64) (table.Result, error) {
	s := *state
	rng := Stream(*stageSeed+2, g, "wall")
	rng.Shuffle(len(wall), func(i, j int) { wall[i], wall[j] = wall[j], wall[i] })
	if err := s.Redeal(seat, &racks, wall); err != nil {
		return table.Result{}, err
	}
	var o Outcome
	err := a.tables.Finish(&s, &o)
	return o.Result, err
}

// ownTurn is a seat's turn at a stage.
func ownTurn(seat charleston.Seat, stage int) func(*table.State) bool {
	return func(s *table.State) bool {
		return s.Phase() == table.Discarding && s.Turn() == seat && s.View(seat).WallLeft() <= stage
	}
}

// upTo plays game n until something is reached, or to its end.
func (a *Ahead) upTo(seed, n uint64, reached func(*table.State) bool) (table.State, error) {
	state, err := a.passed(seed, n, func(*charleston.State) {})
	if err != nil {
		return state, err
	}
	return state, a.goOn(&state, reached)
}

// goOn plays on until something is reached, or to the end.
func (a *Ahead) goOn(state *table.State, reached func(*table.State) bool) error {
	var o Outcome
	for state.Phase() != table.Over && !reached(state) {
		if err := a.tables.step(state, &o); err != nil {
			return err
		}
	}
	return nil
}

// passed plays game n up to the end of the passing, which is shown to look, and begins the play.
func (a *Ahead) passed(seed, n uint64, look func(*charleston.State)) (table.State, error) {
	racks, wall := table.Deal(a.l.Game.Set(), Stream(seed, n, "deal"))
	lots := Stream(seed, n, "lots")
	for _, p := range a.tables.Players {
		p.Begin(lots)
	}
	passing, err := charleston.Start(racks, house.Usual.Passing, a.l.Game.Set())
	if err != nil {
		return table.State{}, err
	}
	var o Outcome
	if err := a.tables.Pass(&passing, lots, &o); err != nil {
		return table.State{}, err
	}
	look(&passing)
	for seat := range racks {
		racks[seat] = passing.Rack(charleston.Seat(seat))
	}
	return a.l.Game.Start(racks, wall)
}

// bare is the concealed tiles of all seats and the tiles left in the wall.
func bare(s *table.State) (racks [charleston.Seats]tile.Rack, wall []tile.Kind) {
	for seat := range charleston.Seat(charleston.Seats) {
		racks[seat] = s.View(seat).Rack()
	}
	left := s.View(0).Unseen()
	for seat := charleston.Seat(1); seat < charleston.Seats; seat++ {
		left = left.Minus(racks[seat])
	}
	return racks, left.Tiles()
}
