package balance

import (
	"context"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/house"
)

// Wins is what whole games on a card add up to. It is exact, so that it is the same on any number of
// cores.
type Wins struct {
	Games int
	// Hands counts the games won with each hand, indexed as Card.Hands; Wall the games nobody won.
	Hands []int
	Wall  int
}

// Merge adds the games that follow.
func (w *Wins) Merge(next *Wins) {
	w.Games += next.Games
	w.Wall += next.Wall
	for i, n := range next.Hands {
		w.Hands[i] += n
	}
}

// Won is the number of games that somebody won.
func (w *Wins) Won() int { return w.Games - w.Wall }

// Play deals games 0 to games-1 of a seed on a card to four strong players under the usual rules. The
// players go by the general values, as on any card that nobody has tuned them to. It stops as [sim.Run] does;
// watch may be nil.
func Play(ctx context.Context, c *card.Card, seed uint64, games int, watch func(played int)) (*Wins, error) {
	p := prepared.New(c) // cards are tried out and thrown away
	newPlayer, err := p.Cast(general(c)).Player("strong")
	if err != nil {
		return nil, err
	}
	game := p.Game(house.Usual)
	total := &Wins{Hands: make([]int, len(c.Hands))}
	_, err = sim.Run(ctx, 0, games, total, func() func(sim.Shard) (*Wins, error) {
		tables := sim.Tables{Game: game}
		for i := range tables.Players {
			tables.Players[i] = newPlayer()
		}
		return func(s sim.Shard) (*Wins, error) {
			part := &Wins{Hands: make([]int, len(c.Hands))}
			for n := s.First; n < s.First+s.Count; n++ {
				o, err := tables.Play(seed, uint64(n))
				if err != nil {
					return nil, err
				}
				part.add(c, &o)
			}
			return part, nil
		}
	}, func(played int) bool {
		if watch != nil {
			watch(played)
		}
		return false
	})
	return total, err
}

func (w *Wins) add(c *card.Card, o *sim.Outcome) {
	w.Games++
	if !o.Ending.Won() {
		w.Wall++
		return
	}
	w.Hands[c.Variants[o.Variant].Hand]++
}

// general is the general tuning for a card, also where one of its own is known.
func general(c *card.Card) player.Tuning {
	return player.Tuning{Card: c.Name, Fingerprint: player.Fingerprint(c), Params: player.General, Calibration: player.GeneralCalibration}
}
