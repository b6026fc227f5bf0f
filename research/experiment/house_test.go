package experiment_test

import (
	"reflect"
	"strings"
	"testing"

	"secondpass/research/experiment"
	"secondpass/rules/house"
)

// houseHead is the lines before those of the house rules and the ways.
const houseHead = head + "measure points\nclaim more by 1\n"

// Every house rule that is a switch can be off for one way and for all; a way that says nothing is played by those of the
// experiment, and what is off there is off for every way.
func TestHouseRules(t *testing.T) {
	for _, rule := range house.Of(house.OfPassing | house.OfPlay) {
		off := house.Usual
		rule.Turn(&off, false)
		for name, text := range map[string]string{
			"way": houseHead + "way \"a\" nearest\nway \"b\" nearest ; " + rule.Said(off) + "\n",
			"all": houseHead + "way \"a\" nearest\nway \"b\" nearest\nhouse " + rule.Said(off) + "\n",
		} {
			s := read(t, text)
			if a, b := s.HouseOf(0), s.HouseOf(1); rule.On(a) == (name == "all") || rule.On(b) {
				t.Errorf("%s off for %s: %+v and %+v", rule.Key, name, a, b)
			}
			if b := s.HouseOf(1); b != off {
				t.Errorf("%s off for %s: the last way has %+v", rule.Key, name, b)
			}
			if again := read(t, s.Text()); !reflect.DeepEqual(again, s) || strings.Count(s.Text(), rule.Said(off)) != 1 {
				t.Errorf("%s off for %s is written as\n%s", rule.Key, name, s.Text())
			}
		}
	}
	for _, wrong := range []string{"house points on", "house points off ; points off", "house season off", "house 8 jokers"} {
		_, _, err := experiment.Read("x", []byte(houseHead+"way \"a\" nearest\nway \"b\" nearest\n"+wrong+"\n"), practice)
		if err == nil || !strings.Contains(err.Error(), "second-charleston off, blind off, courtesy off, points off") {
			t.Errorf("%s: %v", wrong, err)
		}
	}
}

// Without payment a way has no net points and wins as often, deal by deal: the players count tiles and not what they are paid.
func TestWithoutPoints(t *testing.T) {
	for _, text := range []string{
		houseHead + "way \"paid\" nearest\nway \"unpaid\" nearest ; points off\n",
		houseHead + "way \"unpaid\" nearest\nway \"also\" nearest\nhouse points off\n",
	} {
		r := run(t, text, 7, 64)
		last := r.Tally.Ways[1].Value
		if last.N == 0 || last.Sum != 0 || last.SumSq != 0 {
			t.Errorf("%s: net points of the way that is not paid: %+v", text, last)
		}
		if first := r.Tally.Ways[0].Value; (first.SumSq == 0) != strings.Contains(text, "house points off") {
			t.Errorf("%s: net points of the first way: %+v", text, first)
		}
	}
	wins := run(t, strings.Replace(houseHead, "measure points\nclaim more by 1", "measure win\nclaim more by 1 %", 1)+
		"way \"paid\" nearest\nway \"unpaid\" nearest ; points off\n", 7, 64)
	if a, b := wins.Tally.Ways[0].Value, wins.Tally.Ways[1].Value; a != b || a.Sum == 0 {
		t.Errorf("wins with and without payment: %+v and %+v", a, b)
	}
}
