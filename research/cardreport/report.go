package cardreport

import (
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Report is what a card is like, as far as a survey has come. Shares are 0..1, all intervals 95 %. Where
// nothing was counted, N of an interval is 0.
type Report struct {
	Card string `json:"card"`
	// House is the house rules by which it was counted.
	House house.House `json:"house"`
	Seed  uint64      `json:"seed"`
	// Deals is the number of random racks of 13 tiles, Games of games of four strong players, Aimed of games
	// with each aim; the last aims may have one fewer where a survey was stopped.
	Deals int `json:"deals"`
	Games int `json:"games"`
	Aimed int `json:"games_with_each_aim"`
	// Stopped says that the survey was to go on further.
	Stopped bool `json:"stopped"`
	// Wall is the share of games that nobody won.
	Wall stat.Interval[unit.Chance] `json:"wall_games"`
	// Free is how a strong player does without an aim at the seat where others aim.
	Free Result `json:"free"`
	// Sections and Hands are indexed as those of the card.
	Sections []Section `json:"sections"`
	Hands    []Hand    `json:"hands"`
	// Shared is the map of neighbours, in tiles, 0 to 14, indexed twice as Card.Hands; see the function [Shared].
	Shared [][]float64 `json:"shared"`
	// Kinds are all kinds in canonical order, jokers last.
	Kinds []Kind `json:"kinds"`
	// Steps are the seven steps, in their order.
	Steps []Step `json:"steps"`
}

// Distribution is how often each whole number was seen.
type Distribution[U unit.Unit] struct {
	// Counts is indexed by the number.
	Counts stat.Histogram `json:"counts"`
	// Mean is in the unit of the numbers.
	Mean stat.Interval[U] `json:"mean"`
}

func distribution[U unit.Unit](h stat.Histogram) Distribution[U] {
	if h == nil {
		h = stat.Histogram{}
	}
	return Distribution[U]{h, stat.MeanT[U](h.Moments())}
}

// Share is the share of one number, 0..1.
func (d *Distribution[U]) Share(number int) stat.Interval[unit.Chance] {
	return d.Between(number, number)
}

// Between is the share of the numbers from low to high, both included, 0..1.
func (d *Distribution[U]) Between(low, high int) stat.Interval[unit.Chance] {
	return stat.Wilson(d.Counts.AtMost(high)-d.Counts.AtMost(low-1), d.Counts.Count())
}

// Result is how a seat did: share of games won, and mean net points a game.
type Result struct {
	Wins   stat.Interval[unit.Chance]    `json:"wins"`
	Points stat.Interval[unit.NetPoints] `json:"points"`
}

func (a *Aim) result() Result {
	return Result{stat.Wilson(int(a.Wins), int(a.Points.N)), stat.MeanT[unit.NetPoints](a.Points)}
}

// Figures are what there is to say of a hand and of a section alike.
type Figures struct {
	Name string `json:"name"`
	// Away is how many tiles away a random rack of 13 is.
	Away Distribution[unit.Tiles] `json:"away"`
	// Nearest is the share of racks to which it is the nearest of the card, by the order of the measures; Among that to
	// which nothing is fewer tiles away.
	Nearest stat.Interval[unit.Chance] `json:"nearest"`
	Among   stat.Interval[unit.Chance] `json:"among_nearest"`
	// Won is the share of games of four strong players that some seat won with it, Turns the number of discards of all
	// seats before the win.
	Won   stat.Interval[unit.Chance] `json:"won"`
	Turns Distribution[unit.Count]   `json:"turns"`
	// Aimed is how a strong player does who steers for nothing else, against three strong ones; nil where nobody did.
	Aimed *Result `json:"aimed,omitempty"`
}

// Section is the figures of a section.
type Section struct {
	Figures
	// Nearer are the holdings of a deal that speak for the section to be the nearest, Wins those that speak for
	// the seat to win with it.
	Nearer []Sign `json:"signs_nearest"`
	Wins   []Sign `json:"signs_won"`
	// AllNearest and AllWon are the shares of all racks that a lift goes by, over the half of the deals that signs are measured on.
	AllNearest stat.Interval[unit.Chance] `json:"measured_nearest"`
	AllWon     stat.Interval[unit.Chance] `json:"measured_won"`
}

// Hand is the figures of a hand.
type Hand struct {
	Figures
	Section string `json:"section"`
	// Neighbours are the hands that share most with it, best first.
	Neighbours []Neighbour `json:"neighbours"`
	// Concealed and Jokerless are what those restrictions cost; nil for hands without them, and for hands of singles
	// and pairs alone, which could neither be laid open nor take a joker anyway.
	Concealed *Restriction `json:"concealed,omitempty"`
	Jokerless *Restriction `json:"jokerless,omitempty"`
}

// Restriction is what it costs a hand to be concealed, or to take no jokers: the same hand on a card where it is
// not, less the hand as written, on the same deals. Points on the card stay as they are.
type Restriction struct {
	// Away is by how many tiles random racks are nearer without it; nil for concealed hands, to which racks are as
	// near.
	Away *stat.Interval[unit.Tiles] `json:"away,omitempty"`
	// Wins is the difference of the win shares, -1..1, when one seat aims at the hand against three who do not, and
	// Points that of its net points a game; nil where nobody did.
	Wins   *stat.Interval[unit.ChanceDifference] `json:"wins,omitempty"`
	Points *stat.Interval[unit.NetPoints]        `json:"points,omitempty"`
}

// Kind is one kind of tile.
type Kind struct {
	Kind string `json:"kind"`
	// Hands is the share of hands that have a variant with the kind, Variants the mean over the hands of the share of
	// such variants, Tiles the mean number of such tiles in a complete hand, 0 to 14, over the variants of a hand and
	// then the hands. These are of the card and not simulated.
	Hands    float64 `json:"hands"`
	Variants float64 `json:"variants"`
	Tiles    float64 `json:"tiles"`
	// Still is, of the tiles of the kind that strong players are dealt, the share that they hold at the end of the passing;
	// Kept is, of those held then, the share that the nearest hand keeps. N counts games.
	Still stat.Interval[unit.Chance] `json:"still_held"`
	Kept  stat.Interval[unit.Chance] `json:"kept"`
}

// Step is what four strong players pass at one step.
type Step struct {
	Step      string `json:"step"`
	Direction string `json:"direction"`
	// Taken is the share of games in which it took place.
	Taken stat.Interval[unit.Chance] `json:"taken"`
	// Tiles is the tiles that the four seats chose to pass in all, Blind the mean number of tiles a game handed on
	// unseen; at steps one to six the two make twelve a game.
	Tiles int                       `json:"tiles"`
	Blind stat.Interval[unit.Tiles] `json:"blind"`
	// Passed is, by kind, the share of the tiles of the kind held that were chosen to be passed; N counts games.
	Passed []stat.Interval[unit.Chance] `json:"passed"`
	// Gave and Came are tiles by seat (East, South, West, North) and kind: those it chose to pass, and those that
	// came to stay with it. Without blind passes Came is Gave of the seat whose pass reaches it; with them tiles go
	// further.
	Gave [charleston.Seats][]int64 `json:"gave"`
	Came [charleston.Seats][]int64 `json:"came"`
}

// Report works out the figures of a tally.
func (s *Survey) Report(t *Tally) *Report {
	r := &Report{
		Card: s.Card.Name, House: s.game.House(), Seed: s.Seed, Deals: int(t.Deals.Read), Games: int(t.Games.Played), Free: t.Games.Free.result(),
		Wall: stat.Wilson(int(t.Games.Wall), int(t.Games.Played)), Shared: Shared(s.Card), Kinds: s.kinds(t),
	}
	r.Stopped = r.Deals < s.Deals || r.Games < s.Games || int(t.Aims.Played) < s.AimTurns()
	for h := range s.Card.Hands {
		hand := Hand{
			Figures: s.figures(t, s.Card.Hands[h].Name, at(t.Deals.Hands, h), at(t.Games.Hands, h), at(t.Aims.Hands, h)),
			Section: s.Card.Sections[s.Card.Hands[h].Section], Neighbours: neighboursOf(s.Card, r.Shared, h),
		}
		hand.Concealed, hand.Jokerless = s.restrictions(t, h)
		r.Hands = append(r.Hands, hand)
	}
	for i, name := range s.Card.Sections {
		r.Sections = append(r.Sections, Section{
			Figures: s.figures(t, name, at(t.Deals.Sections, i), at(t.Games.Sections, i), at(t.Aims.Sections, i)),
			Nearer:  t.Deals.Signs.best(s.holdings, i), Wins: t.Games.Signs.best(s.holdings, i),
			AllNearest: t.Deals.Signs.all(i), AllWon: t.Games.Signs.all(i),
		})
	}
	if len(s.aims) > 0 {
		r.Aimed = (int(t.Aims.Played) + len(s.aims) - 1) / len(s.aims)
	}
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		r.Steps = append(r.Steps, t.Games.Steps[step].report(step, t.Games.Played))
	}
	return r
}

// at is an element of a list that may be empty still.
func at[T any](list []T, i int) (v T) {
	if i < len(list) {
		v = list[i]
	}
	return v
}

func (s *Survey) figures(t *Tally, name string, start Start, turns stat.Histogram, aim Aim) Figures {
	f := Figures{
		Name: name, Away: distribution[unit.Tiles](start.Away), Turns: distribution[unit.Count](turns),
		Nearest: stat.Wilson(int(start.Nearest), int(t.Deals.Read)), Among: stat.Wilson(int(start.Among), int(t.Deals.Read)),
		Won: stat.Wilson(turns.Count(), int(t.Games.Played)),
	}
	if aim.Points.N > 0 {
		result := aim.result()
		f.Aimed = &result
	}
	return f
}

func (s *Survey) restrictions(t *Tally, hand int) (concealed, jokerless *Restriction) {
	if couldBeOpen(s.Card, hand) {
		concealed = &Restriction{}
		concealed.play(at(t.Aims.Open, hand))
	}
	if couldTakeJokers(s.Card, hand) {
		jokerless = &Restriction{}
		jokerless.play(at(t.Aims.Jokered, hand))
		if m := at(t.Deals.Eased, hand); m.N > 0 {
			away := stat.MeanT[unit.Tiles](m)
			jokerless.Away = &away
		}
	}
	return concealed, jokerless
}

func (r *Restriction) play(c Change) {
	if c.Points.N > 0 {
		wins, points := c.wins(), stat.MeanT[unit.NetPoints](c.Points)
		r.Wins, r.Points = &wins, &points
	}
}

// all is the share of all racks, on the half by which signs are measured, of which a section came.
func (s *Signs) all(section int) stat.Interval[unit.Chance] {
	return stat.Wilson(int(at(s.Came[measuring], section)), int(s.Racks[measuring]))
}

func (p *Passed) report(step charleston.Step, games int64) Step {
	r := Step{
		Step: step.Key(), Direction: step.Direction().String(), Taken: stat.Wilson(int(p.Taken), int(games)),
		Blind: stat.MeanT[unit.Tiles](p.Blind),
	}
	for k := range p.Of {
		r.Passed = append(r.Passed, p.Of[k].Share())
		r.Tiles += int(p.Of[k].Part)
	}
	for seat := range p.Gave {
		r.Gave[seat] = append(r.Gave[seat], p.Gave[seat][:]...)
		r.Came[seat] = append(r.Came[seat], p.Came[seat][:]...)
	}
	return r
}

// kinds says how much each kind is wanted, by the card and by those who play it.
func (s *Survey) kinds(t *Tally) []Kind {
	wants := Wanted(s.Card)
	kinds := make([]Kind, tile.Kinds)
	for k := range kinds {
		w := wants[k]
		kinds[k] = Kind{
			Kind: tile.Kind(k).String(), Hands: w.Hands, Variants: w.Variants, Tiles: w.Tiles,
			Still: t.Games.Still[k].Share(), Kept: t.Games.Kept[k].Share(),
		}
	}
	return kinds
}

// Want is how much a card asks for one kind of tile; see [Kind] for the three figures.
type Want struct{ Hands, Variants, Tiles float64 }

// Wanted is how much a card asks for each kind, every hand counting alike. Jokers, which no hand asks
// for, are 0.
func Wanted(c *card.Card) (wants [tile.Kinds]Want) {
	hands := 0
	for h := range c.Hands {
		variants := c.VariantsOf(h)
		if len(variants) == 0 {
			continue
		}
		hands++
		var with, tiles [tile.Kinds]int
		for i := range variants {
			for k, n := range variants[i].Small.Plus(variants[i].Large) {
				tiles[k] += int(n)
				if n > 0 {
					with[k]++
				}
			}
		}
		for k := range wants {
			if with[k] > 0 {
				wants[k].Hands++
			}
			wants[k].Variants += float64(with[k]) / float64(len(variants))
			wants[k].Tiles += float64(tiles[k]) / float64(len(variants))
		}
	}
	for k := range wants {
		n := float64(max(hands, 1))
		wants[k].Hands, wants[k].Variants, wants[k].Tiles = wants[k].Hands/n, wants[k].Variants/n, wants[k].Tiles/n
	}
	return wants
}
