package drill

import (
	"context"
	"encoding/json"

	"secondpass/engine/sim"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Found is what a search has come to.
type Found struct {
	// Drills are in the order of the deals.
	Drills []*Drill `json:"drills"`
	// Unclear is how many more were found that were left out, since nothing that can be seen tells their right answers from
	// their wrong ones.
	Unclear int `json:"unclear,omitempty"`
	// Deals is the number of deals looked through, Next the number of the first that was not.
	Deals uint64 `json:"deals"`
	Next  uint64 `json:"next"`

	quota *quota // what is still looked for; nil where nothing is
}

// UnmarshalJSON reads what a search has come to; the one that goes on with it looks for what is left then.
func (f *Found) UnmarshalJSON(data []byte) error {
	type plain Found
	if err := json.Unmarshal(data, (*plain)(f)); err != nil {
		return err
	}
	if f.quota != nil {
		for _, d := range f.Drills {
			f.quota.take(sideOf(d, &d.Key))
		}
	}
	return nil
}

// Search looks for drills in random deals, each walked by four strong players through the passing and the play.
//
// A decision is proposed by its looks, tried in a few games, and judged by fresh ones: those that brought it
// there flatter it.
type Search struct {
	Maker *Maker
	// Seed draws the deals and the games.
	Seed uint64
	// Filter is which drills to look for. Each is the most drills of a kind, Total the most of all.
	Filter
	Each, Total int
	// Deals is the most deals to look through.
	Deals uint64
}

// Run searches from deal number `from`, which an earlier run has come to. watch, which may be nil, is told after each deal
// what it has come to, with the drills of that deal at the end of the list. The drills do not depend on the number of cores.
// It ends when it has found enough, when the deals are looked through, when ctx ends, or when watch says so.
func (s *Search) Run(ctx context.Context, from uint64, watch func(*Found) (stop bool)) (*Found, error) {
	kinds, err := s.searched()
	if err != nil {
		return nil, err
	}
	f := &Found{Drills: []*Drill{}, Next: from, quota: newQuota(kinds, s.Each, s.Total)}
	pieces := sim.PiecesOf(int(from), int(from+s.Deals), func() (func(context.Context, int) (dealt, error), error) {
		b, err := s.Maker.bench()
		return func(ctx context.Context, deal int) (dealt, error) {
			found, err := s.deal(ctx, b, uint64(deal), kinds[deal%len(kinds)], f.quota)
			return found, cutShort(ctx, err)
		}, err
	}, func(deal int, found dealt) error {
		f.Unclear += found.Unclear
		f.Deals++
		f.Next = uint64(deal) + 1
		for _, d := range found.Drills {
			if f.quota.take(sideOf(d, &d.Key)) {
				f.Drills = append(f.Drills, d)
			}
		}
		return nil
	})
	pieces.Total = f
	pieces.Look = func(int) bool { return watch != nil && watch(f) || f.quota.full() }
	_, err = sim.InOrder(ctx, pieces)
	return f, err
}

const (
	// triedShort and triedWhole are the games of a first trial, enough to throw most proposals away.
	triedShort, triedWhole = 64, 192
	// promising is what the best choice must be ahead of the worst in the trial, as chances.
	promising = 1.5 * Margin
	// claimsTried is the most claims of a game that are tried.
	claimsTried = 6
)

// dealt is what one deal gave.
type dealt struct {
	Drills  []*Drill `json:"drills"`
	Unclear int      `json:"unclear"`
}

// dealer walks one deal.
type dealer struct {
	s      *Search
	b      *bench
	deal   uint64
	ctx    context.Context
	quota  *quota
	only   Kind // looked for in this deal
	found  dealt
	have   map[side]bool
	claims map[Kind]int
}

// wanted says whether a drill of a kind is still looked for in this deal. For each side of a kind that depends on the
// deal and the quota of that side alone, so that the result is the same whenever a core hears of a full quota.
func (d *dealer) wanted(k Kind) bool {
	if k != d.only {
		return false
	}
	for _, s := range sides(k) {
		if !d.have[s] && d.quota.wanted(s) {
			return true
		}
	}
	return false
}

// deal looks through one deal for a kind; of each side of it the first drill is kept. The kinds take turns, so that a search spreads
// over deals, and what one drill tells of its deal does not give another one away.
func (s *Search) deal(ctx context.Context, b *bench, deal uint64, turn Kind, q *quota) (dealt, error) {
	d := dealer{s: s, b: b, deal: deal, ctx: ctx, quota: q, only: turn, have: map[side]bool{}, claims: map[Kind]int{}}
	if !d.wanted(d.only) {
		return d.found, nil
	}
	game := s.Maker.counsel.Game
	racks, wall := table.Deal(game.Set(), sim.Stream(s.Seed, deal, "deal"))
	if _, won := game.DealtWin(racks[charleston.East]); won {
		return d.found, nil
	}
	lots := sim.Stream(s.Seed, deal, "lots")
	for _, p := range b.tables.Players {
		p.Begin(lots)
	}
	passing, err := charleston.Start(racks, game.House().Passing, game.Set())
	if err != nil {
		return d.found, err
	}
	for passing.Phase() != charleston.Over {
		for seat := range charleston.Seat(charleston.Seats) {
			if !passing.Waits(seat) {
				continue
			}
			v := passing.View(seat)
			action := sim.Decide(b.tables.Players[seat], &v)
			for _, p := range b.proposePassing(&v, action, d.wanted) {
				if err := d.consider(p); err != nil {
					return d.found, err
				}
			}
			if err := passing.Apply(action, lots); err != nil {
				return d.found, err
			}
		}
	}
	if !d.wanted(Refusing) && !d.wanted(Taking) {
		return d.found, nil
	}
	for seat := range racks {
		racks[seat] = passing.Rack(charleston.Seat(seat))
	}
	return d.found, d.play(racks, wall)
}

// play walks the deal through the play.
func (d *dealer) play(racks [charleston.Seats]tile.Rack, wall []tile.Kind) error {
	rec := table.Record{Game: d.s.Maker.counsel.Game, Racks: racks, Wall: wall}
	state, err := rec.Game.Start(racks, wall)
	if err != nil {
		return err
	}
	for state.Phase() != table.Over {
		turn := state.Turn()
		actions := []table.Action{}
		if state.Phase() == table.Discarding {
			actions = append(actions, d.b.tables.Players[turn].Turn(state.View(turn)))
		} else {
			discard, _ := state.View(turn).Claimable()
			for seat := charleston.Right.To(turn); seat != turn; seat = charleston.Right.To(seat) {
				if !state.Waits(seat) {
					continue
				}
				if err := d.claim(&state, seat, rec.Text); err != nil {
					return err
				}
				actions = append(actions, d.b.tables.Players[seat].Claim(state.View(seat)).By(seat, discard.Tile))
			}
		}
		for _, a := range actions {
			if err := state.Apply(a); err != nil {
				return err
			}
			rec.Actions = append(rec.Actions, a)
		}
	}
	return nil
}

func (d *dealer) claim(state *table.State, seat charleston.Seat, record func() (string, error)) error {
	wanted := func(k Kind) bool { return d.claims[k] < claimsTried && d.wanted(k) }
	if !wanted(Refusing) && !wanted(Taking) {
		return nil
	}
	p, err := d.b.claims(state, seat, record, wanted)
	if err != nil || p == nil {
		return err
	}
	d.claims[p.Kind]++
	return d.consider(p)
}

// consider tries a proposal and judges it if it is promising.
func (d *dealer) consider(p *proposal) error {
	if !d.wanted(p.Kind) {
		return nil
	}
	if d.s.Step != "" && d.s.Step != p.Position.StepKey() || !p.About(d.s.Maker.counsel.Game.Card(), d.s.Theme) {
		return nil
	}
	p.Origin = Origin{d.s.Seed, d.deal}
	trial, err := d.b.trial(d.ctx, p, d.s.Seed)
	if err != nil || !p.promising(trial) {
		return cutShort(d.ctx, err)
	}
	s := sideOf(p.Drill, &Key{Answers: trial.answers()})
	if d.have[s] || !d.quota.wanted(s) {
		return nil
	}
	ok, err := d.b.settle(d.ctx, p, d.s.Seed)
	if err != nil || !ok || sideOf(p.Drill, &p.Key) != s { // one that changes sides was looked for on neither
		return cutShort(d.ctx, err)
	}
	if d.s.Difficulty != "" && d.s.Difficulty != p.Rating.Difficulty() {
		return nil
	}
	told, err := p.Told(d.s.Maker.counsel.Game.Card())
	switch {
	case err != nil:
		return err
	case !told:
		d.found.Unclear++
		return nil
	}
	d.have[s] = true
	d.found.Drills = append(d.found.Drills, p.Drill)
	return nil
}

// cutShort is an error where ctx has ended: what was looked at so far is no result.
func cutShort(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

// trial plays a few games of a proposal, other ones than those of its key.
func (b *bench) trial(ctx context.Context, p *proposal, seed uint64) (*tally, error) {
	t := newTally(len(p.Choices))
	s, err := b.scorer(p.Drill, keySeed(seed, p.Origin)+1)
	if err != nil {
		return t, err
	}
	games := triedShort
	if p.Ask().Whole() {
		games = triedWhole
	}
	return t, t.play(ctx, s, games)
}

// promising says whether a proposal is worth judging after its trial.
func (p *proposal) promising(t *tally) bool {
	best := t.Best()
	most := unit.ChanceDifference(0)
	for i := range p.Choices {
		cost, _ := t.Cost(best, i)
		most = max(most, cost)
	}
	for _, i := range p.lure {
		if cost, se := t.Cost(best, i); cost+2*se < Margin {
			return false // what is to be wrong looks right
		}
	}
	return most >= promising
}

// settle keys a proposal; ok says whether it has become a drill of its kind.
func (b *bench) settle(ctx context.Context, p *proposal, seed uint64) (ok bool, err error) {
	k, ok, err := b.key(ctx, p.Drill, seed)
	if err != nil || !ok || !p.fits(&k) {
		return false, err
	}
	if ok, err := b.level(ctx, p.Drill, &k); err != nil || !ok {
		return false, err
	}
	p.Key = k
	p.NearestErrs = p.nearest >= 0 && !k.Answers[p.nearest].Right
	p.Rating = Estimate(&k, p.NearestErrs)
	return true, nil
}
