package drill

import (
	"cmp"
	"math"
	"slices"

	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// proposal is a drill without a key, and what its key must say for the drill to be of its kind.
type proposal struct {
	*Drill
	// nearest is the choice that the greedy player makes, or comes closest to.
	nearest int
	// lure are the choices that tempt: none of them may be right. nil asks for nothing.
	lure []int
}

// fits says whether a key makes the proposal a drill of its kind.
func (p *proposal) fits(k *Key) bool {
	for _, i := range p.lure {
		if k.Answers[i].Right {
			return false
		}
	}
	return k.Check() == nil
}

// worthPower turns proportions of a rack's worth into proportions of chance: in self-play the chance grew with about
// the square root of the worth.
const worthPower = 0.5

const (
	// tempted is the most that a tempting pass may be worth beside the best at a glance, as a proportion of chance: one
	// that looks as good is seldom shown to be worse.
	tempted = 0.95
	// similar is the same for a pass that differs from the best in one tile.
	similar = 0.9
)

// passes are the passes of a rack at a glance.
type passes struct {
	b     *bench
	v     *charleston.View
	list  []charleston.Parcel // best first
	worth map[charleston.Parcel]float64
}

// glance ranks all passes of n own tiles by what they leave.
func (b *bench) glance(v *charleston.View, n int) *passes {
	p := &passes{b: b, v: v, list: charleston.Parcels(v.Rack, n), worth: map[charleston.Parcel]float64{}}
	for _, own := range p.list {
		p.worth[own] = math.Pow(b.own.Worth(v.Rack.Minus(own.Rack())), worthPower)
	}
	slices.SortStableFunc(p.list, func(x, y charleston.Parcel) int { return cmp.Compare(p.worth[y], p.worth[x]) })
	return p
}

// beside is what a pass is worth beside the best at a glance.
func (p *passes) beside(own charleston.Parcel) float64 {
	return p.worth[own] / max(p.worth[p.list[0]], math.SmallestNonzeroFloat64)
}

// first is the best few passes at a glance that are as wanted.
func (p *passes) first(n int, wanted func(charleston.Parcel) bool) []charleston.Parcel {
	var found []charleston.Parcel
	for _, own := range p.list {
		if len(found) < n && wanted(own) {
			found = append(found, own)
		}
	}
	return found
}

// passDrill makes a proposal of passes, in canonical order. lures are those of which none may be right.
func passDrill(kind Kind, v *charleston.View, options, lures []charleston.Parcel, nearest charleston.Parcel) *proposal {
	all := slices.Concat(options, lures)
	slices.SortFunc(all, func(x, y charleston.Parcel) int { return slices.Compare(x.Tiles(), y.Tiles()) })
	all = slices.Compact(all)
	p := &proposal{Drill: &Drill{Kind: kind, Position: Position{Seat: v.Seat, View: *v}}, nearest: -1}
	for i, own := range all {
		p.Choices = append(p.Choices, Choice{Action: charleston.Action{Seat: v.Seat, Kind: charleston.Pass, Own: own}})
		if slices.Contains(lures, own) {
			p.lure = append(p.lure, i)
		}
		if own == nearest {
			p.nearest = i
		}
	}
	return p
}

// proposePassing looks at a decision of the passing for drills of the wanted kinds. strong is what the strong player
// decides there.
func (b *bench) proposePassing(v *charleston.View, strong charleston.Action, wanted func(Kind) bool) []*proposal {
	b.forget()
	var list []*proposal
	add := func(kind Kind, make func() *proposal) {
		if wanted(kind) {
			if p := make(); p != nil {
				list = append(list, p)
			}
		}
	}
	switch v.Phase {
	case charleston.Voting:
		add(Stopping, func() *proposal { return b.votes(v) })
	case charleston.Naming:
		add(Courtesy, func() *proposal { return b.offers(v) })
	case charleston.Passing:
		if v.Step == charleston.FirstRight {
			add(Plans, func() *proposal { return b.plans(v) })
		}
		if v.Step.BlindAllowed() && v.Rules.Blind {
			add(Blind, func() *proposal { return b.blinds(v) })
			if strong.Count > 0 {
				return list // passes without a blind tile are no choice then
			}
		}
		list = append(list, b.proposePass(v, strong.Own, wanted)...)
	}
	return list
}

// proposePass looks at the choice of three own tiles.
func (b *bench) proposePass(v *charleston.View, strong charleston.Parcel, wanted func(Kind) bool) []*proposal {
	if !wanted(Tempting) && !wanted(Breaking) && !wanted(Switching) {
		return nil
	}
	nearest, _ := b.nearest.Pass(v)
	best := fit.Reading(b.nearestHands(v.Rack)[0])
	p := b.glance(v, charleston.PassTiles)
	var list []*proposal
	if wanted(Tempting) && p.beside(nearest) <= tempted {
		list = append(list, b.tempting(p, strong, nearest))
	}
	if wanted(Breaking) && breaks(&best, strong) {
		if keep := p.first(2, func(own charleston.Parcel) bool { return !breaks(&best, own) }); len(keep) > 0 && p.beside(keep[0]) <= tempted {
			list = append(list, passDrill(Breaking, v, []charleston.Parcel{strong, nearest}, keep, nearest))
		}
	}
	if wanted(Switching) {
		if s := b.switching(p, strong, nearest); s != nil {
			list = append(list, s)
		}
	}
	return list
}

// tempting sets the greedy player's pass beside better ones, one by the rules of thumb, and one that differs from the
// best in a tile.
func (b *bench) tempting(p *passes, strong, nearest charleston.Parcel) *proposal {
	options := []charleston.Parcel{strong}
	if thumb, blind := b.thumb.Pass(p.v); blind == 0 && thumb != nearest {
		options = append(options, thumb)
	}
	options = append(options, p.first(1, func(own charleston.Parcel) bool {
		return own != nearest && p.beside(own) <= similar && common(own, strong) == charleston.PassTiles-1
	})...)
	return passDrill(Tempting, p.v, options, []charleston.Parcel{nearest}, nearest)
}

// common is the number of tiles that two parcels share.
func common(a, b charleston.Parcel) int {
	n := 0
	other := b.Rack()
	for k, c := range a.Rack() {
		n += int(min(c, other[k]))
	}
	return n
}

// breaks says whether a pass takes a tile out of a multiple that a hand uses.
func breaks(r *fit.Reading, own charleston.Parcel) bool { return r.Breaks(own.Rack()).Size() > 0 }

// switching looks for a pass that gives up the hand that was nearest before the last tiles came.
func (b *bench) switching(p *passes, strong, nearest charleston.Parcel) *proposal {
	v := p.v
	before, ok := rackBefore(v)
	if !ok {
		return nil
	}
	old := b.nearestHands(before)[0].Hand
	now := b.handAway(old, v.Rack)
	if now > b.rater.Away(&v.Rack)+1 {
		return nil // it has fallen behind so far that nobody would stay with it
	}
	stays := func(own charleston.Parcel) bool { return b.handAway(old, v.Rack.Minus(own.Rack())) == now }
	if stays(strong) {
		return nil
	}
	keep := p.first(2, stays)
	if len(keep) == 0 || p.beside(keep[0]) > tempted {
		return nil
	}
	return passDrill(Switching, v, []charleston.Parcel{strong, nearest}, keep, nearest)
}

// rackBefore is the rack as it was at the pass before; ok is false at the first.
func rackBefore(v *charleston.View) (before tile.Rack, ok bool) {
	for step := v.Step - 1; step >= charleston.FirstRight; step-- {
		if v.Gave[step].Len() > 0 || v.Blind[step] > 0 {
			return v.Rack.Minus(v.Came[step].Rack()).Plus(v.Gave[step].Rack()), true
		}
	}
	return before, false
}

// plans sets sections beside each other whose best hands are equally near.
func (b *bench) plans(v *charleston.View) *proposal {
	c := b.m.counsel.Game.Card()
	near := b.nearestHands(v.Rack)
	tied := map[int]bool{}
	for i := range near {
		if near[i].Away == near[0].Away {
			tied[near[i].OnCard().Section] = true
		}
	}
	if len(tied) < 2 || len(tied) > 3 {
		return nil
	}
	p := &proposal{Drill: &Drill{Kind: Plans, Position: Position{Seat: v.Seat, View: *v}}}
	for i, name := range c.Sections {
		if tied[i] {
			if i == near[0].OnCard().Section {
				p.nearest = len(p.Choices)
			}
			p.Choices = append(p.Choices, Choice{Section: name})
		}
	}
	return p
}

// blinds sets the four numbers of blind tiles beside each other, each with the own tiles that are missed least.
func (b *bench) blinds(v *charleston.View) *proposal {
	p := &proposal{Drill: &Drill{Kind: Blind, Position: Position{Seat: v.Seat, View: *v}}}
	for blind := 0; blind <= charleston.PassTiles; blind++ {
		g := b.glance(v, charleston.PassTiles-blind)
		if len(g.list) == 0 {
			return nil
		}
		p.Choices = append(p.Choices, Choice{Action: charleston.Action{Seat: v.Seat, Kind: charleston.Pass, Own: g.list[0], Count: blind}})
	}
	return p // nearest never passes blind: choice 0
}

func (b *bench) votes(v *charleston.View) *proposal {
	p := &proposal{Drill: &Drill{Kind: Stopping, Position: Position{Seat: v.Seat, View: *v}}}
	for _, stop := range []bool{false, true} {
		p.Choices = append(p.Choices, Choice{Action: charleston.Action{Seat: v.Seat, Kind: charleston.Vote, Stop: stop}})
	}
	if b.nearest.Stop(v) {
		p.nearest = 1
	}
	return p
}

func (b *bench) offers(v *charleston.View) *proposal {
	p := &proposal{Drill: &Drill{Kind: Courtesy, Position: Position{Seat: v.Seat, View: *v}}}
	for _, n := range []int{0, charleston.PassTiles} {
		p.Choices = append(p.Choices, Choice{Action: charleston.Action{Seat: v.Seat, Kind: charleston.Name, Count: n}})
	}
	if b.nearest.Offer(v) > 1 {
		p.nearest = 1
	}
	return p
}

// decision is what the strong player does.
func (b *bench) decision(v *charleston.View) charleston.Action {
	b.forget()
	return sim.Decide(b.own, v)
}
