package drill

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// CardReading is a rack to be read: which sections hold the nearest hands, and which hands are in reach?
type CardReading struct {
	Rack tile.Rack
	// Away is how far the nearest hands are.
	Away int
	// Sections are those of the nearest hands, Hands the options: hands at most one further away. Both index the card, in
	// rising order.
	Sections, Hands []int
}

// maxReadings is how many deals are looked through for a rack that can be read.
const maxReadings = 1000

const (
	// mostSections and mostHands bound what a reading asks for: more is a list to copy, not a rack to read.
	mostSections, mostHands = 2, 6
)

// NewCardReading deals a rack to read by the seed: one of 13 tiles whose nearest hands stand in few sections.
func NewCardReading(c *card.Card, x *fit.Index, seed uint64) (CardReading, error) {
	rater := fit.NewRater(x)
	for trial := range uint64(maxReadings) {
		racks, _ := table.Deal(c.Set, sim.Stream(seed, trial, "reading"))
		r := Read(rater, len(c.Hands), racks[charleston.South])
		if len(r.Sections) <= mostSections && len(r.Hands) <= mostHands {
			return r, nil
		}
	}
	return CardReading{}, fmt.Errorf("none of %d racks is near few enough sections of the card to be read", maxReadings)
}

// Read works out the answers for a rack; hands is the number of hands of the rater's card.
func Read(rater *fit.Rater, hands int, rack tile.Rack) CardReading {
	near, options := rater.Nearest(&rack, hands, nil)
	r := CardReading{Rack: rack, Away: near[0].Away}
	for i := range near[:options] {
		r.Hands = append(r.Hands, near[i].Hand)
		if near[i].Away == near[0].Away {
			r.Sections = append(r.Sections, near[i].OnCard().Section)
		}
	}
	slices.Sort(r.Hands)
	slices.Sort(r.Sections)
	r.Sections = slices.Compact(r.Sections)
	return r
}

// Marks is how an answer compares with what is right.
type Marks struct {
	// Hit was named and is right, Missed is right and was not named, Wrong was named and is not right; names of
	// sections or hands.
	Hit, Missed, Wrong []string
}

// Right says whether the answer is complete and nothing in it is wrong.
func (m *Marks) Right() bool { return len(m.Missed) == 0 && len(m.Wrong) == 0 }

// Mark compares names of sections, or of hands, with the reading. Names that the card does not have are an error.
func (r *CardReading) Mark(c *card.Card, names []string, hands bool) (Marks, error) {
	list := c.Sections
	right := r.Sections
	if hands {
		list, right = nil, r.Hands
		for i := range c.Hands {
			list = append(list, c.Hands[i].Name)
		}
	}
	var m Marks
	named := map[int]bool{}
	for _, name := range names {
		i := slices.IndexFunc(list, func(s string) bool { return strings.EqualFold(s, strings.TrimSpace(name)) })
		if i < 0 {
			return m, fmt.Errorf("%q is not on the card; it has %s", name, strings.Join(list, ", "))
		}
		named[i] = true
	}
	for i, name := range list {
		switch is := slices.Contains(right, i); {
		case is && named[i]:
			m.Hit = append(m.Hit, name)
		case is:
			m.Missed = append(m.Missed, name)
		case named[i]:
			m.Wrong = append(m.Wrong, name)
		}
	}
	return m, nil
}

// Answered is a try of the reading.
func (r *CardReading) Answered(m *Marks, names []string, at time.Time, taken, limit time.Duration) Try {
	return Try{Kind: OfReading, Step: charleston.FirstRight.Key(), About: r.Rack.String(), Answer: strings.Join(names, ", "),
		Right: m.Right(), Taken: taken, Limit: limit, At: at}
}
