package cardreport

import (
	"context"
	"encoding/json"
	"runtime"
	"testing"

	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// A survey adds up to the same bytes on one core, on two, and when it was stopped in every stage, kept as JSON and
// gone on with.
func TestSameHoweverRun(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	set := settings(read(t, small))
	set.Deals, set.Games, set.Aimed = 3*sim.ShardGames+5, 2*sim.ShardGames+9, 30
	want := whole(t, survey(t, set))
	runtime.GOMAXPROCS(2)
	if text(t, whole(t, survey(t, set))) != text(t, want) {
		t.Error("on two cores another result than on one")
	}
	parts, stops := &Tally{}, 0
	for {
		ctx, stop := context.WithCancel(context.Background())
		err := survey(t, set).Run(ctx, parts, func(Stage, int, int) { stop() })
		stop()
		if err == nil {
			break
		}
		stops++
		kept := &Tally{}
		if err := json.Unmarshal([]byte(text(t, parts)), kept); err != nil {
			t.Fatal(err)
		}
		parts = kept
	}
	if text(t, parts) != text(t, want) {
		t.Errorf("stopped %d times: another result than in one go", stops)
	}
	if stops < 2 { // once in or after each stage but the last, which may come to its end while it is being stopped
		t.Errorf("stopped only %d times", stops)
	}
	if text(t, survey(t, set).Report(parts)) != text(t, survey(t, set).Report(want)) {
		t.Error("another report")
	}
}

// Tallies of two stretches of deals merge to that of both.
func TestMerge(t *testing.T) {
	set := settings(read(t, small))
	v := survey(t, set)
	var both, one, two Tally
	for _, part := range []struct {
		tally *Tally
		shard sim.Shard
	}{{&both, sim.Shard{First: 0, Count: 30}}, {&one, sim.Shard{First: 0, Count: 11}}, {&two, sim.Shard{First: 11, Count: 19}}} {
		deals, _ := v.dealReader()(part.shard)
		games, err := v.gamePlayer()(part.shard)
		if err != nil {
			t.Fatal(err)
		}
		aims, err := v.aimWorker()(part.shard)
		if err != nil {
			t.Fatal(err)
		}
		part.tally.Merge(&Tally{Deals: *deals, Games: *games, Aims: *aims})
	}
	one.Merge(&two)
	if text(t, &one) != text(t, &both) {
		t.Error("two parts are not the whole")
	}
}

// Tiles are neither made nor lost: twelve change hands at each of the six passes, what is given comes, jokers
// stay, and without blind passes it comes to the neighbour.
func TestTilesAreConserved(t *testing.T) {
	set := settings(card.Practice())
	set.Games = sim.ShardGames
	for _, blind := range []bool{true, false} {
		set.House.Blind = blind
		v := survey(t, set)
		tally := whole(t, v)
		g := &tally.Games
		for step := charleston.FirstRight; step < charleston.Steps; step++ {
			p := &g.Steps[step]
			gave, came := tilesOf(&p.Gave), tilesOf(&p.Came)
			if gave != came {
				t.Errorf("%s: given %v, came %v", step, gave, came)
			}
			if gave[tile.Joker] != 0 {
				t.Errorf("%s: jokers were passed", step)
			}
			all := p.Blind.Sum
			for k := range gave {
				all += gave[k]
				if p.Of[k].Part != gave[k] {
					t.Errorf("%s: %d of kind %d of which %d given", step, p.Of[k].Part, k, gave[k])
				}
			}
			if step != charleston.Courtesy && all != charleston.Seats*charleston.PassTiles*p.Taken {
				t.Errorf("%s: %d tiles in %d games", step, all, p.Taken)
			}
			if r := v.Report(tally).Steps[step-1]; int64(r.Tiles) != all-p.Blind.Sum {
				t.Errorf("%s: reported %d tiles", step, r.Tiles)
			}
			for seat := range charleston.Seat(charleston.Seats) {
				if !blind && p.Gave[seat] != p.Came[step.Direction().To(seat)] {
					t.Errorf("%s: what %s gave did not come to its neighbour", step, seat.Name())
				}
			}
		}
		if blind && g.Steps[charleston.FirstLeft].Blind.Sum == 0 {
			t.Error("nobody passed blind, so that nothing is shown")
		}
	}
}

func tilesOf(seats *[charleston.Seats][tile.Kinds]int64) (all [tile.Kinds]int64) {
	for _, kinds := range seats {
		for k, n := range kinds {
			all[k] += n
		}
	}
	return all
}

// The games are those that sim.Tables plays, and every game has an end.
func TestGamesAreThoseOfTables(t *testing.T) {
	set := settings(read(t, small))
	set.Games = 2 * sim.ShardGames
	v := survey(t, set)
	g := &whole(t, v).Games
	tables := sim.Tables{Game: v.game}
	for i := range tables.Players {
		tables.Players[i] = v.kit.New()
	}
	hands, sections, wall := make([]stat.Histogram, len(v.Card.Hands)), make([]stat.Histogram, len(v.Card.Sections)), int64(0)
	for n := range set.Games {
		o, err := tables.Play(set.Seed, uint64(n))
		if err != nil {
			t.Fatal(err)
		}
		if !o.Ending.Won() {
			wall++
			continue
		}
		hand := v.Card.Variants[o.Variant].Hand
		hands[hand].Add(o.Turns)
		sections[v.Card.Hands[hand].Section].Add(o.Turns)
	}
	if wall != g.Wall || text(t, hands) != text(t, g.Hands) || text(t, sections) != text(t, g.Sections) || g.Played != int64(set.Games) {
		t.Errorf("%v and %d wall games, tables play %v and %d", g.Hands, g.Wall, hands, wall)
	}
	won := 0
	for _, h := range hands {
		won += h.Count()
	}
	if won == 0 || g.Signs.Racks[finding]+g.Signs.Racks[measuring] != 3*g.Played {
		t.Errorf("%d wins, %v racks", won, g.Signs.Racks)
	}
}

// To aim at all hands is to be free, so that the only section of a card does as the seat without an aim.
func TestAimAtEverythingIsFree(t *testing.T) {
	set := settings(read(t, "section S\n25 exposed FFFF 111x 22222x 44x\n30 exposed NNN EEE WWW SSSSS"))
	set.Games, set.Aimed = sim.ShardGames, sim.ShardGames
	tally := whole(t, survey(t, set))
	if got, want := tally.Aims.Sections[0], tally.Games.Free; got != want || want.Wins == 0 {
		t.Errorf("aimed %+v, free %+v", got, want)
	}
}

// A hand without its restriction does as on a card that is written without it.
func TestRestrictionsAreThoseOfAnotherCard(t *testing.T) {
	const lines = "section S\n25 exposed NNNNN EEE WWW SSS\n30 exposed 00000 RRR GG FFFF\n"
	set := settings(read(t, lines+"25 concealed 11x 222x 44x 555x FFFF ; slide ; no jokers"))
	set.Aimed, set.Hands = 40, []int{2}
	v := survey(t, set)
	got := whole(t, v).Aims
	tuning := set.Tuning
	for _, other := range []struct {
		line string
		c    Change
	}{{"25 exposed 11x 222x 44x 555x FFFF ; slide ; no jokers", got.Open[2]}, {"25 concealed 11x 222x 44x 555x FFFF ; slide", got.Jokered[2]}} {
		set := settings(read(t, lines+other.line))
		set.Aimed, set.Hands, set.Tuning = 40, []int{2}, tuning
		want := whole(t, survey(t, set)).Aims.Hands[2]
		if other.c.Both+other.c.Eased != want.Wins || got.Hands[2].Points.Sum+other.c.Points.Sum != want.Points.Sum ||
			other.c.Both+other.c.Written != got.Hands[2].Wins || want.Wins == 0 {
			t.Errorf("%s: %+v beside %+v, on the other card %+v", other.line, other.c, got.Hands[2], want)
		}
	}
	if got.Hands[0].Points.N+got.Sections[0].Points.N != 0 {
		t.Error("hands that nobody asked for were aimed at")
	}
}

func TestNewRefuses(t *testing.T) {
	for what, change := range map[string]func(*Settings){
		"negative deals": func(s *Settings) { s.Deals = -1 },
		"an empty card":  func(s *Settings) { s.Card = read(t, "") },
		"unknown hand":   func(s *Settings) { s.Hands = []int{99} },
	} {
		set := settings(read(t, small))
		change(&set)
		if _, err := New(set); err == nil {
			t.Errorf("%s is let through", what)
		}
	}
}

// A survey that has not begun has a report of nothing.
func TestReportOfNothing(t *testing.T) {
	set := settings(read(t, small))
	set.Deals = 10
	r := survey(t, set).Report(&Tally{})
	if !r.Stopped || r.Hands[0].Won.N != 0 || len(r.Sections[0].Nearer) != 0 || r.Hands[0].Aimed != nil {
		t.Errorf("%+v", r.Hands[0])
	}
	text(t, r)
}
