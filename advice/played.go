package advice

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// moment is a decision, or the end of the passing, as one seat knows it, with the whole games that were played on from it by a
// counsel's players and seed. Game g of what is valued there is a function of that, the seed and g alone: where it was played before,
// for whatever purpose, it is taken from here, so that a value at n games is the same wherever it is shown. It may be used by
// several goroutines.
type moment struct {
	shelf Shelf // nil keeps nothing
	key   string

	mu     sync.Mutex
	of     map[string]*series
	picked picked
	fresh  bool // games have been added since it was kept
	saved  time.Time
}

// picked is the best decision that a review has found at a moment, by its name, and by how many games; none where Games is 0.
type picked struct {
	Games int    `json:"games"`
	Best  string `json:"best"`
}

// bestFound is the name under which that is kept beside the games; it is that of no decision.
const bestFound = "the best found"

// series is the games of one thing that is valued, from number 0 on without a gap, and those beyond a gap.
type series struct {
	games []sim.Whole
	later map[uint64]sim.Whole
}

// keepEvery is how often games are kept while more are played.
const keepEvery = 5 * time.Second

// layouts counts the changes of how tiles that a seat does not see are laid out: games on other layouts are other games.
const layouts = 4

// moment is the one of a sort at a position; the text of the position is the same for equal ones and no others.
func (c *Counsel) moment(sort, position string) *moment {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s %d %x %v %d %s", sort, layouts, c.company.seed(), c.Game.House(), c.Seed, position))
	m := &moment{shelf: c.Games, key: hex.EncodeToString(sum[:12]), of: map[string]*series{}, saved: time.Now()}
	m.read()
	return m
}

// what gives the games of one thing that is valued.
func (m *moment) what(name string) *series {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.series(name)
}

func (m *moment) series(name string) *series {
	if m.of[name] == nil {
		m.of[name] = &series{later: map[uint64]sim.Whole{}}
	}
	return m.of[name]
}

// game is game g, which is played where it was not before.
func (m *moment) game(s *series, g uint64, play func() (sim.Whole, error)) (sim.Whole, error) {
	if m.shelf == nil {
		return play()
	}
	m.mu.Lock()
	one, there := s.game(g)
	m.mu.Unlock()
	if there {
		return one, nil
	}
	one, err := play()
	if err != nil {
		return one, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	s.add(g, one)
	if m.fresh = true; time.Since(m.saved) > keepEvery {
		m.write()
	}
	return one, nil
}

func (s *series) game(g uint64) (sim.Whole, bool) {
	if g < uint64(len(s.games)) {
		return s.games[g], true
	}
	one, there := s.later[g]
	return one, there
}

func (s *series) add(g uint64, one sim.Whole) {
	if g >= uint64(len(s.games)) {
		s.later[g] = one
	}
	for {
		n := uint64(len(s.games))
		next, there := s.later[n]
		if !there {
			return
		}
		s.games = append(s.games, next)
		delete(s.later, n)
	}
}

// most is the greatest number of games that anything valued here has.
func (m *moment) most() int {
	m.mu.Lock()
	defer m.mu.Unlock()
	most := 0
	for _, s := range m.of {
		most = max(most, len(s.games))
	}
	return most
}

// pick notes the best decision that a number of games has found, unless more games have found one before.
func (m *moment) pick(games int, best string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if games >= m.picked.Games {
		m.picked, m.fresh = picked{games, best}, true
	}
}

// had is the games that are there of something, from number 0 on without a gap.
func (m *moment) had(name string) []sim.Whole {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.series(name).games
}

// keep keeps the games.
func (m *moment) keep() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.write()
}

// write puts the games on the shelf, together with those that others have put there meanwhile.
func (m *moment) write() {
	if m.shelf == nil || !m.fresh {
		return
	}
	m.read()
	kept := map[string][]byte{}
	for name, s := range m.of {
		if len(s.games) > 0 {
			kept[name] = packed(s.games)
		}
	}
	if m.picked.Games > 0 {
		kept[bestFound], _ = json.Marshal(m.picked) // it always is JSON
	}
	if data, err := json.Marshal(kept); err == nil { // maps of bytes always are JSON
		m.shelf.Put(m.key, data)
	}
	m.fresh, m.saved = false, time.Now()
}

// read takes in games that stand on the shelf. What cannot be read is played again.
func (m *moment) read() {
	if m.shelf == nil {
		return
	}
	kept := map[string][]byte{}
	if data := m.shelf.Take(m.key); data == nil || json.Unmarshal(data, &kept) != nil {
		return
	}
	var pick picked
	if json.Unmarshal(kept[bestFound], &pick) == nil && pick.Games > m.picked.Games {
		m.picked = pick
	}
	delete(kept, bestFound)
	for name, data := range kept {
		games, ok := unpacked(data)
		if s := m.series(name); ok && len(games) > len(s.games) {
			s.games = games
			for g := range s.later {
				if g < uint64(len(games)) {
					delete(s.later, g)
				}
			}
			s.add(uint64(len(games))-1, sim.Whole{})
		}
	}
}

// packed is games in a few bytes each: the estimate, and the net points with whether the game was won.
func packed(games []sim.Whole) []byte {
	var data []byte
	for _, one := range games {
		data = binary.AppendUvarint(data, uint64(one.Quick))
		won := uint64(0)
		if one.Result > 0 {
			won = 1
		}
		data = binary.AppendVarint(data, int64(one.Points))
		data = append(data, byte(won))
	}
	return data
}

// unpacked is the games again; ok is false where the bytes are none.
func unpacked(data []byte) (games []sim.Whole, ok bool) {
	for len(data) > 0 {
		quick, a := binary.Uvarint(data)
		points, b := binary.Varint(data[max(a, 0):])
		if a <= 0 || b <= 0 || a+b >= len(data) || quick > uint64(sim.Sure) || data[a+b] > 1 {
			return nil, false
		}
		games = append(games, sim.Whole{Quick: sim.Score(quick), Result: sim.Sure * sim.Score(data[a+b]), Points: int(points)})
		data = data[a+b+1:]
	}
	return games, true
}

// try is game g of something valued here, by the way it is played.
func (m *moment) try(name string, play sim.Try) sim.Try {
	s := m.what(name)
	return func(w *sim.Ahead, g uint64) (sim.Whole, error) {
		return m.game(s, g, func() (sim.Whole, error) { return play(w, g) })
	}
}

// decided is the moment of a decision in the passing, or of its end.
func (c *Counsel) decided(v *charleston.View) *moment {
	return c.moment("passing", fmt.Sprintf("%+v", *v))
}

// inGame is the moment of a decision in play.
func (c *Counsel) inGame(state *table.State) *moment { return c.moment("play", state.Mark()) }

// named is the name by which an action of the passing is valued, ended that by which the end of the passing is.
func named(a charleston.Action) string { return fmt.Sprintf("%+v", a) }

const ended = "the end of the passing"

// enough is a number of games or, where the budget asks for all that are kept, theirs if it is greater.
func (b Budget) enough(games int, at *moment) int {
	if b.Kept {
		return max(games, at.most())
	}
	return games
}

// valueOf is the value of something at a moment at a number of games.
func (c *Counsel) valueOf(ctx context.Context, l *sim.Lookahead, at *moment, name string, games int, play sim.Try) (stat.Interval[unit.Chance], error) {
	defer at.keep()
	var value sim.Value
	err := l.Add(ctx, &value, games, at.try(name, play))
	return value.Chance(), err
}
