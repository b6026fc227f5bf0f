package desk

import (
	"context"
	"errors"
	"reflect"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store/files"
	"secondpass/store/sql"
	"secondpass/teach/drill"
)

// stopOrGoOn is a drill of a card whose key two games of each answer have made, among others of a description.
func stopOrGoOn(c *card.Card, rack, players string) *drill.Drill {
	v := charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: charleston.FirstLeft, Phase: charleston.Voting, Rack: tile.MustParse(rack)}
	d := &drill.Drill{Kind: drill.Stopping, Position: drill.Position{Seat: v.Seat, View: v}, Rating: drill.Rating{Value: 1500, Deviation: 300, Volatility: 0.06}}
	for _, stop := range []bool{false, true} {
		d.Choices = append(d.Choices, drill.Choice{Action: charleston.Action{Seat: v.Seat, Kind: charleston.Vote, Stop: stop}})
	}
	d.Key = drill.Key{Version: drill.KeyVersion, Card: c.Name, Fingerprint: player.Fingerprint(c), Games: 2, Seed: 1, Players: players, Answers: []drill.Answer{
		{Right: true, Cost: stat.Interval[unit.ChanceDifference]{N: 2}}, {Cost: stat.Interval[unit.ChanceDifference]{Value: 0.05, Low: 0.03, High: 0.07, N: 2}}}}
	return d
}

// smallDesk is a desk with a data folder of its own, and a card of a few hands.
func smallDesk(t *testing.T) (*Desk, *sql.Store, *card.Card) {
	t.Helper()
	c, _, err := card.Read("small.card", []byte(small), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return &Desk{Files: files.In(dir, nil), Store: s}, s, c
}

// Keys made again are kept in the place of the old ones before they are told of, by the players of each key unless others are
// named; a trial keeps the old ones, and whoever stops is told how many were made.
func TestRemakeKeys(t *testing.T) {
	t.Parallel()
	d, s, c := smallDesk(t)
	drills := []*drill.Drill{stopOrGoOn(c, "1122b 4455b 668b NE", "nearest"), stopOrGoOn(c, "1112c 2244c 889c 55d", "random"), stopOrGoOn(c, "FFFF 222b 00 NN 48c", "nearest")}
	if _, err := s.AddDrills(drills, c); err != nil {
		t.Fatal(err)
	}
	old := drills[0].Key
	kept := func(i int) drill.Key {
		t.Helper()
		now, err := s.Drill(drills[i].ID)
		if err != nil {
			t.Fatal(err)
		}
		return now.Key
	}
	remake := func(w KeyWish, stop int) (told []drill.Remade, done int, err error) {
		done, err = d.RemakeKeys(context.Background(), c, drills, w, func(r drill.Remade) error {
			told = append(told, r)
			if len(told) == stop {
				return errors.New("enough")
			}
			return nil
		})
		return told, done, err
	}

	wish := KeyWish{Seed: 7, Times: 3, Try: true}
	tried, done, err := remake(wish, 0)
	if err != nil || done != 3 || len(tried) != 3 {
		t.Fatalf("a trial: %d made, %d told, %v", done, len(tried), err)
	}
	for i := range drills {
		if !reflect.DeepEqual(kept(i), drills[i].Key) {
			t.Errorf("a trial has changed the key of drill %d", i+1)
		}
	}

	wish.Try = false
	some, done, err := remake(wish, 2)
	if err == nil || done > 2 || len(some) != 2 {
		t.Errorf("stopped at the second: %d made, %d told, %v", done, len(some), err)
	}
	// Those of the same players come one after the other.
	for i, want := range []struct {
		drill   int
		players string
		seed    uint64
		games   int
	}{{0, "nearest", 7, 6}, {1, "random", 1, 2}, {2, "nearest", 7, 6}} {
		if k := kept(i); k.Players != want.players || k.Seed != want.seed || k.Games != want.games {
			t.Errorf("drill %d has a key of %s, seed %d, %d games; wanted %+v", i+1, k.Players, k.Seed, k.Games, want)
		}
	}
	if !reflect.DeepEqual(drills[0].Key, old) {
		t.Error("the drills handed in are changed")
	}

	again, done, err := remake(wish, 0)
	if err != nil || done != 3 {
		t.Fatalf("%d made, %v", done, err)
	}
	for i, r := range again {
		if !reflect.DeepEqual(r.New, tried[i].New) {
			t.Errorf("the same seed gives another key for drill %d: %+v and %+v", r.Drill.ID, r.New, tried[i].New)
		}
	}
	if k := kept(1); k.Seed != 7 || k.Games != 6 || k.Players != "random" {
		t.Errorf("the drill of other players has a key of %s, seed %d, %d games", k.Players, k.Seed, k.Games)
	}

	wish.Players = "random"
	if _, _, err := remake(wish, 0); err != nil || kept(0).Players != "random" {
		t.Errorf("players that are named: a key of %s, %v", kept(0).Players, err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	before := kept(0)
	if done, err := d.RemakeKeys(ctx, c, drills, KeyWish{Seed: 9, Times: 1}, func(drill.Remade) error { return nil }); done != 0 || !reflect.DeepEqual(kept(0), before) {
		t.Errorf("stopped before the first: %d made, %v", done, err)
	}
}
