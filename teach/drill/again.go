package drill

import (
	"context"

	"secondpass/engine/player"
	"secondpass/engine/sim"
)

// Remade is a drill whose key was made again.
type Remade struct {
	Drill *Drill
	// Old is the key before, New the one after.
	Old, New Key
	// Why says in words why the new key teaches nothing; nil where it does.
	Why error
}

// Changed says whether other answers are right than before.
func (r *Remade) Changed() bool { return !r.Old.Same(&r.New) }

// mostGames bounds the games of a choice: each remaking multiplies them, and a file may hold any number.
const mostGames = 200_000

// gamesAgain is so many times the games, within the bound; times is 1 or more.
func gamesAgain(games, times int) int {
	games = min(max(games, 1), mostGames)
	return games * min(times, max(1, mostGames/games))
}

// Remake makes the keys of drills again, with so many times the games they were made with and by another seed, on all
// cores, and hands them over in their order. The drills stay as they are. When ctx ends, those done are handed over.
func (m *Maker) Remake(ctx context.Context, drills []*Drill, seed uint64, times int, take func(Remade) error) (done int, err error) {
	return sim.InOrder(ctx, sim.PiecesOf(0, len(drills), func() (func(context.Context, int) (Remade, error), error) {
		b, err := m.bench()
		return func(ctx context.Context, i int) (Remade, error) {
			d := drills[i]
			r := Remade{Drill: d, Old: d.Key}
			r.New, err = b.fixedKey(ctx, d, seed, gamesAgain(d.Key.Games, times))
			r.Why = r.New.Check()
			return r, cutShort(ctx, err)
		}, err
	}, func(_ int, r Remade) error { return take(r) }))
}

// Renewed is a drill of one card judged for another.
type Renewed struct {
	// Old is the drill as it was, New what it has become: of the same kind, at the same position, with answers chosen
	// afresh. nil where it teaches nothing any more.
	Old, New *Drill
}

// Renew judges drills for the maker's card, each at its position, and hands them over in their order.
func (m *Maker) Renew(ctx context.Context, drills []*Drill, seed uint64, take func(Renewed) error) (done int, err error) {
	return sim.InOrder(ctx, sim.PiecesOf(0, len(drills), func() (func(context.Context, int) (Renewed, error), error) {
		b, err := m.bench()
		return func(ctx context.Context, i int) (Renewed, error) {
			r, err := b.renew(ctx, drills[i], seed)
			return r, cutShort(ctx, err)
		}, err
	}, func(_ int, r Renewed) error { return take(r) }))
}

func (b *bench) renew(ctx context.Context, old *Drill, seed uint64) (Renewed, error) {
	r := Renewed{Old: old}
	if old.Kind == Own {
		r.New = b.renewOwn(ctx, old, seed)
		return r, ctx.Err()
	}
	p, err := b.again(old)
	if err != nil || p == nil {
		// A game that the new card does not let happen is no error: the drill has nothing to teach there.
		return r, nil
	}
	p.Origin = old.Origin
	trial, err := b.trial(ctx, p, seed)
	if err != nil || !p.promising(trial) {
		return r, err
	}
	ok, err := b.settle(ctx, p, seed)
	if ok {
		r.New = p.Drill
	}
	return r, err
}

// ForCard says whether a drill's key is for a card.
func (k *Key) ForCard(fingerprint string) bool { return k.Fingerprint == fingerprint }

// Fingerprint is that of the maker's card, by which keys know theirs.
func (m *Maker) Fingerprint() string { return player.Fingerprint(m.counsel.Game.Card()) }
