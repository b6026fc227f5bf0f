package advice

import (
	"context"
	"fmt"
	"hash/fnv"
	"sync"

	lru "github.com/hashicorp/golang-lru/v2"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
)

// beliefsKept is how many beliefs are kept ready: of cards, house rules, tunings and tables.
const beliefsKept = 16

// company is whom beliefs are about.
type company struct {
	card   *prepared.Card
	rules  house.Passing
	tuning player.Tuning
	others string
}

// belief is what is believed of a table, made when it is first needed.
type belief struct {
	mu   sync.Mutex
	made *sim.Beliefs
}

var beliefs = func() *lru.Cache[company, *belief] {
	c, err := lru.New[company, *belief](beliefsKept)
	if err != nil {
		panic(err) // the size is above 0
	}
	return c
}()

// seed is that of the games from which beliefs are made: the same for the same table on every machine.
func (t *company) seed() uint64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%s %v %v %q", player.Fingerprint(t.card.Card()), t.rules, t.tuning.Params, t.others) // a hash never fails to write
	return h.Sum64()
}

// Believe gives the lookahead of a seat in play what the others are likely to hold there. The first time for a table that
// takes a second or two of games; an error says that ctx has ended before.
func (c *Counsel) Believe(ctx context.Context, l *sim.Lookahead) error {
	fresh := &belief{}
	b, there, _ := beliefs.PeekOrAdd(c.company, fresh)
	if !there {
		b = fresh
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.made == nil {
		made, err := sim.Believe(ctx, c.Game, c.Own, c.Others, c.company.seed(), sim.BeliefGames)
		if err != nil {
			return err
		}
		b.made = made
	}
	l.Beliefs, l.Judge = b.made, c.Own
	return nil
}

// inPlay is a lookahead in which the counsel's own player sits at the seat and the others hold what is believed.
func (c *Counsel) inPlay(ctx context.Context, seat charleston.Seat) (*sim.Lookahead, error) {
	l := c.ownAhead(seat)
	return l, c.Believe(ctx, l)
}
