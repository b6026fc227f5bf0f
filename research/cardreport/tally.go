package cardreport

import (
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Tally is all that a survey has counted, in whole numbers, so that it is the same however the survey was cut
// up. The zero Tally is a survey that has not begun. As JSON it can be kept and gone on with, by a survey of
// the same settings.
type Tally struct {
	Deals Deals `json:"deals"`
	Games Games `json:"games"`
	Aims  Aims  `json:"aims"`
}

// Merge adds what follows.
func (t *Tally) Merge(next *Tally) {
	t.Deals.Merge(&next.Deals)
	t.Games.Merge(&next.Games)
	t.Aims.Merge(&next.Aims)
}

// Deals is what random racks of 13 tiles add up to.
type Deals struct {
	// Read is the number of racks.
	Read int64 `json:"read"`
	// Hands and Sections are indexed as those of the card.
	Hands    []Start `json:"hands"`
	Sections []Start `json:"sections"`
	// Eased is, by hand, the away as written less the away if the hand took jokers; without data for
	// hands that do.
	Eased []stat.IntMoments[unit.Tiles] `json:"eased"`
	// Signs tell what makes a section the nearest.
	Signs Signs `json:"signs"`
}

// Start is how random deals stand to one hand or section.
type Start struct {
	// Away is how often each number of tiles away was seen.
	Away stat.Histogram `json:"away"`
	// Nearest is how often it was the nearest of the card, by the order of the measures; Among how often none was
	// fewer tiles away.
	Nearest int64 `json:"nearest"`
	Among   int64 `json:"among"`
}

// Merge adds the racks that follow.
func (d *Deals) Merge(next *Deals) {
	d.Read += next.Read
	mergeEach(&d.Hands, next.Hands, (*Start).merge)
	mergeEach(&d.Sections, next.Sections, (*Start).merge)
	mergeEach(&d.Eased, next.Eased, func(m, n *stat.IntMoments[unit.Tiles]) { m.Merge(*n) })
	d.Signs.merge(&next.Signs)
}

func (s *Start) merge(next *Start) {
	s.Away.Merge(next.Away)
	s.Nearest += next.Nearest
	s.Among += next.Among
}

// mergeEach merges lists of equal length, of which the first may be empty still.
func mergeEach[T any](into *[]T, more []T, merge func(a, b *T)) {
	if len(*into) < len(more) {
		*into = append(*into, make([]T, len(more)-len(*into))...)
	}
	for i := range more {
		merge(&(*into)[i], &more[i])
	}
}

// Games is what games of four strong players add up to.
type Games struct {
	// Played is the number of games, Wall of those that nobody won.
	Played int64 `json:"played"`
	Wall   int64 `json:"wall"`
	// Hands and Sections are the numbers of discards before the win, of the games won with each, indexed as those of
	// the card.
	Hands    []stat.Histogram `json:"hands"`
	Sections []stat.Histogram `json:"sections"`
	// Free is the seat that aims take, here without an aim: by wins and points.
	Free Aim `json:"free"`
	// Steps is what was passed, indexed by step; 0 is empty.
	Steps [charleston.Steps]Passed `json:"steps"`
	// Still is, of the tiles of a kind that seats were dealt, those they hold at the end of the passing; Kept is, of
	// those held then, the ones that the nearest hand keeps.
	Still [tile.Kinds]stat.Clusters `json:"still"`
	Kept  [tile.Kinds]stat.Clusters `json:"kept"`
	// Signs tell, for the three seats that are dealt 13 tiles, what makes them win with a section. They count as
	// three racks, although one at most wins, which makes intervals a little too wide.
	Signs Signs `json:"signs"`
}

// Passed is what changed hands at one step.
type Passed struct {
	// Taken is the number of games in which the step took place.
	Taken int64 `json:"taken"`
	// Of is, of the tiles of a kind held by the four seats, those they chose to pass.
	Of [tile.Kinds]stat.Clusters `json:"of"`
	// Gave and Came are tiles by seat: those it chose to pass, and those that it got and that stayed with it.
	Gave [charleston.Seats][tile.Kinds]int64 `json:"gave"`
	Came [charleston.Seats][tile.Kinds]int64 `json:"came"`
	// Blind is the number of tiles handed on unseen by the four seats of a game.
	Blind stat.IntMoments[unit.Tiles] `json:"blind"`
}

// Merge adds the games that follow.
func (g *Games) Merge(next *Games) {
	g.Played += next.Played
	g.Wall += next.Wall
	merge := func(a, b *stat.Histogram) { a.Merge(*b) }
	mergeEach(&g.Hands, next.Hands, merge)
	mergeEach(&g.Sections, next.Sections, merge)
	g.Free.merge(&next.Free)
	for step := range g.Steps {
		g.Steps[step].merge(&next.Steps[step])
	}
	for k := range g.Still {
		g.Still[k].Merge(&next.Still[k])
		g.Kept[k].Merge(&next.Kept[k])
	}
	g.Signs.merge(&next.Signs)
}

func (p *Passed) merge(next *Passed) {
	p.Taken += next.Taken
	p.Blind.Merge(next.Blind)
	for k := range p.Of {
		p.Of[k].Merge(&next.Of[k])
	}
	for seat := range p.Gave {
		for k := range p.Gave[seat] {
			p.Gave[seat][k] += next.Gave[seat][k]
			p.Came[seat][k] += next.Came[seat][k]
		}
	}
}

// Aims is what games with an aim add up to.
type Aims struct {
	// Played is the number of turns taken through the aims, deal by deal, each aim in turn: a survey goes on from it.
	Played int64 `json:"played"`
	// Hands and Sections are indexed as those of the card; without games for those that were not aimed at.
	Hands    []Aim `json:"hands"`
	Sections []Aim `json:"sections"`
	// Open and Jokered are, for concealed hands and hands marked to take no jokers, the same games with the hand made
	// exposed, or let take jokers; without games for other hands, and for those of singles and pairs alone.
	Open    []Change `json:"open"`
	Jokered []Change `json:"jokered"`
}

// Aim is how a seat with an aim did: wins out of Points.N games, and net points.
type Aim struct {
	Wins   int64                           `json:"wins"`
	Points stat.IntMoments[unit.NetPoints] `json:"points"`
}

func (a *Aim) add(won bool, points int) {
	if won {
		a.Wins++
	}
	a.Points.Add(points)
}

func (a *Aim) merge(next *Aim) {
	a.Wins += next.Wins
	a.Points.Merge(next.Points)
}

// Change is a hand without one of its restrictions against the hand as written, on the same deals: games won
// both ways, one way or neither, and the net points without the restriction less those with it.
type Change struct {
	Both    int64                           `json:"both"`
	Eased   int64                           `json:"eased"`
	Written int64                           `json:"written"`
	Neither int64                           `json:"neither"`
	Points  stat.IntMoments[unit.NetPoints] `json:"points"`
}

func (c *Change) add(eased, written bool, points int) {
	switch {
	case eased && written:
		c.Both++
	case eased:
		c.Eased++
	case written:
		c.Written++
	default:
		c.Neither++
	}
	c.Points.Add(points)
}

func (c *Change) merge(next *Change) {
	c.Both += next.Both
	c.Eased += next.Eased
	c.Written += next.Written
	c.Neither += next.Neither
	c.Points.Merge(next.Points)
}

// Merge adds the games that follow.
func (a *Aims) Merge(next *Aims) {
	a.Played += next.Played
	mergeEach(&a.Hands, next.Hands, (*Aim).merge)
	mergeEach(&a.Sections, next.Sections, (*Aim).merge)
	mergeEach(&a.Open, next.Open, (*Change).merge)
	mergeEach(&a.Jokered, next.Jokered, (*Change).merge)
}
