package experiment

import (
	"fmt"
	"strconv"
	"strings"

	"secondpass/rules/house"
)

// Text is the experiment as a file that [Read] reads back. Usual values are left out.
func (s *Experiment) Text() string {
	var b strings.Builder
	line := func(word, rest string) { fmt.Fprintf(&b, "%-10s %s\n", word, rest) }
	line("experiment", quote(s.Name))
	if s.Asks != "" {
		line("asks", quote(s.Asks))
	}
	if s.Cell != "" {
		line("cell", quote(s.Cell))
	}
	if s.Together > 0 {
		line("together", strconv.Itoa(s.Together))
	}
	if s.House.Tiles != house.Usual.Tiles {
		line("tiles", s.House.Text())
	}
	if off := offIn(s.House); len(off) > 0 {
		line("house", strings.Join(off, " ; "))
	}
	if p := s.Population.String(); p != "" {
		line("population", p)
	}
	if s.Seat != Everywhere {
		line("seat", s.Seat)
	}
	if s.Others != New().Others {
		line("others", s.Others)
	}
	line("measure", s.Measure.String())
	if s.Split != nil {
		line("split", s.Split.String())
	}
	if s.Among != nil {
		line("among", s.Among.String())
	}
	line("claim", s.ClaimText())
	for _, q := range s.Also {
		line("also", q.String()+" ; "+q.text())
	}
	if s.AllPairs {
		line("compare", "all")
	}
	line("deals", strconv.Itoa(s.Deals))
	if s.UntilVerdict {
		line("until", "verdict")
	}
	if s.Pairing != SameWall && int(s.Pairing) < len(pairingWords) {
		line("pairing", pairingWords[s.Pairing])
	}
	for i := range s.Ways {
		line("way", s.Ways[i].text())
	}
	return b.String()
}

// ClaimText is the claim as a file has it: "more by 0.5 %", or "less by 0.2" where the measure is no share.
func (s *Experiment) ClaimText() string { return Question{s.Measure, s.Claim}.text() }

// text is the claim of a question as a file has it.
func (q Question) text() string {
	direction, effect, unit := "more", q.Effect, ""
	if q.Less {
		direction = "less"
	}
	if q.Share() {
		effect, unit = effect*percent, " %"
	}
	return direction + " by " + strconv.FormatFloat(float64(effect), 'g', 12, 64) + unit
}

// percent is how many per cent one is.
const percent = 100

func (w *Way) text() string {
	parts := []string{quote(w.Name) + " " + w.Player}
	parts = append(parts, offIn(w.House)...)
	if w.Fill > 0 && int(w.Fill) < len(fillWords) {
		parts = append(parts, "fill "+fillWords[w.Fill])
	}
	if w.Measure != nil {
		parts = append(parts, "measure "+w.Measure.String())
	}
	return strings.Join(parts, " ; ")
}

// switches are the house rules that a way can be without: the set is the same for all.
var switches = house.Of(house.OfPassing | house.OfPlay)

// offIn are the switches that are off, as files have them.
func offIn(h house.House) []string {
	var off []string
	for _, rule := range switches {
		if !rule.On(h) {
			off = append(off, rule.Said(h))
		}
	}
	return off
}

// turnOff reads one of those, and says whether it is one.
func turnOff(h *house.House, text string) bool {
	for _, rule := range switches {
		off := *h
		if rule.Turn(&off, false); text == rule.Said(off) {
			*h = off
			return true
		}
	}
	return false
}

func quote(text string) string { return `"` + text + `"` }
