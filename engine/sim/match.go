package sim

import (
	"context"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Match is players who meet on the same deals. Each deal is played once for each of the four ways to
// seat them one after another around the table, so that nobody profits from a seat: the four games are
// a block, and the intervals come from the blocks.
type Match struct {
	Game *table.Game
	// Seats makes the players; the listed order goes round the table.
	Seats [charleston.Seats]func() player.Player
	Seed  uint64
	Deals int
}

// Rotations is the number of games a deal is played: once with each listed player as East.
const Rotations = charleston.Seats

// MatchTally is what the deals of a match add up to: sums over the four games of each deal, in
// wins, games and points. It is exact, so that it is the same however the match was cut up.
type MatchTally struct {
	// Wins and Points are by listed seat.
	Wins   [charleston.Seats]stat.IntMoments[unit.Count]     `json:"wins"`
	Points [charleston.Seats]stat.IntMoments[unit.NetPoints] `json:"points"`
	// WinsLess and PointsLess are a listed seat's less those of the first.
	WinsLess   [charleston.Seats]stat.IntMoments[unit.Count]     `json:"wins_less"`
	PointsLess [charleston.Seats]stat.IntMoments[unit.NetPoints] `json:"points_less"`
	// Others is the wins of the three seats after the first; Lead is three times the first seat's wins less
	// those, PointLead the same in points.
	Others    stat.IntMoments[unit.Count]     `json:"others"`
	Lead      stat.IntMoments[unit.Count]     `json:"lead"`
	PointLead stat.IntMoments[unit.NetPoints] `json:"point_lead"`
	Wall      stat.IntMoments[unit.Count]     `json:"wall"`
	// Discards and Decisions are totals, for speed.
	Discards, Decisions int64
}

// Merge adds the deals that follow.
func (t *MatchTally) Merge(next *MatchTally) {
	for i := range t.Wins {
		t.Wins[i].Merge(next.Wins[i])
		t.Points[i].Merge(next.Points[i])
		t.WinsLess[i].Merge(next.WinsLess[i])
		t.PointsLess[i].Merge(next.PointsLess[i])
	}
	t.Others.Merge(next.Others)
	t.Lead.Merge(next.Lead)
	t.PointLead.Merge(next.PointLead)
	t.Wall.Merge(next.Wall)
	t.Discards += next.Discards
	t.Decisions += next.Decisions
}

// Play plays the deals from number `from`, which an earlier run of the same match has come to, into the
// tally, and returns the number of deals it now holds. It stops as [Run] does: when ctx ends or watch,
// which may be nil, says so. The tally of a match that was stopped and resumed equals that of one played through.
func (m *Match) Play(ctx context.Context, from int, into *MatchTally, watch func(deals int) (stop bool)) (deals int, err error) {
	return Run(ctx, from, m.Deals, into, m.worker, watch)
}

// worker seats the players for one core.
func (m *Match) worker() func(Shard) (*MatchTally, error) {
	var players [charleston.Seats]player.Player
	for i, newPlayer := range m.Seats {
		players[i] = newPlayer()
	}
	tables := Tables{Game: m.Game}
	return func(s Shard) (*MatchTally, error) {
		tally := &MatchTally{}
		for deal := s.First; deal < s.First+s.Count; deal++ {
			b := block{}
			for shift := range charleston.Seat(Rotations) {
				for i := range players {
					tables.Players[seatOf(i, shift)] = players[i]
				}
				o, err := tables.Play(m.Seed, uint64(deal))
				if err != nil {
					return nil, err
				}
				b.add(&o, shift)
			}
			tally.add(&b)
		}
		return tally, nil
	}
}

// seatOf is where the player listed at i sits after so many rotations.
func seatOf(i int, shift charleston.Seat) charleston.Seat {
	return (charleston.Seat(i) + shift) % charleston.Seats
}

// block is the four games of a deal.
type block struct {
	wins, points        [charleston.Seats]int
	wall                int
	discards, decisions int
}

func (b *block) add(o *Outcome, shift charleston.Seat) {
	for i := range b.wins {
		seat := seatOf(i, shift)
		if o.Ending.Won() && o.Winner == seat {
			b.wins[i]++
		}
		b.points[i] += o.Net[seat]
	}
	if o.Ending == table.WallGame {
		b.wall++
	}
	b.discards += o.Turns
	b.decisions += o.Decisions
}

func (t *MatchTally) add(b *block) {
	others := b.wins[1] + b.wins[2] + b.wins[3]
	otherPoints := b.points[1] + b.points[2] + b.points[3]
	for i := range b.wins {
		t.Wins[i].Add(b.wins[i])
		t.Points[i].Add(b.points[i])
		t.WinsLess[i].Add(b.wins[i] - b.wins[0])
		t.PointsLess[i].Add(b.points[i] - b.points[0])
	}
	t.Others.Add(others)
	t.Lead.Add(rest*b.wins[0] - others)
	t.PointLead.Add(rest*b.points[0] - otherPoints)
	t.Wall.Add(b.wall)
	t.Discards += int64(b.discards)
	t.Decisions += int64(b.decisions)
}
