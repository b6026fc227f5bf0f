package cardreport

import (
	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// gamePlayer plays games of four strong players for one core.
func (s *Survey) gamePlayer() func(sim.Shard) (*Games, error) {
	p := gamePlayer{survey: s, rater: fit.NewRater(s.index), tables: sim.Tables{Game: s.game}}
	for i := range p.tables.Players {
		p.tables.Players[i] = s.kit.New()
	}
	return func(shard sim.Shard) (*Games, error) {
		c := s.Card
		g := &Games{
			Hands: make([]stat.Histogram, len(c.Hands)), Sections: make([]stat.Histogram, len(c.Sections)),
			Signs: newSigns(len(c.Sections), len(s.holdings)),
		}
		for n := shard.First; n < shard.First+shard.Count; n++ {
			if err := p.play(g, n); err != nil {
				return nil, err
			}
		}
		return g, nil
	}
}

type gamePlayer struct {
	survey *Survey
	rater  *fit.Rater
	tables sim.Tables
	// near and held are working memory.
	near []fit.Reading
	held []int
}

// play plays one game as sim.Tables does, with a look at the racks after the passes.
func (p *gamePlayer) play(g *Games, n int) error {
	set := p.survey.game.Set()
	racks, wall := table.Deal(set, sim.Stream(p.survey.Seed, uint64(n), "deal"))
	lots := sim.Stream(p.survey.Seed, uint64(n), "lots")
	for _, player := range p.tables.Players {
		player.Begin(lots)
	}
	dealt := racks
	var o sim.Outcome
	if result, ok := p.survey.game.DealtWin(racks[charleston.East]); ok {
		o.Result = result
		p.count(g, &o, &dealt, n)
		return nil
	}
	passing, err := charleston.Start(racks, p.survey.House.Passing, set)
	if err != nil {
		return err
	}
	if err := p.tables.Pass(&passing, lots, &o); err != nil {
		return err
	}
	p.countPasses(g, &passing, &dealt)
	for seat := range racks {
		racks[seat] = passing.Rack(charleston.Seat(seat))
	}
	p.countKept(g, &dealt, &racks)
	state, err := p.survey.game.Start(racks, wall)
	if err != nil {
		return err
	}
	if err := p.tables.Finish(&state, &o); err != nil {
		return err
	}
	p.count(g, &o, &dealt, n)
	return nil
}

// count takes in how a game ended.
func (p *gamePlayer) count(g *Games, o *sim.Outcome, dealt *[charleston.Seats]tile.Rack, n int) {
	won := o.Ending.Won()
	seat := aimedSeat(n)
	g.Played++
	g.Free.add(won && o.Winner == seat, o.Net[seat])
	section := -1
	if won {
		hand := p.survey.Card.Variants[o.Variant].Hand
		section = p.survey.Card.Hands[hand].Section
		g.Hands[hand].Add(o.Turns)
		g.Sections[section].Add(o.Turns)
	} else {
		g.Wall++
	}
	for seat := charleston.South; seat < charleston.Seats; seat++ {
		p.held = p.survey.holds(&dealt[seat], p.held[:0])
		came := -1
		if won && o.Winner == seat {
			came = section
		}
		g.Signs.add(halfOf(n), p.held, came)
	}
}

// countPasses follows the racks through the steps.
func (p *gamePlayer) countPasses(g *Games, passing *charleston.State, dealt *[charleston.Seats]tile.Rack) {
	racks := *dealt
	var views [charleston.Seats]charleston.View
	for seat := range views {
		views[seat] = passing.View(charleston.Seat(seat))
	}
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		var gave, had tile.Rack
		blind, took := 0, false
		for seat := range views {
			v := &views[seat]
			own, came := v.Gave[step].Rack(), v.Came[step].Rack()
			gave, had = gave.Plus(own), had.Plus(racks[seat])
			racks[seat] = racks[seat].Minus(own).Plus(came)
			g.Steps[step].addTiles(seat, &own, &came)
			if step != charleston.Courtesy { // there it is the number named
				blind += v.Blind[step]
			}
			took = took || own.Size()+v.Blind[step] > 0
		}
		if took {
			g.Steps[step].addStep(&gave, &had, blind)
		}
	}
}

func (p *Passed) addTiles(seat int, own, came *tile.Rack) {
	for k := range own {
		p.Gave[seat][k] += int64(own[k])
		p.Came[seat][k] += int64(came[k])
	}
}

func (p *Passed) addStep(gave, had *tile.Rack, blind int) {
	p.Taken++
	p.Blind.Add(blind)
	for k := range gave {
		p.Of[k].Add(int(gave[k]), int(had[k]))
	}
}

// countKept compares the racks at the end of the passing with those dealt and with the nearest hand.
func (p *gamePlayer) countKept(g *Games, dealt, racks *[charleston.Seats]tile.Rack) {
	var was, still, has, kept [tile.Kinds]int
	for seat := range racks {
		p.near, _ = p.rater.Nearest(&racks[seat], 1, p.near[:0])
		for k := range was {
			was[k] += int(dealt[seat][k])
			still[k] += int(min(dealt[seat][k], racks[seat][k]))
			has[k] += int(racks[seat][k])
			kept[k] += int(p.near[0].Keep[k])
		}
	}
	for k := range was {
		g.Still[k].Add(still[k], was[k])
		g.Kept[k].Add(kept[k], has[k])
	}
}
