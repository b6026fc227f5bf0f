package drill

import (
	"errors"
	"slices"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// proposers are the players whose decisions are the answers to a teacher's own drill where none are named.
func (b *bench) proposers() []player.Player { return []player.Player{b.own, b.nearest, b.thumb} }

// answerOf is what a player decides at a position.
func (b *bench) answerOf(p player.Player, at *Position) (Choice, error) {
	b.forget()
	if !at.InPlay() {
		v := at.View
		return Choice{Action: sim.Decide(p, &v)}, nil
	}
	state, err := at.Table(b.m.counsel.Game)
	if err != nil {
		return Choice{}, err
	}
	v := state.View(at.Seat)
	if discard, ok := v.Claimable(); ok {
		return Choice{Play: p.Claim(v).By(at.Seat, discard.Tile)}, nil
	}
	return Choice{Play: p.Turn(v)}, nil
}

// answersTo are the answers to a teacher's own drill where none are named: what the players at hand decide, and as many more as look
// best, in canonical order.
func (b *bench) answersTo(p *Position) ([]Choice, error) {
	var list []Choice
	add := func(c Choice) {
		if len(list) < proposed && !slices.Contains(list, c) {
			list = append(list, c)
		}
	}
	if !p.InPlay() {
		switch p.View.Phase {
		case charleston.Voting:
			return b.votes(&p.View).Choices, nil
		case charleston.Naming:
			return b.offers(&p.View).Choices, nil
		}
	}
	for _, player := range b.proposers() {
		c, err := b.answerOf(player, p)
		if err != nil {
			return nil, err
		}
		if c.Action.Count == 0 {
			add(c)
		}
	}
	more, err := b.moreAnswers(p)
	if err != nil {
		return nil, err
	}
	for _, c := range more {
		add(c)
	}
	if len(list) < 2 {
		return nil, errors.New("there is one thing to do; a drill asks where there are two or more")
	}
	slices.SortFunc(list, Choice.compare)
	return list, nil
}

// moreAnswers are other decisions at a position: a pass that looks worse at a glance and the best ones, what is legal in play.
func (b *bench) moreAnswers(p *Position) (more []Choice, err error) {
	if !p.InPlay() {
		all := b.glance(&p.View, charleston.PassTiles)
		worse := all.first(1, func(own charleston.Parcel) bool { return all.beside(own) <= similar })
		for _, own := range append(worse, all.first(proposed, func(charleston.Parcel) bool { return true })...) {
			more = append(more, Choice{Action: charleston.Action{Seat: p.Seat, Kind: charleston.Pass, Own: own}})
		}
		return more, nil
	}
	state, err := p.Table(b.m.counsel.Game)
	if err != nil {
		return nil, err
	}
	for _, a := range state.Legal(p.Seat) {
		c := Choice{Play: a}
		if a.Kind == table.Decline {
			more = slices.Insert(more, 0, c)
		} else {
			more = append(more, c)
		}
	}
	return more, nil
}

// compare orders choices in a way that gives nothing away.
func (c Choice) compare(other Choice) int {
	if c.Play.Kind != 0 {
		return c.Play.Compare(other.Play)
	}
	return slices.Compare(c.Action.Own.Tiles(), other.Action.Own.Tiles())
}
