package sql

import (
	"slices"
	"testing"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
)

func TestSearch(t *testing.T) { everywhere(t, testSearch) }

func testSearch(t *testing.T, at *place) {
	s := at.open(t)
	add := func(name, deal string, aims ...[]string) {
		t.Helper()
		e, err := exercise.New(name, card.Practice(), house.Usual, charleston.South, tile.MustParse(deal), exercise.MockPasses, 4)
		if err != nil {
			t.Fatal(err)
		}
		for _, aim := range aims { // one for each step
			if err := e.SetAim("A", aim); err != nil {
				t.Fatal(err)
			}
			if err := e.WalkOn("A", 1); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := s.Add(e); err != nil {
			t.Fatal(err)
		}
	}
	add("Winds", "123b 456c 789d NEWS")
	add("Pairs", "1122b 3344c 5566d N", []string{"Evens"}, []string{"Runs"})
	add("Jokers", "1122b 3344c 556d JJ", []string{"Runs"})
	for _, test := range []struct {
		wish store.Wish
		want []string
	}{
		{store.Wish{}, []string{"Jokers", "Pairs", "Winds"}},
		{store.Wish{Name: "WIN"}, []string{"Winds"}},
		{store.Wish{Card: "lantern"}, []string{"Jokers", "Pairs", "Winds"}},
		{store.Wish{Card: "other"}, nil},
		{store.Wish{Has: tile.MustParse("11b")}, []string{"Jokers", "Pairs"}},
		{store.Wish{Has: tile.MustParse("J")}, []string{"Jokers"}},
		{store.Wish{Aim: "evens"}, []string{"Pairs"}},
		{store.Wish{Aim: "run"}, []string{"Jokers", "Pairs"}},
		{store.Wish{Aim: "run", Has: tile.MustParse("N")}, []string{"Pairs"}},
	} {
		list, err := s.Search(test.wish)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, e := range list {
			got = append(got, e.Name)
		}
		slices.Sort(got)
		if !slices.Equal(got, test.want) {
			t.Errorf("%+v: %v, want %v", test.wish, got, test.want)
		}
	}
	x, err := s.Load("Winds")
	if err == nil {
		err = x.SetAim("A", []string{"Odds"})
	}
	if err == nil {
		err = s.Save(x)
	}
	if err != nil {
		t.Fatal(err)
	}
	at.spoil(t, `UPDATE exercises SET document = '{}' WHERE name = 'Winds'`) // it is found all the same, and told of when it is opened
	if list, err := s.Search(store.Wish{Aim: "odds", Card: "LANTERN", Has: tile.MustParse("NEWS")}); err != nil || len(list) != 1 || list[0].Name != "Winds" {
		t.Errorf("by an aim that was set later: %v, %v", list, err)
	}
	if _, err := s.Delete("Pairs"); err != nil {
		t.Fatal(err)
	}
	if list, err := s.Search(store.Wish{Aim: "evens"}); err != nil || len(list) != 0 {
		t.Errorf("a deleted exercise is found: %v, %v", list, err)
	}
}
