package advice

import (
	"context"
	"encoding/json"
	"fmt"
	"sync"

	lru "github.com/hashicorp/golang-lru/v2"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
)

// tablesKept is how many tables are kept in mind: cards, house rules, tunings and players.
const tablesKept = 32

// company is whom a counsel judges against.
type company struct {
	card   *prepared.Card
	rules  house.Passing
	tuning player.Tuning
	others string
}

// known is what games have shown of a table, made when it is first needed.
type known struct {
	mu      sync.Mutex
	beliefs *sim.Beliefs
	level   *sim.Level
}

// tables holds *known by company, as any: see [prepared.Card].
var tables = func() *lru.Cache[any, any] {
	c, err := lru.New[any, any](tablesKept)
	if err != nil {
		panic(err) // the size is above 0
	}
	return c
}()

// known is what is known of the table; the caller locks it.
func (t *company) known() *known {
	fresh := &known{}
	if k, there, _ := tables.PeekOrAdd(*t, fresh); there {
		return k.(*known)
	}
	return fresh
}

// Shelf is where what games have shown of a table outlives the program, by keys that stand for all it depends on but the program
// itself. What it gives is what was put there, or nil where that is gone or damaged: then the games are played again.
type Shelf interface {
	Take(key string) []byte
	Put(key string, data []byte)
}

// shown is what games have shown of a table: what the program brings along or what stands on the shelf, else what they show when they are
// played now, which is put there. All are the same to the last byte.
func shown[T any](ctx context.Context, c *Counsel, sort string, play func() (*T, error)) (*T, error) {
	key := c.shelfKey(sort)
	data := usually(key)
	if data == nil && c.Shelf != nil {
		data = c.Shelf.Take(key)
	}
	if kept := new(T); data != nil && json.Unmarshal(data, kept) == nil {
		return kept, nil
	}
	if c.Waits != nil {
		c.Waits(ctx)
	}
	fresh, err := play()
	if err != nil || c.Shelf == nil {
		return fresh, err
	}
	if data, err := json.Marshal(fresh); err == nil { // what cannot be kept is played again the next time
		c.Shelf.Put(key, data)
	}
	return fresh, nil
}

// levelSort is the sort of what stands on a shelf for judgements in the passing, beliefSort for those in play.
const levelSort, beliefSort = "level", "beliefs"

// shelfKey is the key of what games have shown of the counsel's table.
func (c *Counsel) shelfKey(sort string) string {
	return fmt.Sprintf("%s-%016x", sort, c.company.seed())
}

// Shown is what judgements in the passing go by that games have shown of the table, by the keys of a [Shelf]: for a program elsewhere that
// judges for the same table, and then plays none of them again.
func (c *Counsel) Shown(ctx context.Context) (map[string][]byte, error) {
	level, err := c.Level(ctx)
	if err != nil {
		return nil, err
	}
	data, err := json.Marshal(level)
	return map[string][]byte{c.shelfKey(levelSort): data}, err
}

// seed is that of the games by which a table is come to know.
func (t *company) seed() uint64 {
	return sim.TableSeed(t.card.Card(), t.rules, t.tuning.Params, t.others)
}

// unlike makes the others where they are other players than the one judged for; nil for four alike.
func (c *Counsel) unlike() func() player.Player {
	if c.company.others == "strong" {
		return nil
	}
	return c.Others
}

// Level is what brings the quick estimate to the chance of whole games, for the counsel's card, house and table. The first
// time that takes a second or two of games; an error says that ctx has ended before.
func (c *Counsel) Level(ctx context.Context) (*sim.Level, error) {
	k := c.company.known()
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.level == nil {
		level, err := shown(ctx, c, levelSort, func() (*sim.Level, error) {
			return sim.FitLevel(ctx, c.Game, c.Own, c.unlike(), c.company.seed())
		})
		if err != nil {
			return nil, err
		}
		k.level = level
	}
	return k.level, nil
}

// Believe gives the lookahead of a seat in play what the others are likely to hold there. The first time for a table that
// takes some ten seconds of one core; an error says that ctx has ended before.
func (c *Counsel) Believe(ctx context.Context, l *sim.Lookahead) error {
	k := c.company.known()
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.beliefs == nil {
		beliefs, err := shown(ctx, c, beliefSort, func() (*sim.Beliefs, error) {
			return sim.Believe(ctx, c.Game, c.Own, c.unlike(), c.company.seed(), sim.BeliefGames)
		})
		if err != nil {
			return err
		}
		k.beliefs = beliefs
	}
	l.Beliefs, l.Judge = k.beliefs, c.Own
	return nil
}

// inPassing is a lookahead in which the counsel's own player sits at the seat and racks are valued at the table's level.
func (c *Counsel) inPassing(ctx context.Context, seat charleston.Seat) (*sim.Lookahead, error) {
	l := c.ownAhead(seat)
	var err error
	l.Judge = c.Own
	l.Level, err = c.Level(ctx)
	return l, err
}

// inPlay is a lookahead in which the counsel's own player sits at the seat and the others hold what is believed.
func (c *Counsel) inPlay(ctx context.Context, seat charleston.Seat) (*sim.Lookahead, error) {
	l := c.ownAhead(seat)
	return l, c.Believe(ctx, l)
}
