package view

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"secondpass/rules/house"
)

// HouseField is a house rule as a form asks for it.
type HouseField struct {
	house.Rule
	// Name is that of the field, Text what was typed or ticked.
	Name, Text string
}

// Usual is the number that is meant where nothing is typed.
func (f HouseField) Usual() int { return f.Number(house.Usual) }

// HouseFields are the fields for some parts of the house rules, with what a form says; prefix begins their names.
func HouseFields(f url.Values, prefix string, parts house.Part) []HouseField {
	var fields []HouseField
	for _, rule := range house.Of(parts) {
		name := prefix + rule.Field
		fields = append(fields, HouseField{rule, name, strings.TrimSpace(f.Get(name))})
	}
	return fields
}

// HouseForm is a form that says of the house rules what they are.
func HouseForm(h house.House) url.Values {
	f := url.Values{}
	for _, rule := range house.Rules {
		switch {
		case rule.IsSwitch() && !rule.On(h):
			f.Set(rule.Field, "yes")
		case !rule.IsSwitch() && rule.Number(h) != rule.Number(house.Usual):
			f.Set(rule.Field, strconv.Itoa(rule.Number(h)))
		}
	}
	return f
}

// ReadHouse reads the house rules of a form; what it does not say is usual.
func ReadHouse(f url.Values) (house.House, error) {
	h := house.Usual
	for _, field := range HouseFields(f, "", house.All) {
		switch {
		case field.IsSwitch():
			field.Turn(&h, field.Text == "")
		case field.Text != "":
			n, err := strconv.Atoi(field.Text)
			if err != nil {
				return h, fmt.Errorf("%s: %q is no number", field.Words, field.Text)
			}
			field.SetNumber(&h, n)
		}
	}
	_, err := h.Set()
	return h, err
}
