package player_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// described is players of every kind, alone and held to rules.
var described = []string{
	"random", "nearest", "flexible", "thumb", "strong",
	"strong+aim=Evens", "nearest+aim=Runs 1", "thumb+aim=Odds/Threes Apart", "flexible+aim=Runs",
	"strong+passes=nearest", "strong+keep-flowers+one-of-each+no-pairs", "random+one-of-each+keep-flowers",
	"nearest+blind=always+stop=always+courtesy=0", "thumb+blind-when=2+stop=never+courtesy=3",
	"flexible+blind=2+no-pairs+joker-bait", "strong+joker-bait+blind=never", "strong+passes=thumb+aim=Evens+keep-flowers",
}

func cast(t testing.TB) *player.Cast {
	t.Helper()
	tuning, _ := player.TuningFor(card.Practice())
	return player.CastOf(card.Practice(), tuning)
}

func maker(t testing.TB, c *player.Cast, description string) func() player.Player {
	t.Helper()
	newPlayer, err := c.Player(description)
	if err != nil {
		t.Fatal(err)
	}
	return newPlayer
}

// Whoever meets whom, under whatever house rules, every action is legal to the end of the game: a game reports
// the first that is not.
func TestPlayersActLegally(t *testing.T) {
	c, g := cast(t), table.NewGame(card.Practice(), house.Usual)
	rng := rand.New(rand.NewPCG(1, 2))
	var players []player.Player
	for _, d := range described {
		for range 2 {
			players = append(players, maker(t, c, d)())
		}
	}
	for n := range uint64(600) {
		tables := sim.Tables{Game: g.With(house.House{Passing: house.Passing{SecondCharleston: rng.IntN(3) > 0, Blind: rng.IntN(3) > 0, Courtesy: rng.IntN(3) > 0}, Play: house.Usual.Play})}
		rng.Shuffle(len(players), func(i, j int) { players[i], players[j] = players[j], players[i] })
		copy(tables.Players[:], players)
		if _, err := tables.Play(9, n); err != nil {
			t.Fatalf("game %d, %+v: %v", n, tables.Game.House(), err)
		}
	}
}

// twin is a player whose every decision is compared with that of a new player who has seen nothing yet.
type twin struct {
	player.Player
	fresh func() player.Player
	fail  func(what string, got, want any)
}

func (w *twin) same(what string, got, want any) {
	if got != want {
		w.fail(what, got, want)
	}
}

func (w *twin) Pass(v *charleston.View) (charleston.Parcel, int) {
	own, blind := w.Player.Pass(v)
	own2, blind2 := w.fresh().Pass(v)
	w.same("pass", fmt.Sprint(own, blind), fmt.Sprint(own2, blind2))
	return own, blind
}

func (w *twin) Stop(v *charleston.View) bool {
	stop := w.Player.Stop(v)
	w.same("stop", stop, w.fresh().Stop(v))
	return stop
}

func (w *twin) Offer(v *charleston.View) int {
	n := w.Player.Offer(v)
	w.same("offer", n, w.fresh().Offer(v))
	return n
}

func (w *twin) Give(v *charleston.View) charleston.Parcel {
	p := w.Player.Give(v)
	w.same("courtesy", p, w.fresh().Give(v))
	return p
}

func (w *twin) Turn(v table.View) table.Action {
	a := w.Player.Turn(v)
	w.same("turn", a, w.fresh().Turn(v))
	return a
}

func (w *twin) Claim(v table.View) table.Claim {
	c := w.Player.Claim(v)
	w.same(fmt.Sprintf("claim with %s", v.Rack()), c, w.fresh().Claim(v))
	return c
}

// Equal views give equal decisions: what a player remembers of the game saves it work and changes nothing.
func TestMemoryChangesNothing(t *testing.T) {
	c, g := cast(t), table.NewGame(card.Practice(), house.Usual)
	for _, d := range described {
		if strings.HasPrefix(d, "random") {
			continue
		}
		newPlayer := maker(t, c, d)
		tables := sim.Tables{Game: g}
		for i := range tables.Players {
			tables.Players[i] = maker(t, c, "nearest")()
		}
		for n := range uint64(8) {
			tables.Players[n%4] = &twin{newPlayer(), newPlayer, func(what string, got, want any) {
				t.Errorf("%s, game %d: %s %v, a new player %v", d, n, what, got, want)
			}}
			if _, err := tables.Play(4, n); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// A decision in play does not depend on what the seat cannot see: with the hidden tiles dealt again, a new
// player decides the same.
func TestHiddenTilesDoNotMatter(t *testing.T) {
	c, g := cast(t), table.NewGame(card.Practice(), house.Usual)
	rng := rand.New(rand.NewPCG(3, 4))
	for _, d := range []string{"nearest", "flexible", "thumb", "strong", "strong+joker-bait"} {
		newPlayer := maker(t, c, d)
		for range 4 {
			racks, wall := table.Deal(tile.Usual, rng)
			state, err := g.Start(racks, wall)
			if err != nil {
				t.Fatal(err)
			}
			for state.Phase() != table.Over {
				for seat := range charleston.Seat(charleston.Seats) {
					if state.Waits(seat) {
						act(t, &state, seat, newPlayer, rng)
					}
				}
			}
		}
	}
}

// act lets a new player act for a seat, after another has had to decide the same with other hidden tiles.
func act(t *testing.T, s *table.State, seat charleston.Seat, newPlayer func() player.Player, rng *rand.Rand) {
	t.Helper()
	again := redealt(t, *s, seat, rng)
	decide := func(v table.View) table.Action {
		p := newPlayer()
		p.Begin(rng)
		if s.Phase() == table.Discarding {
			return p.Turn(v)
		}
		d, _ := v.Claimable()
		return p.Claim(v).By(seat, d.Tile)
	}
	a, b := decide(s.View(seat)), decide(again.View(seat))
	if a != b {
		t.Fatalf("%s; with other hidden tiles %s", a, b)
	}
	if err := s.Apply(a); err != nil {
		t.Fatal(err)
	}
}

// redealt is a state with the tiles that a seat does not see dealt again.
func redealt(t *testing.T, s table.State, seat charleston.Seat, rng *rand.Rand) table.State {
	t.Helper()
	if err := sim.Refill(&s, seat, rng); err != nil {
		t.Fatal(err)
	}
	return s
}
