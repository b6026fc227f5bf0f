package experiment_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"secondpass/engine/stat"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

const onCards = `experiment "On cards"
over card  one | two   # the same card twice
others     {table}
house      {rules}
over table nearest | random ; nearest ; thumb
over rules usual | points off ; blind off
measure    passed F
claim      more by {least}
over least 0.1 | 0.2 | 0.3
way "a" nearest
way "b" nearest+give=F
`

// twoCards are the practice card under two names.
func twoCards(name string, set tile.Set) (*card.Card, error) {
	if name != "one" && name != "two" && name != "" {
		return nil, fmt.Errorf("no card %q", name)
	}
	return practice(set)
}

// A series has an experiment for every combination, the last axis changing first, each as it would be alone but for its cell; the
// intervals hold for all together.
func TestSeries(t *testing.T) {
	if experiment.IsSeries([]byte(several)) || !experiment.IsSeries([]byte(onCards)) {
		t.Fatal("a series is not told from an experiment")
	}
	s, err := experiment.ReadSeries("on.experiment", []byte(onCards), twoCards)
	if err != nil || len(s.Cells) != 24 || s.Name != "On cards" {
		t.Fatal(s, err)
	}
	second, last := s.Cells[1].Experiment, s.Cells[23].Experiment
	if second.Cell != "card one, table nearest, rules usual, least 0.2" || last.Cell != "card two, table random ; nearest ; thumb, rules points off ; blind off, least 0.3" {
		t.Errorf("cells %q and %q", second.Cell, last.Cell)
	}
	if last.Others != "random ; nearest ; thumb" || last.House.Points || last.House.Blind || last.Claim.Effect != 0.3 || !second.House.Points || last.Together != 24 {
		t.Errorf("the last is\n%s", last.Text())
	}
	if again := read(t, last.Text()); again.Text() != last.Text() || again.Cell != last.Cell {
		t.Errorf("%s reads back as\n%s", last.Text(), again.Text())
	}
	r := start(t, second, 3, 640)
	if err := r.Run(t.Context(), nil); err != nil {
		t.Fatal(err)
	}
	f := r.Findings()[0]
	if want := stat.AsymptoticCSOf[experiment.Amount](r.Tally.Pairs[0].Less, 640, 24); f.Comparisons[0].Difference != want || f.Together != 24 || f.Here != 1 {
		t.Errorf("%+v, wanted %+v", f.Comparisons[0].Difference, want)
	}
}

func TestSeriesErrors(t *testing.T) {
	const rest = "experiment X\nmeasure win\nclaim more by 1 %\nway \"a\" nearest\nway \"b\" nearest+courtesy={offer}\n"
	for _, row := range []struct{ text, want string }{
		{rest + "over offer 0", `6:1: found "over offer 0"; right would be a name of its own in small letters and two or more values`},
		{rest + "over offer 0 | 0", "two or more values, each once"},
		{rest + "over offer 0 |", "two or more values"},
		{rest + "over", "6:1: found"},
		{rest + "over Offer 0 | 1", "small letters"},
		{rest + "over offer 0 | 1\nover offer 1 | 2", `7:1: found "over offer 1 | 2"`},
		{rest + "over give 0 | 1", "found no {give} in any line"},
		{rest + "over offer 0 | 1\nover card one | three", `no card "three"`},
		{rest + "over offer 0 | 9", "5:"},
		{rest + "over offer 0 | x", "(with offer x)"},
		{strings.Replace(rest, "{offer}", "{offers}", 1) + "over card one | two", "5:26: found {offers}; right would be the name of a line that begins with over"},
		{rest + "over offer 0|1|2\nover card one|two\nmeasure {m}\nover m " + strings.Join(strings.Split("abcdefghijklmno", ""), "|"), "found 65 experiments in a series; right would be 64 at most"},
	} {
		_, err := experiment.ReadSeries("my.experiment", []byte(row.text), twoCards)
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%q gives\n%v\nwhich does not say %q", row.text, err, row.want)
		}
	}
	_, _, err := experiment.Read("my.experiment", []byte(rest+"over offer 0 | 1"), practice)
	var problems card.Problems
	if !errors.As(err, &problems) || !strings.Contains(err.Error(), "6:1: found a series of experiments") {
		t.Errorf("a series read as one experiment: %v", err)
	}
}

// The ready-made series can be read, whatever cards they name.
func TestReadySeries(t *testing.T) {
	all := experiment.ReadySeries()
	for _, one := range all {
		s, err := experiment.ReadSeries(one.Name, []byte(one.Text), func(_ string, set tile.Set) (*card.Card, error) { return practice(set) })
		if err != nil || len(s.Cells) < 3 || s.Asks == "" {
			t.Errorf("%s: %v", one.Name, err)
		}
		if found, err := experiment.FindReadySeries(one.Name); err != nil || found != one {
			t.Errorf("%s is not found: %v", one.Name, err)
		}
	}
	if len(all) < 2 {
		t.Errorf("%d ready-made series", len(all))
	}
}
