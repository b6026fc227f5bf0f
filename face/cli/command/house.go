package command

import (
	"fmt"
	"reflect"
	"strconv"

	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// ruleFlags are flags for some house rules. Which there are is said in package house alone: Chosen points to a structure
// with a field for each, which growRules makes before the command line is read.
type ruleFlags struct {
	Chosen any `embed:""`
}

// SetFlags are the house rules on the tiles of the set, passFlags those that a pass asks about, houseFlags all.
type (
	SetFlags   struct{ ruleFlags }
	PassFlags  struct{ ruleFlags }
	HouseFlags struct{ ruleFlags }
)

var partsOf = map[reflect.Type]house.Part{
	reflect.TypeFor[SetFlags]():   house.OfTiles,
	reflect.TypeFor[PassFlags]():  house.OfTiles | house.OfPassing,
	reflect.TypeFor[HouseFlags](): house.All,
}

// House is the house rules asked for, and their set.
func (f *ruleFlags) House() (house.House, tile.Set, error) {
	h := house.Usual
	chosen := reflect.ValueOf(f.Chosen).Elem()
	for i := range chosen.NumField() {
		rule := ruleOf(chosen.Type().Field(i))
		if rule.IsSwitch() {
			rule.Turn(&h, !chosen.Field(i).Bool())
		} else {
			rule.SetNumber(&h, int(chosen.Field(i).Int()))
		}
	}
	set, err := h.Set()
	return h, set, err
}

func (f *ruleFlags) Set() (tile.Set, error) {
	_, set, err := f.House()
	return set, err
}

// Given says whether any house rule was asked for that is not usual, or cannot be.
func (f *ruleFlags) Given() bool {
	h, _, _ := f.House()
	return h != house.Usual
}

// GrowRules gives every command below a structure the flags of its house rules.
func GrowRules(v reflect.Value) {
	if parts, ok := partsOf[v.Type()]; ok {
		v.FieldByName("Chosen").Set(reflect.New(ruleStruct(parts)))
		return
	}
	for i := range v.NumField() {
		if f := v.Field(i); f.Kind() == reflect.Struct {
			GrowRules(f)
		}
	}
}

// ruleStruct is a structure with a field for each house rule of some parts, tagged for the parser.
func ruleStruct(parts house.Part) reflect.Type {
	var fields []reflect.StructField
	for i, rule := range house.Rules {
		if rule.Part&parts == 0 {
			continue
		}
		f := reflect.StructField{Name: "Rule" + strconv.Itoa(i), Type: reflect.TypeFor[bool]()}
		tag := fmt.Sprintf("name:%q help:%q group:%q", rule.Field, rule.Sentence(), "House rules")
		if !rule.IsSwitch() {
			f.Type = reflect.TypeFor[int]()
			tag += fmt.Sprintf(` placeholder:"N" default:"%d"`, rule.Number(house.Usual))
		}
		f.Tag = reflect.StructTag(tag)
		fields = append(fields, f)
	}
	return reflect.StructOf(fields)
}

// ruleOf is the house rule that a field of such a structure is for.
func ruleOf(f reflect.StructField) house.Rule {
	i, err := strconv.Atoi(f.Name[len("Rule"):])
	if err != nil {
		panic(err) // ruleStruct names them
	}
	return house.Rules[i]
}
