package experiment_test

import (
	_ "embed"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"secondpass/deal"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// practice gives the practice card for any set.
func practice(set tile.Set) (*card.Card, error) {
	if set == tile.Usual {
		return card.Practice(), nil
	}
	c, _, err := card.Read("Lantern", []byte(card.PracticeText), set)
	return c, err
}

func read(t testing.TB, text string) *experiment.Experiment {
	t.Helper()
	s, _, err := experiment.Read("test.experiment", []byte(text), practice)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// whole has every statement and every option.
const whole = `
experiment "All there is"   # a comment
asks       "Does # stand in quotes?"
tiles      10 flowers, 9 jokers
house      blind off
population jokers 0..2 ; has FF 0 ; best away 3..9 ; two plans ; pairs 0..6 ; multiples 1..5 ; nearest Runs 1
seat       W
others     nearest+stop=never
measure    passed F0
claim      less by 0.25
deals      640
until      verdict
pairing    deal
way "one; two" strong+aim=Threes Apart/Runs 1+keep=F0 ; second-charleston off ; blind off ; courtesy off ; points off ; fill gap
way "three" thumb ; fill short ; measure came 1b
`

func TestReadEveryStatement(t *testing.T) {
	want := &experiment.Experiment{
		Name: "All there is", Asks: "Does # stand in quotes?", House: house.House{Tiles: house.Tiles{Flowers: 10, Jokers: 9}, Passing: house.Passing{SecondCharleston: true, Courtesy: true}, Play: house.Usual.Play},
		Population: experiment.Population{
			Condition: deal.Condition{Jokers: &deal.Range{Low: 0, High: 2}, Has: tile.MustParse("FF 0"), BestAway: &deal.Range{Low: 3, High: 9}, TwoPlans: true},
			Pairs:     &deal.Range{Low: 0, High: 6}, Multiples: &deal.Range{Low: 1, High: 5}, Nearest: "Runs 1",
		},
		Seat: "W", Others: "nearest+stop=never", Measure: experiment.Measure{Of: experiment.Passed, Tiles: "F0"},
		Claim: experiment.Claim{Less: true, Effect: 0.25}, Deals: 640, UntilVerdict: true, Pairing: experiment.SameDeal,
		Ways: []experiment.Way{
			{Name: "one; two", Player: "strong+aim=Threes Apart/Runs 1+keep=F0", House: house.House{Tiles: house.Usual.Tiles}, Fill: experiment.FillGap},
			{Name: "three", Player: "thumb", House: house.Usual, Fill: experiment.FillShort, Measure: &experiment.Measure{Of: experiment.Came, Tiles: "1b"}},
		},
	}
	if got := read(t, whole); !reflect.DeepEqual(got, want) {
		t.Errorf("read\n%+v\nwant\n%+v", got, want)
	}
}

// Files written when experiments were called studies are read, and written with the word of now.
func TestReadEarlierWord(t *testing.T) {
	text := strings.Replace(whole, "experiment ", "study ", 1)
	if text == whole {
		t.Fatal("the earlier word does not stand in the text")
	}
	if got := read(t, text); !reflect.DeepEqual(got, read(t, whole)) || !strings.HasPrefix(got.Text(), "experiment ") {
		t.Errorf("read\n%s", got.Text())
	}
	_, _, err := experiment.Read("my.study", []byte(text+"experiment Y\n"), practice)
	if err == nil || !strings.Contains(err.Error(), `found "experiment" a second time`) {
		t.Errorf("both words in a file: %v", err)
	}
}

// Whatever is read is written so that it reads back the same, and written again it is the same text.
func TestRoundTrip(t *testing.T) {
	texts := []string{whole, `experiment X
measure win with Runs 3
split win with Threes Apart
among options 3..12
claim more by .125 %
way "w" strong
`, `experiment X
measure win
claim more by 1 %
way "free" strong+no-pairs at first-right when pairs 1
way "held" strong+aim nearest at first-left+keep-multiples at first-right/first-across ; courtesy off
`, several}
	for _, r := range experiment.ReadyMade() {
		texts = append(texts, r.Text)
	}
	for _, text := range texts {
		s := read(t, text)
		again := read(t, s.Text())
		if !reflect.DeepEqual(s, again) || again.Text() != s.Text() {
			t.Errorf("%s reads back as\n%s", s.Text(), again.Text())
		}
	}
}

// several is an experiment with several measures, all ways compared, at a table of different players.
//
//go:embed testdata/several.experiment
var several string

// The order of the statements is free, also of those that ask for more tiles than the usual set has.
func TestOrderIsFree(t *testing.T) {
	s := read(t, "way \"a\" strong\npopulation has FFFFFFFFF\nclaim more by 1 %\ntiles 10 flowers, 8 jokers\nmeasure win\nway \"b\" thumb\nexperiment X\n")
	if s.Population.Has[tile.Flower] != 9 || s.Claim.Effect != 0.01 || s.Ways[1].Player != "thumb" {
		t.Errorf("%+v", s)
	}
}

func TestMeasuresReadBack(t *testing.T) {
	for _, c := range experiment.Choices() {
		m := experiment.Measure{Of: c.Of}
		if c.Tiles {
			m.Tiles = "RG0"
		}
		if c.Name {
			m.Name = "Evens"
		}
		if got, err := experiment.ParseMeasure(m.String()); err != nil || got != m || m.Share() != c.Share || m.Unit() != c.Unit {
			t.Errorf("%+v reads back as %+v, %v", m, got, err)
		}
	}
	for _, text := range strings.Split(experiment.MeasureWords(), ", ") {
		text = strings.NewReplacer("TILES|pairs", "F0", "SECTION", "Runs", "right|across|left|others", "left").Replace(text)
		m, err := experiment.ParseMeasure(text)
		if err != nil || m.String() != text {
			t.Errorf("%q reads as %q, %v", text, m, err)
		}
	}
}

// Every error of a file is reported, at its line and column, with what would be right.
func TestErrors(t *testing.T) {
	const head = "experiment X\nmeasure win\nclaim more by 1 %\nway \"a\" strong\nway \"b\" strong+no-pairs\n"
	for _, row := range []struct{ text, want string }{
		{"", `1:1: found no line "claim"`},
		{"", `1:1: found no line "measure"`},
		{"", `1:1: found no line "experiment"`},
		{"", "found no way"},
		{head + "bold yes", `6:1: found "bold"; right would be experiment, asks, cell, together, over, tiles`},
		{head + "deals  many", `6:8: found "many"; right would be a whole number`},
		{head + "deals 0", `6:7: found "0"`},
		{head + "deals", `6:6: found "deals" with nothing after it`},
		{head + "experiment Y", `6:1: found "experiment" a second time (it stands in line 1)`},
		{head + "asks \"open", `6:6: found a quote that is not closed`},
		{head + "\tway \"c\" champion", `6:6: found a player that cannot be`},
		{head + "way \"c\" strong+aim=Nonesuch", "Nonesuch"},
		{head + "way strong", `6:5: found "strong"; right would be a name in quotes and a player`},
		{head + `way "a" nearest`, `found "a" a second time`},
		{head + `way "c" nearest ; fill hole`, `found "fill hole"`},
		{head + `way "c" nearest ; blind off ; blind off`, `found "blind off"`},
		{head + `way "c" nearest ; fill gap`, "a gift to some ways and not to all"},
		{head + `way "c" nearest ; measure away`, `the measure "away", in tiles; right would be one in games`},
		{head + "split clean best", "6:7: found 2 ways beside split; right would be one way"},
		{head + "among away 2..3", "among without split"},
		{head + "split away", "6:7: found \"away\"; right would be a range after a number"},
		{head + "split clean best 1..1", "none after what is yes or no"},
		{head + "seat Z", `6:6: found "Z"; right would be rotate, E, S, W or N`},
		{head + "others nobody", "6:8: found a player that cannot be"},
		{head + "pairing twice", `6:9: found "twice"; right would be wall, deal, none`},
		{head + "until dawn", "right would be until verdict"},
		{head + "tiles eight", "as in tiles 8 flowers, 8 jokers"},
		{head + "tiles 99 flowers, 8 jokers", "6:7: found"},
		{head + "population jokers 3..1", "6:12: found"},
		{head + "population nearest Nonesuch", "Nonesuch"},
		{head + "population multiples 3..1", "6:12: found"},
		{head + "population away 3 after lunch", "6:12: found"},
		{head + "population away after first-left", "6:12: found"},
		{head + "population nearest Nonesuch after first-left", "Nonesuch"},
		{head + "population turns 3..9", "right would be a measure of a rack"},
		{head + "population dealt F 1 after first-left", "right would be a measure of a rack"},
		{head + "population held 5x 1", "6:12: found"},
		{head + "population options 9..3", "6:12: found"},
		{head + "population has 5x", "6:12: found"},
		{head + "population jokers 9..9", "impossible"},
		{head + "population has FFFFFFFFF", "6:12: found impossible: a deal with"},
		{head + "population best away 20..20", "impossible"},
		{"experiment X\nmeasure luck\nclaim more by 1 %\nway \"a\" strong\nway \"b\" thumb", `2:9: found "luck"; right would be one of dealt TILES|pairs`},
		{"experiment X\nmeasure win with Nonesuch\nclaim more by 1 %\nway \"a\" strong\nway \"b\" thumb", "2:9: found"},
		{"experiment X\nmeasure passed 5x\nclaim more by 1\nway \"a\" strong\nway \"b\" thumb", "2:9: found"},
		{"experiment X\nmeasure win\nclaim more by 1\nway \"a\" strong\nway \"b\" thumb", `3:7: found "1" without %; right would be a number of per cent`},
		{"experiment X\nmeasure away\nclaim more by 1 %\nway \"a\" strong\nway \"b\" thumb", `3:7: found "1" with %; right would be a plain number of tiles`},
		{"experiment X\nmeasure passed pairs\nclaim more by 1 %\nway \"a\" strong\nway \"b\" thumb", `3:7: found "1" with %; right would be a plain number of pairs`},
		{"experiment X\nmeasure passed F\nclaim more by 1\nway \"a\" strong\nway \"b\" thumb ; measure passed pairs", `the measure "passed pairs", in pairs; right would be one in tiles`},
		{"experiment X\nmeasure away\nclaim more by 0\nway \"a\" strong\nway \"b\" thumb", "3:7: found an effect of 0"},
		{"experiment X\nmeasure away\nclaim better\nway \"a\" strong\nway \"b\" thumb", `3:7: found "better"`},
		{"experiment X\nmeasure away\nclaim more by 1\nway \"a\" strong", "one way; right would be two or more lines"},
		{head + "also points", `6:6: found "points"; right would be a measure, a semicolon and its claim`},
		{head + "also points ; more by 1 %", `6:6: found "1" with %; right would be a plain number of net points`},
		{head + "also luck ; more by 1", `6:6: found "luck"; right would be one of dealt`},
		{head + "also points ; better", `6:6: found "better"; right would be as in more by`},
		{head + "also points ; more by 0", "6:6: found an effect of 0"},
		{head + "also away ; more by 1\nalso win ; less by 1 %", `7:6: found "win" a second time; right would be each measure once`},
		{head + strings.Repeat("also away ; more by 1\n", 8), "found 8 further measures; right would be 7 at most"},
		{head + "compare some", `6:9: found "some"; right would be compare first`},
		{head + "compare all", "compare all for three ways or more"},
		{head + "others strong ; nearest", "6:8: found 2 players; right would be one for all three others"},
		{head + "others strong ; nobody ; nearest", "6:8: found a player that cannot be"},
		{"experiment \xff", "1:1: found bytes that are no UTF-8"},
	} {
		_, _, err := experiment.Read("my.experiment", []byte(row.text), practice)
		var problems card.Problems
		if !errors.As(err, &problems) || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%q gives\n%v\nwhich does not say %q", row.text, err, row.want)
		}
	}
	_, _, err := experiment.Read("my.experiment", []byte("experiment X\nmeasure luck\nclaim better\nseat Z\nway strong\nbold\n"), practice)
	var problems card.Problems
	if errors.As(err, &problems); len(problems) < 5 {
		t.Errorf("not all errors are told:\n%v", err)
	}
}

// An experiment put together in code is checked as one that was read.
func TestCheckInCode(t *testing.T) {
	s := experiment.New()
	s.Name, s.Measure, s.Claim = "In code", experiment.Measure{Of: experiment.Win}, experiment.Claim{Effect: 0.01}
	s.Ways = []experiment.Way{{Name: "a", Player: "strong", House: house.Usual}, {Name: "b", Player: "thumb", House: house.Usual}}
	if err := s.Check(card.Practice()); err != nil {
		t.Fatal(err)
	}
	s.Ways[1].Player, s.Seat, s.Measure = "champion", "", experiment.Measure{Of: 99}
	var faults experiment.Faults
	if err := s.Check(card.Practice()); !errors.As(err, &faults) || len(faults) != 3 {
		t.Errorf("three things are wrong, told: %v", err)
	}
	s.Measure, s.Pairing, s.Deals, s.Ways = experiment.Measure{}, 77, -1, nil
	if err := s.Check(card.Practice()); err == nil {
		t.Error("an empty experiment is let through")
	}
	_ = s.Text() // and can still be written for a message
}

// FuzzRead: whatever the text, reading it gives an experiment that reads back the same, or problems with places in the text.
func FuzzRead(f *testing.F) {
	f.Add(whole)
	f.Add("experiment X\ntiles 0 flower,0 joker\nmeasure win\nclaim more by 1 %\nway \"a\" strong\n")
	for _, r := range experiment.ReadyMade() {
		f.Add(r.Text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, _, err := experiment.Read("fuzz", []byte(text), practice)
		if err != nil {
			var problems card.Problems
			if !errors.As(err, &problems) || len(problems) == 0 {
				t.Skip() // the card cannot be made with such a set
			}
			for _, p := range problems {
				if p.Line < 1 || p.Line > strings.Count(text, "\n")+1 || p.Column < 1 || p.Found == "" || p.Right == "" {
					t.Fatalf("%+v", p)
				}
			}
			return
		}
		again, _, err := experiment.Read("fuzz", []byte(s.Text()), practice)
		if err != nil || again.Text() != s.Text() {
			t.Fatalf("%q is written as\n%s\nwhich reads as %v", text, s.Text(), fmt.Sprint(err))
		}
	})
}

// A card that cannot be made of the tiles that the file asks for is an error of the file, at its place.
func TestTilesThatTheCardLacks(t *testing.T) {
	_, _, err := experiment.Read("my.experiment", []byte("experiment X\ntiles 0 flower,0 joker\nmeasure win\nclaim more by 1 %\nway \"a\" strong\nway \"b\" thumb\n"), practice)
	var problems card.Problems
	if !errors.As(err, &problems) || len(problems) != 1 || problems[0].File != "my.experiment" || problems[0].Line != 2 || problems[0].Column != 7 || !strings.Contains(err.Error(), "the card cannot be made") {
		t.Errorf("%v", err)
	}
}

// A file with an error in each of very many lines is refused with a bounded answer, and so is one that is too long.
func TestWhatAFileMayCost(t *testing.T) {
	for _, text := range []string{strings.Repeat("x\n", 30_000), strings.Repeat("# nothing\n", 100_000)} {
		if _, _, err := experiment.Read("x", []byte(text), practice); err == nil || len(err.Error()) > 50_000 {
			t.Errorf("%d bytes of text: %.200v", len(text), err)
		}
	}
}
