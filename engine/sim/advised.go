package sim

import (
	"cmp"
	"context"
	"fmt"
	"hash/fnv"
	"math"
	"slices"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// AdvisedKit is what advised players of a card and house share: a table of four strong players, as it is come to know from
// games. It is read-only.
type AdvisedKit struct {
	Game    *table.Game
	Kit     *player.StrongKit
	Level   *Level
	Beliefs *Beliefs
	AdvisedBudget
}

// AdvisedBudget is how much an advised player plays on for each decision, in games, so that the same seed gives the same
// game on any machine. 0 leaves a kind of decision to the strong player.
type AdvisedBudget struct {
	// Passing is the short games for each candidate of the passing in the first round; who stays in meets more.
	Passing int
	// Discards is the layouts in which it is looked who would win on a discard.
	Discards int
	// Claims is the games played on for each answer to a discard with which a group could be laid open.
	Claims int
}

// AdvisedGames is the budget of a player called advised: half a second of CPU time a game. The play is left to the
// strong player, since no gain was shown there (docs/players.md).
var AdvisedGames = AdvisedBudget{Passing: 32}

// NewAdvisedKit comes to know the table.
func NewAdvisedKit(ctx context.Context, g *table.Game, kit *player.StrongKit, seed uint64, budget AdvisedBudget) (*AdvisedKit, error) {
	return advisedBy(ctx, g, kit, seed, budget, BeliefGames)
}

// advisedBy is NewAdvisedKit with beliefs from a number of games.
func advisedBy(ctx context.Context, g *table.Game, kit *player.StrongKit, seed uint64, budget AdvisedBudget, games int) (*AdvisedKit, error) {
	a := &AdvisedKit{Game: g, Kit: kit, AdvisedBudget: budget}
	var err error
	if a.Level, err = FitLevel(ctx, g, kit, nil, seed); err != nil {
		return nil, err
	}
	if budget.Discards > 0 || budget.Claims > 0 {
		a.Beliefs, err = Believe(ctx, g, kit, nil, seed, games)
	}
	return a, err
}

// Advised does what advice says: it starts from the strong player's decision and plays on from that and a few others, in
// games in which what it does not see is laid out as it is believed to lie. It takes another where the
// games outweigh what is known beforehand, that the strong player's is seldom far from the best.
type Advised struct {
	*player.Strong
	kit   *AdvisedKit
	judge *player.Strong
	// ahead plays on with strong players.
	ahead *Ahead
}

// New is a player of its own.
func (k *AdvisedKit) New() *Advised {
	l := &Lookahead{Game: k.Game, Judge: k.Kit, Level: k.Level, Beliefs: k.Beliefs}
	for seat := range l.Players {
		l.Players[seat] = func() player.Player { return k.Kit.New() }
	}
	return &Advised{Strong: k.Kit.New(), kit: k, judge: k.Kit.New(), ahead: l.Worker()}
}

// seedOf is the seed of the games for a decision: of what the seat sees alone, so that it decides alike wherever it sees that.
func seedOf(rack tile.Rack, moment ...int) uint64 {
	h := fnv.New64a()
	h.Write(rack[:]) // a hash never fails to write
	fmt.Fprint(h, moment)
	return h.Sum64()
}

// lean is what is known beforehand of a candidate beside the strong player's decision, in chances to win: how much worse it
// is on average, and by how much that varies. Set by what was found at many decisions (docs/players.md).
type lean struct{ behind, spread float64 }

var (
	passLean  = lean{behind: 0.004, spread: 0.006}
	claimLean = lean{behind: 0.03, spread: 0.05}
)

// outweighs says whether a lead found in games, with its standard error, outweighs what was known beforehand: whether the
// mean of the two, each by its precision, is above 0.
func (l lean) outweighs(lead, se float64) bool {
	return lead*l.spread*l.spread > l.behind*se*se
}

// choose plays games for candidates, the strong player's first, and picks one of them. Each game is met by all that are still in. After
// the first games the better half of the others stays and meets as many again, then half of these twice as many, and so on until one
// is left: sequential halving (Karnin, Koren and Somekh 2013), in which games go to those that may be best.
func (l lean) choose(candidates, games int, play func(candidate int, g uint64) (float64, error)) (best int) {
	leads := make([]stat.Moments, candidates)
	in := make([]int, candidates-1)
	for i := range in {
		in[i] = i + 1
	}
	for from, to := 0, games; ; from, to = to, 2*to {
		for g := from; g < to; g++ {
			first, err := play(0, uint64(g))
			if err != nil {
				return 0
			}
			for _, i := range in {
				score, err := play(i, uint64(g))
				if err != nil {
					return 0
				}
				leads[i].Add(score - first)
			}
		}
		if len(in) == 1 {
			break
		}
		slices.SortStableFunc(in, func(x, y int) int { return cmp.Compare(leads[y].Mean(), leads[x].Mean()) })
		in = in[:(len(in)+1)/2]
	}
	if i := in[0]; l.outweighs(leads[i].Mean(), leads[i].SE()) {
		return i
	}
	return 0
}

// passCandidates is how many passes are compared with the strong player's.
const passCandidates = 8

// decide is the decision of the passing.
func (a *Advised) decide(v *charleston.View, candidates []charleston.Action) charleston.Action {
	would := Decide(a.Strong, v)
	list := []charleston.Action{would}
	for _, c := range candidates {
		if c != would {
			list = append(list, c)
		}
	}
	if a.kit.Passing == 0 || len(list) == 1 {
		return would
	}
	seed := seedOf(v.Rack, int(v.Step), int(v.Phase))
	return list[passLean.choose(len(list), a.kit.Passing, func(i int, g uint64) (float64, error) {
		score, err := a.ahead.Short(v, list[i], seed, g)
		return float64(score) / float64(Sure), err
	})]
}

// Pass compares the passes that leave the most.
func (a *Advised) Pass(v *charleston.View) (charleston.Parcel, int) {
	var candidates []charleston.Action
	if a.kit.Passing > 0 {
		type pass struct {
			own   charleston.Parcel
			worth float64
		}
		var passes []pass
		for _, own := range charleston.Parcels(v.Rack, charleston.PassTiles) {
			passes = append(passes, pass{own, a.judge.Worth(v.Rack.Minus(own.Rack()))})
		}
		slices.SortStableFunc(passes, func(x, y pass) int { return cmp.Compare(y.worth, x.worth) })
		for _, p := range passes[:min(passCandidates, len(passes))] {
			candidates = append(candidates, charleston.Action{Seat: v.Seat, Kind: charleston.Pass, Own: p.own})
		}
	}
	best := a.decide(v, candidates)
	return best.Own, best.Count
}

// Stop compares both votes.
func (a *Advised) Stop(v *charleston.View) bool {
	return a.decide(v, []charleston.Action{{Seat: v.Seat, Kind: charleston.Vote}, {Seat: v.Seat, Kind: charleston.Vote, Stop: true}}).Stop
}

// Offer compares the numbers.
func (a *Advised) Offer(v *charleston.View) int {
	var candidates []charleston.Action
	for n := range charleston.PassTiles + 1 {
		candidates = append(candidates, charleston.Action{Seat: v.Seat, Kind: charleston.Name, Count: n})
	}
	return a.decide(v, candidates).Count
}

// Turn weighs a discard with the chance that another seat wins on it.
func (a *Advised) Turn(v table.View) table.Action {
	would := a.Strong.Turn(v)
	if would.Kind != table.Discard || a.kit.Discards == 0 || v.WallLeft() > dangerWall {
		return would
	}
	seat, rack, unseen := v.Seat(), v.Rack(), v.Unseen()
	seed := seedOf(rack, v.WallLeft())
	scales := a.judge.Scales(v, seat)
	var after [tile.Kinds]float64
	most := 0.0
	for k := range tile.Kind(tile.Kinds) {
		if rack[k] > 0 {
			left := rack
			left[k]--
			after[k] = scales.Weigh(&left, &unseen)
			most = max(most, after[k])
		}
	}
	var wins [tile.Kinds]int
	for g := range uint64(a.kit.Discards) {
		s, err := a.kit.Beliefs.LayView(v, &[charleston.Seats]tile.Rack{}, a.judge, Stream(seed, g, "unseen"))
		if err != nil {
			return would
		}
		for k, won := range winsOn(&s, seat) {
			wins[k] += boolInt(won)
		}
	}
	score := func(k tile.Kind) float64 {
		danger := (float64(wins[k]) + priorDanger*priorLayouts) / (float64(a.kit.Discards) + priorLayouts)
		return (1 - danger) * math.Pow(after[k]/most, a.kit.Level.Spread)
	}
	best := would.Tile
	for k := range tile.Kind(tile.Joker) {
		if rack[k] > 0 && score(k) > score(best)*(1+dangerLead) {
			best = k
		}
	}
	if best != would.Tile {
		would.Tile = best
	}
	return would
}

const (
	// dangerWall is the wall from which on discards are looked at: before, next to nobody wins on one.
	dangerWall = 75
	// priorDanger is how often a discard wins before layouts say anything, which counts as priorLayouts of them.
	priorDanger, priorLayouts = 0.02, 4
	// dangerLead is by what part another discard must be better.
	dangerLead = 0.01
)

// winsOn says which naturals of the seat in turn another seat would win on.
func winsOn(s *table.State, seat charleston.Seat) (wins [tile.Kinds]bool) {
	rack := s.View(seat).Rack()
	for k := range tile.Joker {
		if rack[k] == 0 {
			continue
		}
		after := *s
		if after.Apply(table.Action{Seat: seat, Kind: table.Discard, Tile: k}) != nil || after.Phase() != table.Claiming {
			continue
		}
		for other := range charleston.Seat(charleston.Seats) {
			wins[k] = wins[k] || after.Waits(other) && after.View(other).Check(table.Claim{Mahjong: true}.By(other, k)) == nil
		}
	}
	return wins
}

// Claim compares letting a discard go with laying a group open.
func (a *Advised) Claim(v table.View) table.Claim {
	would := a.Strong.Claim(v)
	if would.Mahjong || a.kit.Claims == 0 {
		return would
	}
	list := []table.Claim{would}
	if would.Size > 0 {
		list = append(list, table.Claim{})
	} else {
		for _, legal := range v.Legal() {
			if c := legal.Claim(); c.Size > 0 && c.Jokers == 0 {
				list = append(list, c)
			}
		}
	}
	if len(list) == 1 {
		return would
	}
	d, _ := v.Claimable()
	seed := seedOf(v.Rack(), v.WallLeft(), v.Discards())
	state, err := a.kit.Beliefs.LayView(v, &[charleston.Seats]tile.Rack{}, a.judge, Stream(seed, 0, "first"))
	if err != nil {
		return would
	}
	return list[claimLean.choose(len(list), a.kit.Claims, func(i int, g uint64) (float64, error) {
		r, err := a.ahead.Play(&state, list[i].By(v.Seat(), d.Tile), seed, g)
		return float64(boolInt(r.Ending.Won() && r.Winner == v.Seat())), err
	})]
}
