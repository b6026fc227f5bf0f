package ready

import (
	"sync"

	"secondpass/desk"
	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/store"
)

// keptMost is how many cards and counsels are kept ready; the rest are made anew when they are wanted again.
const keptMost = 24

// Cards is what takes long to make of a card: its fit index, and counsels against players.
type Cards struct {
	tunings  store.Tunings
	mu       sync.Mutex
	indexes  map[string]*fit.Index
	counsels map[counselKey]*exercise.Counsel
}

type counselKey struct {
	card    string // fingerprint
	rules   house.House
	tuning  player.Tuning
	players string
}

func New(tunings store.Tunings) *Cards {
	return &Cards{tunings: tunings, indexes: map[string]*fit.Index{}, counsels: map[counselKey]*exercise.Counsel{}}
}

// Index is the fit index of a card. Cards with the same hands but other names, points or order are different ones.
func (k *Cards) Index(c *card.Card) *fit.Index {
	k.mu.Lock()
	defer k.mu.Unlock()
	key := c.Source + setText(c)
	x, ok := k.indexes[key]
	if !ok {
		MakeRoom(k.indexes)
		x = fit.New(c)
		k.indexes[key] = x
	}
	return x
}

// Counsel judges decisions of an exercise: with the user's tuning of its card, against its players or, where nobody
// sits there, the usual ones.
func (k *Cards) Counsel(e *exercise.Exercise) (*exercise.Counsel, error) {
	tuning, err := k.tunings.Tuning(e.Card)
	if err != nil {
		return nil, err
	}
	players := desk.Others(e)
	key := counselKey{e.Card.Source + setText(e.Card), e.House, tuning, players}
	k.mu.Lock()
	defer k.mu.Unlock()
	c, ok := k.counsels[key]
	if !ok {
		MakeRoom(k.counsels)
		if c, err = exercise.NewCounsel(e.Card, e.House, tuning, players, 0); err != nil {
			return nil, err
		}
		k.counsels[key] = c
	}
	seeded := *c
	seeded.Seed = desk.JudgementSeed(e)
	return &seeded, nil
}

// MakeRoom forgets something of a full map.
func MakeRoom[K comparable, V any](m map[K]V) {
	for key := range m {
		if len(m) < keptMost {
			return
		}
		delete(m, key)
	}
}

// setText tells cards of one text apart that were read for different sets of tiles.
func setText(c *card.Card) string { return string(c.Set[:]) }
