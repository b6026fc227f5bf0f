package files_test

import (
	"context"
	"encoding/json"
	"testing"

	"secondpass/engine/player"
	"secondpass/research/cardreport"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store/files"
)

// Counts that were kept are gone on with to the same numbers as in one go.
func TestReportsGoOn(t *testing.T) { everywhere(t, testReportsGoOn) }

func testReportsGoOn(t *testing.T, room, other files.Room) {
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	settings := func(deals int) cardreport.Settings {
		return cardreport.Settings{Card: c, Tuning: tuning, House: house.Usual, Seed: 3, Deals: deals}
	}
	count := func(deals int, tally *cardreport.Tally) *cardreport.Tally {
		t.Helper()
		s, err := cardreport.New(settings(deals))
		if err == nil {
			err = s.Run(context.Background(), tally, nil)
		}
		if err != nil {
			t.Fatal(err)
		}
		return tally
	}
	kept := files.On(room, nil).Reports
	few, many := settings(300), settings(700)
	if k, err := kept.Counts(few.Key()); k != nil || err != nil {
		t.Fatalf("counts of nothing: %v, %v", k, err)
	}
	if changed, err := kept.Changed(few.Key()); !changed.IsZero() || err != nil {
		t.Fatal(changed, err)
	}
	if err := kept.SaveCounts(few.Key(), &cardreport.Counts{Wish: few.Wish(), Tuning: tuning, Tally: count(300, &cardreport.Tally{})}); err != nil {
		t.Fatal(err)
	}
	if changed, err := kept.Changed(few.Key()); changed.IsZero() || err != nil {
		t.Error(changed, err)
	}
	k, err := kept.Counts(many.Key())
	if err != nil || k == nil || k.Wish != few.Wish() || k.Tuning != tuning {
		t.Fatalf("%+v, %v", k, err)
	}
	survey, err := cardreport.New(many)
	if err != nil || !survey.GoesOn(k) {
		t.Fatal("a survey of more does not go on from what is kept", err)
	}
	on, _ := json.Marshal(count(700, k.Tally))
	if whole, _ := json.Marshal(count(700, &cardreport.Tally{})); string(on) != string(whole) {
		t.Error("gone on with, the numbers are others than in one go")
	}
}

// What would give other numbers is not gone on from, and what reports on something else has another key.
func TestReportsAreToldApart(t *testing.T) {
	t.Parallel()
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	base := cardreport.Settings{Card: c, Tuning: tuning, House: house.Usual, Seed: 3, Deals: 10, Games: 10, Aimed: 10}
	k := &cardreport.Counts{Wish: base.Wish(), Tuning: tuning, Tally: &cardreport.Tally{}}
	k.Tally.Deals.Read = 10
	goesOn := func(change func(*cardreport.Settings)) bool {
		s := base
		change(&s)
		survey, err := cardreport.New(s)
		if err != nil {
			t.Fatal(err)
		}
		return survey.GoesOn(k)
	}
	for name, test := range map[string]struct {
		change func(*cardreport.Settings)
		want   bool
	}{
		"the same":       {func(*cardreport.Settings) {}, true},
		"more":           {func(s *cardreport.Settings) { s.Deals, s.Games = 20, 30 }, true},
		"fewer":          {func(s *cardreport.Settings) { s.Deals = 9 }, false},
		"another seed":   {func(s *cardreport.Settings) { s.Seed++ }, false},
		"another tuning": {func(s *cardreport.Settings) { s.Tuning.Calibration.A++ }, false},
		"some hands":     {func(s *cardreport.Settings) { s.Hands = []int{0} }, false},
	} {
		if got := goesOn(test.change); got != test.want {
			t.Errorf("%s: goes on: %v", name, got)
		}
	}
	noBlind, set := base, base
	noBlind.House.Blind = false
	other, err := tile.NewSet(4, 8)
	if err != nil {
		t.Fatal(err)
	}
	if set.Card, _, err = card.Read("Lantern", []byte(c.Source), other); err != nil {
		t.Fatal(err)
	}
	if base.Key() == noBlind.Key() || base.Key() == set.Key() || noBlind.Key() == set.Key() {
		t.Error("one key for two reports")
	}
}

func TestDamagedCountsAreCountedAnew(t *testing.T) { everywhere(t, testDamagedCountsAreCountedAnew) }

func testDamagedCountsAreCountedAnew(t *testing.T, room, _ files.Room) {
	if err := room.Write("reports/key.json", []byte(`{"wish": {"De`)); err != nil {
		t.Fatal(err)
	}
	if k, err := files.On(room, nil).Reports.Counts("key"); k != nil || err != nil {
		t.Errorf("%v, %v", k, err)
	}
	left, err := room.List("reports")
	if err != nil || len(left) != 1 {
		t.Errorf("writing left %d files, %v", len(left), err)
	}
}
