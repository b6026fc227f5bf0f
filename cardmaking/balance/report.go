package balance

import (
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Report says how even a card came out.
type Report struct {
	Seed uint64 `json:"seed"`
	// Rounds and SearchGames are those of the search, Games the fresh ones of Before and After each.
	Rounds      int  `json:"rounds"`
	SearchGames int  `json:"search_games"`
	Games       int  `json:"games"`
	Band        Band `json:"band"`
	// Redrawn counts the hands that were not on the card before.
	Redrawn int `json:"redrawn"`
	// Held says that the shares After lie in the band.
	Held   bool   `json:"held"`
	Before *Table `json:"before"`
	After  *Table `json:"after"`
}

// Table is how often the hands and sections of a card were won.
type Table struct {
	Hands    []Share `json:"hands"`
	Sections []Share `json:"sections"`
	// Wall is the share of games that nobody won.
	Wall stat.Interval[unit.Chance] `json:"wall_games"`
}

// Share is a hand's or section's share of the games won.
type Share struct {
	Name      string `json:"name"`
	Pattern   string `json:"pattern,omitempty"`
	Points    int    `json:"points,omitempty"`
	Concealed bool   `json:"concealed,omitempty"`
	// Won is the share, 0..1, with its Wilson interval.
	Won stat.Interval[unit.Chance] `json:"won"`
	// Ratio is Won by the even share.
	Ratio stat.Interval[unit.Ratio] `json:"ratio"`
}

// Measure works out the shares from games on a card.
func Measure(c *card.Card, w *Wins) *Table {
	t := &Table{Wall: stat.Wilson(w.Wall, w.Games)}
	hands := float64(len(c.Hands))
	won := make([]int, len(c.Sections))
	for i := range c.Hands {
		h := &c.Hands[i]
		s := share(h.Name, w.Hands[i], w.Won(), 1/hands)
		s.Pattern, s.Points, s.Concealed = h.Pattern, h.Points, h.Concealed
		t.Hands = append(t.Hands, s)
		won[h.Section] += w.Hands[i]
	}
	for i, name := range c.Sections {
		t.Sections = append(t.Sections, share(name, won[i], w.Won(), float64(len(c.SectionOf(i)))/hands))
	}
	return t
}

func share(name string, won, games int, even float64) Share {
	s := Share{Name: name, Won: stat.Wilson(won, games)}
	s.Ratio = stat.Over[unit.Ratio](s.Won, even)
	return s
}

// Outside lists the names of the hands and sections whose share lies outside of a band.
func (t *Table) Outside(b Band) []string {
	var names []string
	for _, i := range t.outside(b) {
		names = append(names, t.Hands[i].Name)
	}
	for _, s := range t.Sections {
		if s.Ratio.Value < b.SectionLow || s.Ratio.Value > b.SectionHigh {
			names = append(names, s.Name)
		}
	}
	return names
}

// outside lists the hands whose shares lie outside of a band, by their indices.
func (t *Table) outside(b Band) []int {
	var list []int
	for i, s := range t.Hands {
		if s.Ratio.Value < b.HandLow || s.Ratio.Value > b.HandHigh {
			list = append(list, i)
		}
	}
	return list
}

// Extremes are the smallest and the largest share of a hand by the even share.
func (t *Table) Extremes() (low, high unit.Ratio) {
	low, high = t.Hands[0].Ratio.Value, t.Hands[0].Ratio.Value
	for _, s := range t.Hands {
		low, high = min(low, s.Ratio.Value), max(high, s.Ratio.Value)
	}
	return low, high
}

// Within says that the intervals of all shares lie in a band, ends included.
func (t *Table) Within(b Band) bool {
	for _, s := range t.Sections {
		if s.Ratio.Low < b.SectionLow || s.Ratio.High > b.SectionHigh {
			return false
		}
	}
	return len(t.beyond(b)) == 0
}

// beyond lists the hands whose intervals reach out of a band, by their indices.
func (t *Table) beyond(b Band) []int {
	var list []int
	for i, s := range t.Hands {
		if s.Ratio.Low < b.HandLow || s.Ratio.High > b.HandHigh {
			list = append(list, i)
		}
	}
	return list
}

// redrawn counts the hands of a card that another has not.
func redrawn(before, after *card.Card) int {
	had := map[string]bool{}
	for i := range before.Hands {
		had[text(&before.Hands[i])] = true
	}
	n := 0
	for i := range after.Hands {
		if !had[text(&after.Hands[i])] {
			n++
		}
	}
	return n
}

func text(h *card.Hand) string {
	exposure := " exposed"
	if h.Concealed {
		exposure = " concealed"
	}
	return h.Pattern + " " + h.Options + exposure
}

func read(text string) (*card.Card, error) {
	c, _, err := card.Read("drawn.card", []byte(text), tile.Usual)
	return c, err
}
