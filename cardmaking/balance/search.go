package balance

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"secondpass/cardmaking/compose"
	"secondpass/engine/sim"
	"secondpass/rules/card"
)

// Search is a search for a card whose hands are won about equally often.
type Search struct {
	Seed uint64
	// Games is the most games to search with; ReportGames is how many fresh ones each of the card at the
	// start and the card found are measured with.
	Games, ReportGames int
	// RoundGames, a whole number of shards, is how many games a round plays, a quarter of those of a check;
	// 0 is 4,096.
	RoundGames int
	// Progress, which may be nil, is called now and then with what is being done, how much of it is
	// done, and how much there is.
	Progress func(step Step, done, all int)
}

// Step is a part of a search.
type Step int

// The steps, in their order; the unit of Weighing is hands, of the others games.
const (
	Weighing Step = iota
	Searching
	Measuring
)

// String is what a step counts.
func (s Step) String() string {
	return [...]string{"hands weighed", "games of the search", "games to measure"}[s]
}

// UsualGames is what a search may usually take; most take less. LeastGames is one round.
const (
	UsualGames = 200_000
	LeastGames = roundGames
)

const (
	// roundGames is how many games a round plays; one that checks what looks settled plays checkRounds times as
	// many.
	roundGames  = 64 * sim.ShardGames
	checkRounds = 4
	// swapsEach is how many exchanges are tried after a round for each hand that should go, and mostSwaps how many
	// in all.
	swapsEach, mostSwaps = 3000, 30000
	// mostRounds bounds a search whatever its games.
	mostRounds = 1000
)

// Found is a card that a search came to.
type Found struct {
	// Text is its file, Card what was read from that.
	Text string
	Card *card.Card
	Report
}

// state is a search under way.
type state struct {
	*Search
	draft *compose.Draft
	model *model
	// games and rounds are those played, settled says that the card was found.
	games, rounds int
	settled       bool
	// stuck says that the last round found nothing better: a check then tells whether that is good enough.
	stuck bool
}

// Card searches from a draft on, which it changes, and measures what it found.
//
// A round plays games of four strong players on the card, takes what they show into the model, and tries
// swaps of hands that are won too often or too seldom for others of their sections, which lessen
// unevenness and blemish together. A card that looks settled is checked by more games; it is found when
// the intervals of all shares lie in the band. The same seed and games find the same card on any number
// of cores. When ctx ends there is no card, and the error is that of ctx; a search with as many games as were played finds the
// card so far.
func (s *Search) Card(ctx context.Context, d *compose.Draft) (*Found, error) {
	before, _ := d.Card()
	m, err := newModel(ctx, d, func(done int) { s.progress(Weighing, done, d.Candidates()) })
	if err != nil {
		return nil, err
	}
	st := &state{Search: s, draft: d, model: m}
	for more := true; more && !st.settled && st.rounds < mostRounds; {
		if more, err = st.round(ctx); err != nil {
			return nil, err
		}
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return st.found(ctx, before)
}

func (s *Search) progress(step Step, done, all int) {
	if s.Progress != nil {
		s.Progress(step, done, all)
	}
}

// round plays a round and exchanges hands; more is false where its games would be too many or
// ctx ended.
func (s *state) round(ctx context.Context) (more bool, err error) {
	c, numbers := s.draft.Card()
	games := cmp.Or(s.RoundGames, roundGames)
	check := s.stuck || s.model.settled(numbers, len(c.Sections))
	if check {
		games *= checkRounds
	}
	if s.games+games > s.Games {
		return false, nil
	}
	w, err := Play(ctx, c, streamOf(s.Seed, s.rounds), games, func(played int) { s.progress(Searching, s.games+played, s.Games) })
	if err != nil || w.Games < games {
		return false, err
	}
	s.games += games
	s.rounds++
	s.model.learn(numbers, w)
	going := s.model.going(numbers, len(c.Sections))
	if check {
		t := Measure(c, w)
		// What lies at the edge by these games may lie beyond it by others, unless there is nothing better.
		if s.settled = t.Within(Usual) && (s.stuck || len(t.outside(kept)) == 0); s.settled {
			return true, nil
		}
		for _, i := range append(t.beyond(Usual), t.outside(kept)...) {
			if !slices.Contains(going, numbers[i]) {
				going = append(going, numbers[i])
			}
		}
	}
	s.stuck = false
	if len(going) > 0 {
		before := s.draft.Hands()
		s.draft.Better(sim.Stream(s.Seed, uint64(s.rounds), "swaps"), min(mostSwaps, swapsEach*len(going)), going, func(hands []int) float64 {
			return s.model.uneven(hands, len(c.Sections))
		})
		s.stuck = !check && slices.Equal(before, s.draft.Hands())
	}
	return true, nil
}

// streamOf gives each round tiles of its own.
func streamOf(seed uint64, round int) uint64 {
	return sim.Stream(seed, uint64(round), "round").Uint64()
}

// settled says that every hand was played and is thought to lie in the usual band, with two standard errors
// to spare, and every section too.
func (m *model) settled(hands []int, sections int) bool {
	even, bySection := m.even(hands, sections)
	for _, h := range hands {
		off, spare := m.mean[h]-even, 2*math.Sqrt(m.doubt[h])
		if m.precision[h] == 0 || beyond(off-spare, Usual.HandLow, Usual.HandHigh) > 0 || beyond(off+spare, Usual.HandLow, Usual.HandHigh) > 0 {
			return false
		}
	}
	for _, off := range bySection {
		if beyond(off, kept.SectionLow, kept.SectionHigh) > 0 {
			return false
		}
	}
	return true
}

// going lists the hands that are thought to lie outside of the band of those kept, and all of a section that does.
func (m *model) going(hands []int, sections int) []int {
	even, bySection := m.even(hands, sections)
	var list []int
	for _, h := range hands {
		if beyond(m.mean[h]-even, kept.HandLow, kept.HandHigh) > 0 || beyond(bySection[m.section[h]], kept.SectionLow, kept.SectionHigh) > 0 {
			list = append(list, h)
		}
	}
	return list
}

// found measures the card found beside the one at the start, on the same fresh deals.
func (s *state) found(ctx context.Context, before *card.Card) (*Found, error) {
	f := &Found{Text: s.text()}
	after, err := read(f.Text)
	if err != nil {
		return nil, err
	}
	games := s.ReportGames
	f.Card = after
	f.Report = Report{Seed: s.Seed, Rounds: s.rounds, SearchGames: s.games, Games: games, Band: Usual, Redrawn: redrawn(before, after)}
	fresh := sim.Stream(s.Seed, 0, "report").Uint64()
	measure := func(c *card.Card, done int) (*Table, error) {
		w, err := Play(ctx, c, fresh, games, func(played int) { s.progress(Measuring, done+played, 2*games) })
		if err == nil && w.Games < games { // what is measured is measured whole
			err = ctx.Err()
		}
		if err != nil {
			return nil, err
		}
		return Measure(c, w), nil
	}
	if f.Before, err = measure(before, 0); err != nil {
		return nil, err
	}
	if f.After, err = measure(after, games); err != nil {
		return nil, err
	}
	f.Held = f.After.Within(Usual)
	return f, nil
}

// text is the card file, with points by what is thought of each hand's share. Its head names the
// number of games where the usual number would find another card.
func (s *state) text() string {
	flags := ""
	if !s.settled || s.games > UsualGames {
		flags = fmt.Sprintf("--games %d", s.games)
	}
	hands := s.draft.Hands()
	even, _ := s.model.even(hands, s.draft.Sections())
	return s.draft.Text(flags, func(hand int) int { return points(s.model.mean[hand] - even) })
}

// The points by how often a hand is won, all steps of five from 20 to 80; our choice.
const (
	leastPoints, mostPoints = 20, 80
	pointStep               = 5
	// cheapest is the factor of the even share from which on a hand is worth the least, dearest that below which it is worth
	// the most. Between them every five points stand for the same factor.
	cheapest, dearest = 1.8, 0.4
)

// points grow the more seldom a hand is won; off is the logarithm of its share by the even share.
func points(off float64) int {
	const steps = (mostPoints-leastPoints)/pointStep - 1
	step := math.Log(cheapest/dearest) / steps
	return min(mostPoints, leastPoints+pointStep*int(max(0, math.Ceil((math.Log(cheapest)-off)/step))))
}
