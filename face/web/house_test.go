package web_test

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"testing"

	"secondpass/rules/house"
)

// turned is the usual house with one rule as it usually is not, and what a form says then.
func turned(r house.Rule) (house.House, string) {
	h := house.Usual
	if r.IsSwitch() {
		r.Turn(&h, false)
		return h, "yes"
	}
	r.SetNumber(&h, r.Number(h)+1)
	return h, fmt.Sprint(r.Number(h))
}

// asks says whether a form on a page asks for a house rule and has the value given.
func asks(text, field, value string) bool {
	for _, input := range strings.Split(text, "<input")[1:] {
		input, _, _ = strings.Cut(input, ">")
		if strings.Contains(input, fmt.Sprintf("name=%q", field)) {
			return strings.Contains(input, fmt.Sprintf("value=%q", value)) && (value != "yes" || strings.Contains(input, "checked"))
		}
	}
	return false
}

// Each house rule of the first page becomes that of the exercise, and a form that is refused keeps it.
func TestHouseRulesOfAnExercise(t *testing.T) {
	t.Parallel()
	b := open(t)
	_, usual := b.get("/exercises")
	for _, rule := range house.Rules {
		if !strings.Contains(usual, fmt.Sprintf("name=%q", rule.Field)) || asks(usual, rule.Field, "yes") {
			t.Errorf("the first page does not ask for %s, or as if it were unusual", rule.Field)
		}
		want, value := turned(rule)
		step := b.deal("seed", "3", rule.Field, value)
		if _, x := b.kept(step); x.House != want {
			t.Errorf("%s %s: the exercise has %+v", rule.Field, value, x.House)
		}
		code, text := b.send("POST", "/exercises", url.Values{"act": {"deal"}, "seed": {"none"}, rule.Field: {value}}.Encode())
		if code != 422 || !asks(text, rule.Field, value) {
			t.Errorf("%s %s, refused for the seed: %d, and the form does not keep it: %s", rule.Field, value, code, shorten(text))
		}
	}
}

// Each house rule of the form becomes that of the experiment, for all ways or, where it is a switch, for one way.
func TestHouseRulesOfAComposedExperiment(t *testing.T) {
	t.Parallel()
	b := open(t)
	_, form := b.get("/experiments/new")
	for _, rule := range house.Rules {
		want, value := turned(rule)
		for _, prefix := range []string{"", "way2_"} {
			field := prefix + rule.Field
			if prefix != "" && !rule.IsSwitch() {
				if strings.Contains(form, field) {
					t.Errorf("a way is asked for %s, of which all have the same", field)
				}
				continue
			}
			if !strings.Contains(form, fmt.Sprintf("name=%q", field)) {
				t.Errorf("the form does not ask for %s", field)
			}
			code, text := b.send("POST", "/experiments/preview", quick(field, value).Encode())
			if code != 200 || !strings.Contains(text, rule.Said(want)) || strings.Contains(text, "problems") {
				t.Errorf("%s %s: %d %s", field, value, code, text)
			}
			_, kept := b.send("POST", "/experiments", quick(field, value, "act", "add").Encode())
			if !asks(kept, field, value) {
				t.Errorf("%s %s: the form does not keep it", field, value)
			}
		}
	}
}

// Each house rule of the report's form is counted by, and its report is another than that of the usual house.
func TestHouseRulesOfACardReport(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, rule := range house.Rules {
		want, value := turned(rule)
		query := "?" + url.Values{rule.Field: {value}}.Encode()
		path := b.post("/cards/Lantern/report", url.Values{"act": {"new"}, "deals": {"64"}, "games": {"4"}, "aimed": {"0"}, "seed": {"5"}, rule.Field: {value}})
		if path != "/cards/Lantern/report"+query {
			t.Fatalf("%s %s led to %s", rule.Field, value, path)
		}
		b.watchWork("/cards/Lantern/report/live" + query)
		_, text := b.get("/cards/Lantern/report/report.json" + query)
		var r struct {
			Games int
			House house.House
		}
		if err := json.Unmarshal([]byte(text), &r); err != nil || r.Games != 4 || r.House != want {
			t.Errorf("%s %s: a report by %+v, %v", rule.Field, value, r.House, err)
		}
		_, page := b.get(path)
		if !asks(page, rule.Field, value) {
			t.Errorf("%s %s: the page that counts anew does not keep it", rule.Field, value)
		}
	}
	if code, _ := b.get("/cards/Lantern/report/report.json"); code != 404 {
		t.Errorf("a report by the usual house, which was not counted: %d", code)
	}
}
