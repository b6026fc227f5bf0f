package wording

import (
	"strconv"
	"strings"

	"secondpass/rules/house"
)

// Unusual names the house rules that are not the usual ones: "10 jokers in the set, no blind passes".
func Unusual(h house.House) string {
	var parts []string
	for _, rule := range h.Unusual() {
		text := rule.Words
		if !rule.IsSwitch() {
			text = strconv.Itoa(rule.Number(h)) + " " + text
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, ", ")
}

// HouseRules names them in a sentence, and is "" for the usual house. Figures under other rules say so with it.
func HouseRules(h house.House) string {
	if unusual := Unusual(h); unusual != "" {
		return "House rules: " + unusual + "."
	}
	return ""
}

// ByHouse is HouseRules behind another sentence, with a blank before it where there is anything to say.
func ByHouse(h house.House) string {
	if text := HouseRules(h); text != "" {
		return " " + text
	}
	return ""
}
