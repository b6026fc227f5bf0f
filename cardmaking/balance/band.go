package balance

import (
	"math"

	"secondpass/engine/unit"
)

// Band is how far from even win shares may lie, as factors of the even share: for a hand 1/hands of the
// games won, for a section its number of hands times that.
type Band struct {
	HandLow     unit.Ratio `json:"hand_low"`
	HandHigh    unit.Ratio `json:"hand_high"`
	SectionLow  unit.Ratio `json:"section_low"`
	SectionHigh unit.Ratio `json:"section_high"`
}

// Usual is the band that composed cards are held to: each hand wins from a fifth to three times its
// even share, each section from a half to twice. Our choice.
var Usual = Band{HandLow: 1. / 5, HandHigh: 3, SectionLow: 1. / 2, SectionHigh: 2}

// kept is the band that a hand or section is thought to lie in unless it is to be drawn anew, aimed the one that
// costs nothing beyond unevenness: each narrower than the one before, so that what holds by some games holds
// by others and a hand at the edge does not come and go.
var (
	kept  = Band{HandLow: 0.28, HandHigh: 2.4, SectionLow: 0.6, SectionHigh: 1.65}
	aimed = Band{HandLow: 0.4, HandHigh: 2, SectionLow: 0.7, SectionHigh: 1.4}
)

// The weights of unevenness beside the blemish of package compose; our choice.
const (
	forHand    = 50
	forSection = 30
	forOutside = 1500
)

// uneven is how far hands are from even by what is thought of their strengths: the mean square of
// the logarithm of share by even share, doubt included, for hands and sections, and more for what
// lies outside of the band aimed at.
func (m *model) uneven(hands []int, sections int) float64 {
	even, bySection := m.even(hands, sections)
	cost := 0.0
	for _, h := range hands {
		off := m.mean[h] - even
		over := beyond(off, aimed.HandLow, aimed.HandHigh)
		cost += (float64(forHand*(float64(off*off)+m.doubt[h])) + float64(forOutside*over*over)) / float64(len(hands))
	}
	for _, off := range bySection {
		over := beyond(off, aimed.SectionLow, aimed.SectionHigh)
		cost += (float64(forSection*off*off) + float64(forOutside*over*over)) / float64(sections)
	}
	return cost
}

// even is the strength that each hand would have if all were alike, and how far each section lies from
// it.
func (m *model) even(hands []int, sections int) (even float64, bySection []float64) {
	bySection = make([]float64, sections)
	count := make([]float64, sections)
	sum := 0.0
	for _, h := range hands {
		s := math.Exp(m.mean[h])
		sum += s
		bySection[m.section[h]] += s
		count[m.section[h]]++
	}
	even = math.Log(sum / float64(len(hands)))
	for s := range bySection {
		bySection[s] = math.Log(bySection[s]/count[s]) - even
	}
	return even, bySection
}

// beyond is how far the logarithm of a factor lies outside of a band of factors.
func beyond(off float64, low, high unit.Ratio) float64 {
	return max(0, math.Log(float64(low))-off, off-math.Log(float64(high)))
}
