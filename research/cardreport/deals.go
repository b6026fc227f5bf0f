package cardreport

import (
	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// dealReader reads racks for one core: of each deal the one of South, 13 tiles of the whole set.
func (s *Survey) dealReader() func(sim.Shard) (*Deals, error) {
	r := reader{survey: s, rater: fit.NewRater(s.index)}
	if s.eased != nil {
		r.eased = fit.NewRater(s.eased)
	}
	return func(shard sim.Shard) (*Deals, error) {
		c := s.Card
		d := &Deals{
			Hands: make([]Start, len(c.Hands)), Sections: make([]Start, len(c.Sections)),
			Eased: make([]stat.IntMoments[unit.Tiles], len(c.Hands)), Signs: newSigns(len(c.Sections), len(s.holdings)),
		}
		for n := shard.First; n < shard.First+shard.Count; n++ {
			racks, _ := table.Deal(c.Set, sim.Stream(s.Seed, uint64(n), "deal"))
			r.read(d, &racks[charleston.South], halfOf(n))
		}
		return d, nil
	}
}

type reader struct {
	survey *Survey
	rater  *fit.Rater
	// eased is nil where no hand could take jokers that does not.
	eased *fit.Rater
	// near, easier and held are working memory.
	near, easier []fit.Reading
	held         []int
}

func (r *reader) read(d *Deals, rack *tile.Rack, half int) {
	c := r.survey.Card
	r.near, _ = r.rater.Nearest(rack, len(c.Hands), r.near[:0])
	d.Read++
	seen := make([]bool, len(c.Sections))
	for i := range r.near {
		hand := &r.near[i]
		d.Hands[hand.Hand].add(hand.Away, r.near[0].Away, i == 0)
		// Hands come best first, so that the first of a section is the section's.
		if section := c.Hands[hand.Hand].Section; !seen[section] {
			seen[section] = true
			d.Sections[section].add(hand.Away, r.near[0].Away, i == 0)
		}
	}
	r.held = r.survey.holds(rack, r.held[:0])
	d.Signs.add(half, r.held, c.Hands[r.near[0].Hand].Section)
	if r.eased != nil {
		r.readEased(d, rack)
	}
}

// readEased compares the away of the hands marked to take no jokers with what it would be if they did.
func (r *reader) readEased(d *Deals, rack *tile.Rack) {
	r.easier, _ = r.eased.Nearest(rack, len(d.Hands), r.easier[:0])
	for i := range r.easier {
		for j := range r.near {
			if r.near[j].Hand == r.easier[i].Hand {
				d.Eased[r.near[j].Hand].Add(r.near[j].Away - r.easier[i].Away)
			}
		}
	}
}

func (s *Start) add(away, least int, nearest bool) {
	s.Away.Add(away)
	if away == least {
		s.Among++
	}
	if nearest {
		s.Nearest++
	}
}

// holds appends to dst the holdings that a rack has.
func (s *Survey) holds(rack *tile.Rack, dst []int) []int {
	for i, h := range s.holdings {
		if h.In(rack) {
			dst = append(dst, i)
		}
	}
	return dst
}
