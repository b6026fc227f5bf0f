package wording

import (
	"strings"
	"testing"

	"secondpass/rules/house"
)

// The usual house is not worth a word; of another one each rule that differs is named, and no other.
func TestHouseRules(t *testing.T) {
	if text := HouseRules(house.Usual); text != "" {
		t.Errorf("the usual house: %q", text)
	}
	h := house.Usual
	h.Jokers, h.Blind, h.Points = 10, false, false
	if got, want := HouseRules(h), "House rules: 10 jokers in the set, no blind passes, no payment for wins."; got != want {
		t.Errorf("%q, wanted %q", got, want)
	}
	for _, rule := range house.Rules {
		h := house.Usual
		if rule.IsSwitch() {
			rule.Turn(&h, false)
		} else {
			rule.SetNumber(&h, 0)
		}
		text := HouseRules(h)
		for _, other := range house.Rules {
			if strings.Contains(text, other.Words) != (other.Key == rule.Key) {
				t.Errorf("%s alone differs: %q", rule.Key, text)
			}
		}
	}
}
