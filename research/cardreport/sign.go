package cardreport

import (
	"cmp"
	"slices"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

// The halves of the deals: signs are found on the one and measured on the other.
const (
	finding = iota
	measuring
	halves
)

// halfOf says which half a deal belongs to.
func halfOf(deal int) int { return deal % halves }

// Signs counts, for each half of the deals, racks with each holding and what became of them. All slices
// are empty until something is counted.
type Signs struct {
	// Racks is the number of racks, Came those of which each section came: it was the nearest, or it was won with.
	Racks [halves]int64   `json:"racks"`
	Came  [halves][]int64 `json:"came"`
	// Held is the racks with each holding, Both those of which a section came as well, at
	// [holding x sections + section].
	Held [halves][]int64 `json:"held"`
	Both [halves][]int64 `json:"both"`
}

func newSigns(sections, holdings int) Signs {
	var s Signs
	for half := range halves {
		s.Came[half], s.Held[half] = make([]int64, sections), make([]int64, holdings)
		s.Both[half] = make([]int64, sections*holdings)
	}
	return s
}

// add counts a rack that has some of the holdings; section is what came of it, or negative for none.
func (s *Signs) add(half int, held []int, section int) {
	s.Racks[half]++
	if section >= 0 {
		s.Came[half][section]++
	}
	for _, h := range held {
		s.Held[half][h]++
		if section >= 0 {
			s.Both[half][h*len(s.Came[half])+section]++
		}
	}
}

func (s *Signs) merge(next *Signs) {
	for half := range halves {
		s.Racks[half] += next.Racks[half]
		mergeCounts(&s.Came[half], next.Came[half])
		mergeCounts(&s.Held[half], next.Held[half])
		mergeCounts(&s.Both[half], next.Both[half])
	}
}

// mergeCounts adds counts to others, which may be empty still.
func mergeCounts(into *[]int64, more []int64) {
	if len(*into) < len(more) {
		*into = append(*into, make([]int64, len(more)-len(*into))...)
	}
	for i, n := range more {
		(*into)[i] += n
	}
}

// Sign is a holding that speaks for a section. Its figures are from the half of the deals by which it was not
// found.
type Sign struct {
	Holding
	Name string `json:"name"`
	// Racks with the holding, and those of them of which the section came.
	Racks int `json:"racks"`
	Came  int `json:"came"`
	// Share is Came by Racks, 0..1.
	Share stat.Interval[unit.Chance] `json:"share"`
	// Lift is Share by the share of all racks: 2 is twice as often.
	Lift stat.Interval[unit.Ratio] `json:"lift"`
}

// How signs are chosen; our own choice.
const (
	mostSigns = 5
	// leastCame is the number of racks that must have both the holding and the section, on the half by
	// which signs are found.
	leastCame = 10
)

// best lists the best signs of a section. They are found on one half of the deals: those whose lift there has the
// highest lower limit, above 1, one for each thing measured. That limit is the exact one of a share, by the share of all
// racks, at 2.5 % over all holdings tried (Bonferroni). They are measured on the other half, so that having been picked out of
// many flatters none of them. The interval given is of each sign by itself.
func (s *Signs) best(list []Holding, section int) []Sign {
	type found struct {
		holding int
		low     float64
	}
	var all []found
	alpha := stat.Alpha / 2 / float64(len(list))
	for h := range list {
		if both := s.both(finding, h, section); both >= leastCame {
			exact := stat.ClopperPearsonLow(int(both), int(s.Held[finding][h]), alpha)
			if low := float64(exact) * float64(s.Racks[finding]) / float64(s.Came[finding][section]); low > 1 {
				all = append(all, found{h, low})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b found) int { return cmp.Compare(b.low, a.low) })
	signs := []Sign{}
	for _, f := range all {
		h := list[f.holding]
		same := func(t Sign) bool { return t.Measure == h.Measure && t.Of == h.Of }
		if len(signs) == mostSigns || slices.ContainsFunc(signs, same) {
			continue
		}
		racks, came := int(s.Held[measuring][f.holding]), int(s.both(measuring, f.holding, section))
		signs = append(signs, Sign{h, h.String(), racks, came, stat.Wilson(came, racks), s.lift(measuring, f.holding, section)})
	}
	return signs
}

func (s *Signs) both(half, holding, section int) int64 {
	if len(s.Both[half]) == 0 {
		return 0
	}
	return s.Both[half][holding*len(s.Came[half])+section]
}

func (s *Signs) lift(half, holding, section int) stat.Interval[unit.Ratio] {
	if len(s.Both[half]) == 0 {
		return stat.Lift(0, 0, 0, 0)
	}
	return stat.Lift(s.both(half, holding, section), s.Held[half][holding], s.Came[half][section], s.Racks[half])
}
