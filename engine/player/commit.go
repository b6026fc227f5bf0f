package player

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"secondpass/engine/fit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// committed is a player that from one decision of the passing on counts a single hand: the one that was nearest then. Where the passing
// ends before, it is the nearest at its end.
type committed struct {
	free  Selective
	index *fit.Index
	// from is the step of that decision; 0 for the first there is.
	from charleston.Step
	// of makes a player who aims at a hand, made are those of this seat.
	of   []func() Selective
	made map[int]Selective
	rng  *rand.Rand
	now  Selective // free, until there is a hand
	held bool
}

const commitRight = "right would be aim nearest at deal, or at a step, as in aim nearest at first-left"

// readCommitment reads the step of "aim nearest at STEP"; ok is false for other words.
func readCommitment(word string) (from charleston.Step, ok bool, err error) {
	fields := strings.Fields(word)
	if len(fields) < 2 || fields[0] != "aim" || fields[1] != "nearest" {
		return 0, false, nil
	}
	if len(fields) != 4 || fields[2] != "at" {
		return 0, true, fmt.Errorf("the rule %s: %s", word, commitRight)
	}
	if fields[3] == "deal" {
		return 0, true, nil
	}
	if from, err = charleston.ParseStep(fields[3]); err != nil {
		err = fmt.Errorf("the rule %s: %w; or deal", word, err)
	}
	return from, true, err
}

// commit is what makes such players; d describes one that is free.
func (c *Cast) commit(d *described, from charleston.Step) (func() Selective, error) {
	free, err := c.build(d)
	if err != nil {
		return nil, err
	}
	of := make([]func() Selective, len(c.card.Hands))
	for hand := range of {
		one := *d
		one.aim = []int{hand}
		if of[hand], err = c.build(&one); err != nil {
			return nil, err
		}
	}
	index := c.book(nil).index
	return func() Selective {
		return &committed{free: free(), index: index, from: from, of: of, made: map[int]Selective{}}
	}, nil
}

// Begin tells of a new game, in which no hand is chosen yet.
func (p *committed) Begin(rng *rand.Rand) {
	p.free.Begin(rng)
	p.rng, p.now, p.held = rng, p.free, false
}

// hold chooses the hand.
func (p *committed) hold(rack tile.Rack) {
	if p.held {
		return
	}
	hand := p.index.Hands(rack)[0].Hand
	if p.made[hand] == nil {
		p.made[hand] = p.of[hand]()
	}
	p.now, p.held = p.made[hand], true
	p.now.Begin(p.rng)
}

// at is who decides in the passing.
func (p *committed) at(v *charleston.View) Selective {
	if v.Step >= p.from {
		p.hold(v.Rack)
	}
	return p.now
}

// Pass, Stop, Offer and Give are those of whoever decides.
func (p *committed) Pass(v *charleston.View) (charleston.Parcel, int) { return p.at(v).Pass(v) }
func (p *committed) Stop(v *charleston.View) bool                     { return p.at(v).Stop(v) }
func (p *committed) Offer(v *charleston.View) int                     { return p.at(v).Offer(v) }
func (p *committed) Give(v *charleston.View) charleston.Parcel        { return p.at(v).Give(v) }

// Release is theirs too; a rule that chooses again has asked for a decision before.
func (p *committed) Release(rack tile.Rack, n int, may May) charleston.Parcel {
	return p.now.Release(rack, n, may)
}

// Turn and Claim are those of the player with a hand.
func (p *committed) Turn(v table.View) table.Action {
	p.hold(v.Rack())
	return p.now.Turn(v)
}

func (p *committed) Claim(v table.View) table.Claim {
	p.hold(v.Rack())
	return p.now.Claim(v)
}
