// Package prepared holds what takes long to make of a card: the index that racks are compared with, also for the hands
// of an aim, the game to be played, and the players who know it.
//
// [Of] gives it for a card, made once for all who ask: each part when it is first needed, by the first who needs it, while
// nobody waits but those who want the same part of the same card. A bounded number of cards are kept ready. House
// rules of the passing and the play cost nothing to change, so that they are asked for with the game and cards are told
// apart without them. What is decided or judged with it lives above; whoever needs an index, a game or players of a card takes
// them from here. [New] is for cards that are tried out and thrown away.
package prepared

import (
	"fmt"
	"sync"

	lru "github.com/hashicorp/golang-lru/v2"

	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// What is kept ready: cards, and of each the indexes of aims, the casts by tuning, and their players by description.
const (
	cardsKept   = 32
	aimsKept    = 256
	castsKept   = 4
	playersKept = 64
)

// Card is a card prepared. It is read-only to those who use it and may be shared between goroutines.
type Card struct {
	card  *card.Card
	index func() *fit.Index
	game  func() *table.Game
	tuned func() tuning
	aims  *kept[string, *fit.Index]
	casts *kept[player.Tuning, *Cast]
}

type tuning struct {
	player.Tuning
	known bool
}

// identity tells cards apart: by the text that they were read from, with names, points and order, and by the set.
type identity struct {
	name, source string
	set          tile.Set
}

var cards = newKept[identity, *Card](cardsKept)

// Of is a card prepared, the same for all cards that were read from one text for one set.
func Of(c *card.Card) *Card {
	if c.Source == "" { // it was made in the program, so that its text says nothing of it
		return New(c)
	}
	return cards.get(identity{c.Name, c.Source, c.Set}, func() *Card { return New(c) })()
}

// text is what a card is read from.
type text struct {
	text string
	set  tile.Set
}

var read = cache(cardsKept) // *card.Card by text

// Read is card.Read for a text that is read again and again, as that within an exercise is at each request: a card without
// errors is kept. Nobody may change it.
func Read(file, from string, set tile.Set) (*card.Card, error) {
	key := text{from, set}
	if c, ok := read.Get(key); ok {
		return c.(*card.Card), nil
	}
	c, _, err := card.Read(file, []byte(from), set)
	if err == nil {
		read.Add(key, c)
	}
	return c, err
}

// New prepares a card that nobody else will ask for.
func New(c *card.Card) *Card {
	return &Card{
		card:  c,
		index: sync.OnceValue(func() *fit.Index { return fit.New(c) }),
		game:  sync.OnceValue(func() *table.Game { return table.NewGame(c, house.Usual) }),
		tuned: sync.OnceValue(func() tuning {
			t, known := player.TuningFor(c)
			return tuning{t, known}
		}),
		aims:  newKept[string, *fit.Index](aimsKept),
		casts: newKept[player.Tuning, *Cast](castsKept),
	}
}

// Card is the card.
func (p *Card) Card() *card.Card { return p.card }

// Index is that of all hands.
func (p *Card) Index() *fit.Index { return p.index() }

// Aimed is the index of some hands, given as indices of Card.Hands in rising order; of all hands for none.
func (p *Card) Aimed(hands []int) *fit.Index {
	if len(hands) == 0 || len(hands) == len(p.card.Hands) {
		return p.Index()
	}
	return p.aims.get(fmt.Sprint(hands), func() *fit.Index { return fit.Of(p.card, hands) })()
}

// Game is the card in play by house rules; those of the tiles are the card's.
func (p *Card) Game(rules house.House) *table.Game { return p.game().With(rules) }

// Tuning is the one built in for the card, or the general one, see [player.TuningFor].
func (p *Card) Tuning() (t player.Tuning, known bool) {
	tuned := p.tuned()
	return tuned.Tuning, tuned.known
}

// Cast makes players of the card whose strong ones go by a tuning.
func (p *Card) Cast(t player.Tuning) *Cast {
	return p.casts.get(t, func() *Cast { return newCast(p, t) })()
}

// Cast makes players, see [player.Cast]; its methods may be called side by side.
type Cast struct {
	mu      sync.Mutex
	cast    *player.Cast
	players *lru.Cache[any, any] // func() player.Player by description
}

func newCast(p *Card, t player.Tuning) *Cast {
	return &Cast{cast: player.NewCast(p.card, t, p.Aimed), players: cache(playersKept)}
}

// Player is what makes players of a description.
func (c *Cast) Player(description string) (func() player.Player, error) {
	if made, ok := c.players.Get(description); ok {
		return made.(func() player.Player), nil
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	made, err := c.cast.Player(description)
	if err == nil {
		c.players.Add(description, made)
	}
	return made, err
}

// Named is what makes players of a plain name for the whole card.
func (c *Cast) Named(name string) (func() player.Selective, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.cast.Named(name)
}

// Kit is what strong players of the whole card share.
func (c *Cast) Kit() *player.StrongKit {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.cast.Kit()
}

// Check says why a description cannot be, or nil, without making what such a player needs.
func (c *Cast) Check(description string) error { return c.cast.Check(description) }

// Aim is the names that a description aims at, Play the part of it that decides in play.
func (c *Cast) Aim(description string) ([]string, error) { return c.cast.Aim(description) }
func (c *Cast) Play(description string) (string, error)  { return c.cast.Play(description) }

// kept is a bounded number of values, the one used longest ago being forgotten first. Each is made once, outside of
// any lock but its own.
//
// The library's cache holds values of any type: one for each would be so many copies of its code, in a page that is
// loaded on a telephone.
type kept[K comparable, V any] struct{ values *lru.Cache[any, any] }

func newKept[K comparable, V any](size int) *kept[K, V] { return &kept[K, V]{cache(size)} }

// get is what gives the value of a key, which waits while another makes it.
func (k *kept[K, V]) get(key K, make func() V) func() V {
	if value, ok := k.values.Get(key); ok {
		return value.(func() V)
	}
	fresh := sync.OnceValue(make)
	if value, ok, _ := k.values.PeekOrAdd(key, fresh); ok {
		return value.(func() V)
	}
	return fresh
}

func cache(size int) *lru.Cache[any, any] {
	c, err := lru.New[any, any](size)
	if err != nil {
		panic(err) // sizes are above 0
	}
	return c
}
