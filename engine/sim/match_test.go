package sim

import (
	"context"
	"math"
	"runtime"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/stat"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
)

func match(t testing.TB, deals int, seats ...string) *Match {
	t.Helper()
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	cast := prepared.Of(c).Cast(tuning)
	m := &Match{Game: table.NewGame(c, house.Usual), Seed: 3, Deals: deals}
	for i, name := range seats {
		var err error
		if m.Seats[i], err = cast.Player(name); err != nil {
			t.Fatal(err)
		}
	}
	return m
}

func play(t *testing.T, m *Match) *MatchTally {
	t.Helper()
	tally := &MatchTally{}
	if n, err := m.Play(context.Background(), 0, tally, nil); err != nil || n != m.Deals {
		t.Fatalf("%d deals of %d: %v", n, m.Deals, err)
	}
	return tally
}

// A match adds up to the same on one core, on several, and when it was stopped and gone on with.
func TestMatchIsTheSameHoweverPlayed(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	const deals = 2*ShardGames + 7
	m := match(t, deals, "strong", "nearest", "flexible", "thumb")
	want := play(t, m)
	runtime.GOMAXPROCS(2)
	if got := play(t, m); *got != *want {
		t.Error("on two cores another result than on one")
	}
	parts := &MatchTally{}
	n, err := m.Play(context.Background(), 0, parts, func(deals int) bool { return true })
	if err != nil || n != ShardGames || *parts == *want {
		t.Fatalf("stopped after %d deals: %v", n, err)
	}
	if n, err = m.Play(context.Background(), n, parts, nil); err != nil || n != deals || *parts != *want {
		t.Errorf("resumed to %d deals, another result than played through: %v", n, err)
	}
}

// Every game has one winner or none and pays in a circle, so that shares add up to one and points to nothing,
// and four equal players do equally well seat by seat in every deal.
func TestMatchAccounts(t *testing.T) {
	tally := play(t, match(t, ShardGames, "nearest", "thumb", "flexible", "random"))
	wins, points := tally.Wall.Sum, int64(0)
	for i := range tally.Wins {
		wins += tally.Wins[i].Sum
		points += tally.Points[i].Sum
	}
	if wins != ShardGames*Rotations || points != 0 {
		t.Errorf("%d wins and wall games in %d games, %d points in all", wins, ShardGames*Rotations, points)
	}
	equal := play(t, match(t, ShardGames, "nearest", "nearest", "nearest", "nearest"))
	if equal.Lead.Sum != 0 || equal.Lead.SumSq != 0 || equal.PointsLess[2].SumSq != 0 {
		t.Error("equal players differ on rotated deals")
	}
}

// The report of a tally of four deals is what comes out by hand.
func TestReport(t *testing.T) {
	tally := &MatchTally{}
	blocks := []block{
		{wins: [4]int{2, 1, 0, 1}, points: [4]int{100, -50, -75, 25}},
		{wins: [4]int{1, 1, 1, 0}, points: [4]int{0, 50, -25, -25}, wall: 1},
		{wins: [4]int{3, 0, 0, 1}, points: [4]int{200, -100, -100, 0}},
		{wins: [4]int{0, 2, 2, 0}, points: [4]int{-100, 50, 150, -100}},
	}
	for i := range blocks {
		tally.add(&blocks[i])
	}
	r := MatchResult{Tally: tally}
	s := r.Standings()
	for _, row := range []struct {
		what      string
		got, want float64
	}{
		{"win share of the first", float64(s[0].WinShare.Value), 6. / 16},
		{"points of the third", float64(s[2].Points.Value), -50. / 16},
		{"second less first", float64(s[1].WinShareLess.Value), -2. / 16},
		{"third less first in points", float64(s[2].PointsLess.Value), -250. / 16},
		{"wall games", float64(r.WallGames().Value), 1. / 16},
		{"lead", float64(r.Lead().Value), 6./16 - 9./48},
		{"lead in points", float64(r.PointLead().Value), 200./16 + 200./48},
	} {
		if math.Abs(row.got-row.want) > 1e-12 {
			t.Errorf("%s: %v, by hand %v", row.what, row.got, row.want)
		}
	}
	if n := s[0].WinShare.N; n != 16 {
		t.Errorf("n is %d games", n)
	}
	ratio, ok := r.Ratio()
	if !ok || math.Abs(float64(ratio.Value-2)) > 1e-12 {
		t.Errorf("ratio %v", ratio)
	}
	if _, ok := (MatchResult{Tally: &MatchTally{}}).Ratio(); ok {
		t.Error("a ratio without games")
	}
	if i := (MatchResult{Tally: tally, Watched: 1000}).Lead(); i.Bounded() {
		t.Errorf("a watched match of four deals knows its lead: %v", i)
	}
}

// The interval of the ratio holds the true ratio in about 95 of 100 matches: blocks of four games in which the
// first wins with chance .4 and each other with chance .15, and the deal favours one of them.
func TestRatioCovers(t *testing.T) {
	rng := Stream(1, 1, "ratio")
	const matches = 400
	held := 0
	for range matches {
		tally := &MatchTally{}
		for range 150 {
			var b block
			lucky := rng.IntN(2) // in half of the deals chances are .5 and .11667, in the others .3 and .18333
			for range Rotations {
				first := .3 + .2*float64(lucky)
				other := (.85 - first) / 3
				switch x := rng.Float64(); {
				case x < first:
					b.wins[0]++
				case x < first+3*other:
					b.wins[1+int((x-first)/other)]++
				default:
					b.wall++
				}
			}
			tally.add(&b)
		}
		if i, ok := (MatchResult{Tally: tally}).Ratio(); ok && i.Holds(.4/.15) {
			held++
		}
	}
	if c := stat.Wilson(held, matches); c.Low > .95+.02 || c.High < .95-.02 {
		t.Errorf("the interval holds the ratio in %d of %d matches", held, matches)
	}
}

// A test ends a match early where a player is much stronger, and says so.
func TestMatchTest(t *testing.T) {
	m := match(t, 40*ShardGames, "nearest", "random", "random", "random")
	tally := &MatchTally{}
	verdict := stat.NotShown
	n, err := m.Play(context.Background(), 0, tally, func(int) bool {
		_, verdict = tally.Test(.02)
		return verdict != stat.NotShown
	})
	if err != nil || verdict != stat.Holds || n >= m.Deals {
		t.Errorf("%v after %d deals: %v", verdict, n, err)
	}
}

func BenchmarkGames(b *testing.B) {
	for _, name := range []string{"random", "nearest", "flexible", "thumb", "strong"} {
		b.Run(name, func(b *testing.B) {
			m := match(b, 0, name, name, name, name)
			tables := Tables{Game: m.Game}
			for i := range tables.Players {
				tables.Players[i] = m.Seats[i]()
			}
			n, decisions, discards := uint64(0), 0, 0
			for b.Loop() {
				o, err := tables.Play(1, n)
				if err != nil {
					b.Fatal(err)
				}
				n++
				decisions += o.Decisions
				discards += o.Turns
			}
			seconds := b.Elapsed().Seconds()
			b.ReportMetric(float64(n)/seconds, "games/s")
			b.ReportMetric(float64(decisions)/seconds, "decisions/s")
			b.ReportMetric(float64(discards)/seconds, "discards/s")
		})
	}
}
