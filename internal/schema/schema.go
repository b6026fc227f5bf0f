// Package schema describes Go values as JSON Schema, draft 2020-12: by their types as encoding/json writes them, with the
// comments of their sources as descriptions, and with the units of numbers kept apart. Tests make the files of docs/json by
// it; nothing else may import it.
package schema

import (
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	"secondpass/engine/unit"
)

// Schema is a JSON Schema.
type Schema map[string]any

// Formed is what a type with a MarshalJSON of its own says of it: a value of the type that it is written as.
type Formed interface{ JSONForm() any }

// Maker makes schemas of the types of a module whose sources stand in a folder.
type Maker struct {
	comments comments
	defs     Schema
}

// New is for a module with its sources.
func New(module, folder string) *Maker {
	return &Maker{comments: comments{module: module, folder: folder, packages: map[string]map[string]string{}}}
}

// Of describes what is printed where it is one of several values. The fields of beside may stand in every value that is a
// structure and is written as it is.
func (m *Maker) Of(title, description string, beside any, values ...any) ([]byte, error) {
	m.defs = Schema{}
	var any []Schema
	for _, v := range values {
		t := reflect.TypeOf(v)
		s := m.typ(t)
		if _, formed := v.(Formed); t.Kind() == reflect.Struct && !formed {
			m.fields(reflect.TypeOf(beside), s["properties"].(Schema), new([]string), false)
		}
		any = append(any, s)
	}
	s := Schema{"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title, "description": description}
	if len(any) == 1 {
		for key, value := range any[0] {
			if key == "description" {
				value = description + " " + value.(string)
			}
			s[key] = value
		}
	} else {
		s["anyOf"] = any
	}
	if len(m.defs) > 0 {
		s["$defs"] = m.defs
	}
	text, err := json.MarshalIndent(s, "", " ")
	return append(text, '\n'), err
}

// units are what the types of numbers mean: how they are called, what they are, and the bounds of a value.
var units = map[reflect.Type]struct {
	name, what string
	low, high  *float64
}{
	reflect.TypeFor[unit.Chance]():           {"chance", "a chance or share, 0 to 1", number(0), number(1)},
	reflect.TypeFor[unit.ChanceDifference](): {"chance-difference", "one chance less another, -1 to 1", number(-1), number(1)},
	reflect.TypeFor[unit.NetPoints]():        {"net-points", "what a seat is paid less what it pays, points a game", nil, nil},
	reflect.TypeFor[unit.Tiles]():            {"tiles", "a number of tiles, or a difference of such numbers", nil, nil},
	reflect.TypeFor[unit.Count]():            {"count", "a number of things, or a difference of such numbers", nil, nil},
	reflect.TypeFor[unit.Ratio]():            {"ratio", "how many times as large one number is as another", number(0), nil},
}

func number(x float64) *float64 { return &x }

// typ describes a type.
func (m *Maker) typ(t reflect.Type) Schema {
	if t.Kind() == reflect.Pointer {
		return m.typ(t.Elem())
	}
	if s, ok := m.interval(t); ok {
		return s
	}
	if u, ok := units[t]; ok {
		m.defs[u.name] = bounded(Schema{"description": u.what}, u.low, u.high)
		return Schema{"$ref": "#/$defs/" + u.name}
	}
	switch t {
	case reflect.TypeFor[time.Time]():
		return Schema{"type": "string", "format": "date-time"}
	case reflect.TypeFor[time.Duration]():
		return Schema{"type": "integer", "description": "A time in nanoseconds."}
	}
	if t == reflect.TypeFor[json.RawMessage]() || t.Kind() == reflect.Interface {
		return Schema{}
	}
	if formed, ok := reflect.New(t).Interface().(Formed); ok {
		return m.typ(reflect.TypeOf(formed.JSONForm()))
	}
	if t.Implements(reflect.TypeFor[json.Marshaler]()) {
		panic(fmt.Sprintf("%s has a MarshalJSON; JSONForm is to say what it writes", t))
	}
	if t.Implements(reflect.TypeFor[encoding.TextMarshaler]()) {
		return Schema{"type": "string"}
	}
	switch kind := t.Kind(); {
	case kind == reflect.String:
		return Schema{"type": "string"}
	case kind == reflect.Bool:
		return Schema{"type": "boolean"}
	case kind >= reflect.Uint && kind <= reflect.Uint64:
		return Schema{"type": "integer", "minimum": 0}
	case kind >= reflect.Int && kind <= reflect.Int64:
		return Schema{"type": "integer"}
	case kind == reflect.Float64 || kind == reflect.Float32:
		return Schema{"type": "number"}
	case kind == reflect.Array:
		return Schema{"type": "array", "items": m.typ(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case kind == reflect.Slice:
		return Schema{"type": "array", "items": m.typ(t.Elem())}
	case kind == reflect.Map:
		return Schema{"type": "object", "additionalProperties": m.typ(t.Elem())}
	case kind == reflect.Struct:
		return m.object(t)
	}
	panic(fmt.Sprintf("%s is nothing that JSON has", t))
}

// interval describes an estimate with its interval, told apart by its unit.
func (m *Maker) interval(t reflect.Type) (Schema, bool) {
	if t.PkgPath() != m.comments.module+"/engine/stat" || !strings.HasPrefix(t.Name(), "Interval[") {
		return nil, false
	}
	of, _ := t.FieldByName("Value")
	u, ok := units[of.Type]
	if !ok {
		u.name, u.what = "amount", "an amount of what the measure counts"
	}
	end := Schema{"type": []string{"number", "null"}, "description": "An end of the 95 % interval; null where it is not known."}
	name := "interval-of-" + u.name
	m.defs[name] = Schema{"type": "object", "description": "An estimate with its 95 % interval: " + u.what + ".",
		"properties": Schema{"value": bounded(Schema{}, u.low, u.high), "low": end, "high": end,
			"n": Schema{"type": "integer", "minimum": 0, "description": "The number of observations behind it."}},
		"required": []string{"value", "low", "high", "n"}, "additionalProperties": false}
	return Schema{"$ref": "#/$defs/" + name}, true
}

func bounded(s Schema, low, high *float64) Schema {
	s["type"] = "number"
	if low != nil {
		s["minimum"] = *low
	}
	if high != nil {
		s["maximum"] = *high
	}
	return s
}

// object describes a structure: the fields that it writes, and nothing beside them.
func (m *Maker) object(t reflect.Type) Schema {
	properties, required := Schema{}, []string{}
	m.fields(t, properties, &required, true)
	s := Schema{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		s["required"] = required
	}
	if text := m.comments.of(t, ""); text != "" {
		s["description"] = text
	}
	return s
}

// fields adds those of a structure, after those that it embeds, whose place they take; always is false below an embedded
// pointer, which may be nil.
func (m *Maker) fields(t reflect.Type, properties Schema, required *[]string, always bool) {
	embedded := func(f reflect.StructField) bool {
		return f.Anonymous && f.Tag.Get("json") == "" && (f.Type.Kind() == reflect.Struct || f.Type.Kind() == reflect.Pointer)
	}
	for i := range t.NumField() {
		switch f := t.Field(i); {
		case embedded(f) && f.Type.Kind() == reflect.Pointer:
			m.fields(f.Type.Elem(), properties, required, false)
		case embedded(f):
			m.fields(f.Type, properties, required, always)
		}
	}
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" || embedded(f) || !f.IsExported() {
			continue
		}
		if name == "" {
			name = f.Name
		}
		omitted := slices.ContainsFunc(strings.Split(options, ","), func(o string) bool { return o == "omitempty" || o == "omitzero" })
		properties[name] = m.field(t, f, omitted)
		if !omitted && always && !slices.Contains(*required, name) {
			*required = append(*required, name)
		}
	}
}

// field describes a field of a structure, with what its comment says.
func (m *Maker) field(of reflect.Type, f reflect.StructField, omitted bool) Schema {
	s := m.typ(f.Type)
	if f.Type.Kind() == reflect.Pointer && !omitted {
		s = Schema{"anyOf": []Schema{s, {"type": "null"}}}
	}
	text := f.Tag.Get("about")
	if text == "" {
		text = m.comments.of(of, f.Name)
	}
	if text != "" {
		s["description"] = text
	}
	return s
}
