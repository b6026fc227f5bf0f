package drill

import (
	"slices"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// claims looks at a seat that may claim the last discard for a group. Record is the text of the game so far.
func (b *bench) claims(state *table.State, seat charleston.Seat, record func() (string, error), wanted func(Kind) bool) (*proposal, error) {
	v := state.View(seat)
	b.forget()
	greedy := b.nearest.Claim(v)
	if greedy == (table.Claim{}) || greedy.Mahjong {
		return nil, nil // nothing tempts, or nothing is to be thought about
	}
	strong := b.own.Claim(v)
	kind := Taking
	if strong == (table.Claim{}) {
		kind = Refusing
	}
	if !wanted(kind) || strong.Mahjong {
		return nil, nil
	}
	discard, _ := v.Claimable()
	all := []table.Action{table.Claim{}.By(seat, discard.Tile), greedy.By(seat, discard.Tile)}
	if strong != greedy && strong != (table.Claim{}) {
		all = append(all, strong.By(seat, discard.Tile))
	}
	text, err := record()
	if err != nil {
		return nil, err
	}
	return b.claimProposal(kind, seat, text, all, greedy.By(seat, discard.Tile)), nil
}

func (b *bench) claimProposal(kind Kind, seat charleston.Seat, record string, all []table.Action, greedy table.Action) *proposal {
	slices.SortFunc(all, table.Action.Compare)
	all = slices.Compact(all)
	p := &proposal{Drill: &Drill{Kind: kind, Position: Position{Seat: seat, Record: record}}, nearest: slices.Index(all, greedy)}
	for i, a := range all {
		p.Choices = append(p.Choices, Choice{Play: a})
		if (a.Kind == table.Decline) == (kind == Taking) {
			p.lure = append(p.lure, i)
		}
	}
	return p
}

// again proposes a drill of the same kind at the same position, for another card or another version of the players. It
// is nil where there is none.
func (b *bench) again(d *Drill) (*proposal, error) {
	only := func(k Kind) bool { return k == d.Kind }
	if d.Position.InPlay() {
		state, err := d.Position.Table(b.m.counsel.Game)
		if err != nil {
			return nil, err
		}
		return b.claims(&state, d.Position.Seat, func() (string, error) {
			return retitled(d.Position.Record, b.m.counsel.Game.Card().Name), nil
		}, only)
	}
	v := d.Position.View
	for _, p := range b.proposePassing(&v, b.decision(&v), only) {
		p.Origin = d.Origin
		return p, nil
	}
	return nil, nil
}
