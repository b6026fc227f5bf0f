package table

import (
	"flag"
	"math/rand/v2"
	"slices"
	"testing"

	"secondpass/engine/fit"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// For a long run: go test ./table -run TestRandomPlay -games 100000
var games = flag.Int("games", 2000, "games that TestRandomPlay plays")

// seeker plays well enough to win now and then: it throws the tile that its tiles, open or not, miss least,
// claims at random what is legal, and wins when it can. One in so many games it also claims by mistake.
type seeker struct {
	rater    *fit.Rater
	weights  *fit.Weights
	rng      *rand.Rand
	legal    []Action
	mistakes bool
}

func newSeeker(g *Game, rng *rand.Rand) *seeker {
	return &seeker{
		rater:   fit.NewRater(fit.New(g.card)),
		weights: fit.NewWeights(0.12, 0.2, int(g.Set()[tile.Joker])), rng: rng,
	}
}

func (p *seeker) turn(v View) Action {
	p.legal = v.AppendLegal(p.legal[:0])
	if last := p.legal[len(p.legal)-1]; last.Kind == Declare {
		return last
	}
	if first := p.legal[0]; first.Kind == Exchange && p.rng.IntN(4) > 0 {
		return first
	}
	all := v.Rack()
	groups, n := v.Open(v.Seat())
	for _, e := range groups[:n] {
		all[e.Tile] += e.Naturals()
		all[tile.Joker] += e.Jokers
	}
	var value [tile.Kinds]int64
	p.rater.Discards(p.weights, &all, &value)
	best := p.legal[len(p.legal)-1]
	for _, a := range p.legal {
		if a.Kind == Discard && value[a.Tile] > value[best.Tile] && (a.Tile != tile.Joker || p.rng.IntN(20) == 0) {
			best = a
		}
	}
	return best
}

func (p *seeker) answer(v View) Action {
	p.legal = v.AppendLegal(p.legal[:0])
	if last := p.legal[len(p.legal)-1]; last.Kind == Mahjong {
		return last
	}
	if len(p.legal) > 1 && p.rng.IntN(3) == 0 {
		return p.legal[1+p.rng.IntN(len(p.legal)-1)]
	}
	d, _ := v.Claimable()
	a := Action{Seat: v.Seat(), Kind: Expose, Tile: d.Tile, Size: 3 + uint8(p.rng.IntN(4)), Jokers: uint8(p.rng.IntN(4))}
	if p.mistakes && p.rng.IntN(10) == 0 && v.s.check(a) == nil {
		return a
	}
	return p.legal[0]
}

// Whole games by seekers. After every action all tiles are there and racks have their sizes; Legal and
// Check say the same, wins are confirmed from scratch, claims go by priority, a hand is dead exactly when
// its open groups fit nothing, and the answers one by one lead where they lead in one go.
func TestRandomPlay(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	endings, claims, dead, draws := map[Ending]int{}, 0, 0, 0
	for _, g := range []*Game{lantern(), trial(), readGame("testdata/trial.card", house.House{}), largest(t)} {
		p := newSeeker(g, rng)
		for n := range *games / 4 {
			p.mistakes = n%5 == 0
			s, err := g.Start(Deal(g.Set(), rng))
			if err != nil {
				t.Fatal(err)
			}
			for s.phase != Over {
				step(t, &s, p)
				checkState(t, &s)
				draws += boolInt(checkDraw(t, &s))
			}
			endings[s.ending]++
			for seat := range charleston.Seat(charleston.Seats) {
				claims += int(s.open[seat].n)
				dead += boolInt(s.dead[seat])
			}
		}
	}
	t.Logf("%d games: %v by ending, %d groups claimed, %d hands dead", *games, endings, claims, dead)
	// Of each some must have come up, or the checks above have not been put to the test.
	if endings[SelfDrawn] == 0 || endings[OnDiscard] == 0 || endings[WallGame] == 0 || claims == 0 || dead == 0 || draws == 0 {
		t.Error("something never happens")
	}
}

// largest is a game with as many flowers and jokers as the house rule allows.
func largest(t *testing.T) *Game {
	t.Helper()
	set, err := tile.NewSet(24, 10)
	if err != nil {
		t.Fatal(err)
	}
	return readGameFor("testdata/trial.card", house.Usual, set)
}

// step makes one decision, or the answers to one discard.
func step(t *testing.T, s *State, p *seeker) {
	t.Helper()
	if s.phase == Discarding {
		a := p.turn(s.View(s.turn))
		p.checkLegal(t, s, s.turn, a)
		before := *s
		apply(t, s, a)
		if a.Kind == Declare {
			checkWin(t, s)
		}
		if a.Kind == Exchange {
			checkFront(t, s, a.From)
			checkGain(t, &before, s)
		}
		return
	}
	var claims [charleston.Seats]Claim
	answers := []Action{}
	for seat := range charleston.Seat(charleston.Seats) {
		if s.Waits(seat) {
			a := p.answer(s.View(seat))
			p.checkLegal(t, s, seat, a)
			claims[seat] = a.Claim()
			answers = append(answers, a)
		}
	}
	before, oneByOne := *s, *s
	p.rng.Shuffle(len(answers), func(i, j int) { answers[i], answers[j] = answers[j], answers[i] })
	for _, a := range answers {
		apply(t, &oneByOne, a)
	}
	if err := s.Settle(claims); err != nil {
		t.Fatal(err)
	}
	if *s != oneByOne {
		t.Fatalf("settled in one go the state is %+v, one by one %+v", *s, oneByOne)
	}
	checkPriority(t, &before, s, claims)
}

func apply(t *testing.T, s *State, a Action) {
	t.Helper()
	if err := s.Apply(a); err != nil {
		t.Fatal(err)
	}
}

// checkLegal confirms that Legal is sorted and is what Check lets through, for the action chosen and, now and
// then, for all others that might be tried.
func (p *seeker) checkLegal(t *testing.T, s *State, seat charleston.Seat, chosen Action) {
	t.Helper()
	legal := s.Legal(seat)
	if !slices.IsSortedFunc(legal, Action.Compare) || len(slices.Compact(slices.Clone(legal))) != len(legal) {
		t.Fatalf("%v is out of order", legal)
	}
	tries := []Action{chosen}
	if p.rng.IntN(20) == 0 {
		tries = attempts(s, seat)
	}
	for _, a := range tries {
		if listed, err := slices.Contains(legal, a), s.Check(a); listed != (err == nil) {
			t.Fatalf("%v: listed %t, %v", a, listed, err)
		}
	}
}

// attempts are all actions of a seat that could be legal in its phase, and some more.
func attempts(s *State, seat charleston.Seat) []Action {
	if s.phase == Claiming {
		k := s.waiting()
		list := []Action{{Seat: seat, Kind: Decline}, {Seat: seat, Kind: Mahjong, Tile: k}}
		for size := uint8(2); size <= 7; size++ {
			for jokers := range size + 1 {
				list = append(list, Action{Seat: seat, Kind: Expose, Tile: k, Size: size, Jokers: jokers})
			}
		}
		return list
	}
	list := []Action{{Seat: seat, Kind: Declare}}
	for k := range tile.Kind(tile.Kinds) {
		list = append(list, Action{Seat: seat, Kind: Discard, Tile: k})
		for from := range charleston.Seat(charleston.Seats) {
			list = append(list, Action{Seat: seat, Kind: Exchange, Tile: k, From: from})
		}
	}
	return list
}

// checkPriority confirms who got the discard: of the mahjong claims the soonest, else of the others the
// soonest, else nobody, and the next live seat draws.
func checkPriority(t *testing.T, before, after *State, claims [charleston.Seats]Claim) {
	t.Helper()
	taker, rank := before.turn, 0
	for i := 3; i > 0; i-- { // from the last in the order of play to the first, so that the soonest stays
		seat := (before.turn + charleston.Seat(i)) % charleston.Seats
		r := boolInt(claims[seat].Size > 0) + 2*boolInt(claims[seat].Mahjong)
		if r > 0 && r >= rank {
			taker, rank = seat, r
		}
	}
	switch {
	case rank == 2:
		if after.ending != OnDiscard || after.turn != taker {
			t.Fatalf("%s claims to win, but %+v", taker, after.Result())
		}
		checkWin(t, after)
	case rank == 1:
		if after.open[taker].n != before.open[taker].n+1 {
			t.Fatalf("%s claims, but lays nothing open", taker)
		}
		checkFront(t, after, taker)
		if after.dead[taker] && len(slowOpen(after.game.card, groupsOf(&after.open[taker]))) > 0 {
			t.Fatalf("%s is dead with %v open", taker, groupsOf(&after.open[taker]))
		}
		if !after.dead[taker] && (after.turn != taker || after.drawn != before.drawn) {
			t.Fatalf("%s claims, and it is %s's turn", taker, after.turn)
		}
	}
	if drew := after.drawn > before.drawn; drew {
		next := charleston.Right.To(taker)
		for after.dead[next] {
			next = charleston.Right.To(next)
		}
		if after.turn != next || rank == 1 && !after.dead[taker] {
			t.Fatalf("after %s, %s draws", taker, after.turn)
		}
	}
}

// checkFront confirms the variants that a seat's open groups allow.
func checkFront(t *testing.T, s *State, seat charleston.Seat) {
	t.Helper()
	want := slowOpen(s.game.card, groupsOf(&s.open[seat]))
	got := s.View(seat).Variants(seat)
	if s.dead[seat] {
		want = nil // once dead a hand stays so, whatever is exchanged
	} else if len(want) == 0 {
		t.Fatalf("%s has %v open and is not dead", seat, groupsOf(&s.open[seat]))
	}
	if !slices.Equal(got, want) {
		t.Fatalf("%s has %v open: %d variants, not %d", seat, groupsOf(&s.open[seat]), len(got), len(want))
	}
}

// checkGain confirms that an exchange makes a win self-drawn, unless the claimed tile has completed the hand.
func checkGain(t *testing.T, before, after *State) {
	t.Helper()
	complete := len(slowWins(before.game.card, before.racks[before.turn], groupsOf(&before.open[before.turn]))) > 0
	if want := before.gain == byClaim && complete; want != (after.gain == byClaim) {
		t.Fatalf("gain was %d, complete %t, and is %d", before.gain, complete, after.gain)
	}
}
