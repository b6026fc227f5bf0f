package experiment

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"secondpass/deal"
	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// setup is an experiment made ready to be played. It is read-only.
type setup struct {
	experiment *Experiment
	card       *card.Card
	ready      *prepared.Card
	index      *fit.Index
	seed       uint64
	seat       charleston.Seat
	round      bool // the seat goes round
	// others makes each of the three others, from the right of the studied seat on.
	others [charleston.Seats - 1]func() player.Player
	// lines are the games that a deal is played in: ways that differ in their measure alone share one.
	lines []line
	// line is the game of each way, gauges what is measured of each way, by measure. contrasts are the ways that are compared.
	line      []int
	gauges    [][]gauge
	contrasts []contrast
	split     *gauge
	among     *gauge
	// used says that some measure is UsedByReceiver.
	used bool
}

// line is one game of a deal.
type line struct {
	player string
	newOne func() player.Player
	// game is the card under the house rules of the way.
	game *table.Game
	fill Fill
	aim  []string
	// play is, where a line that comes out of the passing with the same tiles as another of the same play has the same game,
	// what they have in common; "" elsewhere.
	play string
	// whole says that it is played to its end.
	whole bool
	// own is, where the ways do not share all their tiles, a number that sets its lots apart.
	own string
}

func prepare(s *Experiment, c *card.Card, t player.Tuning, seed uint64) (*setup, error) {
	ready := prepared.Of(c)
	p := &setup{experiment: s, card: c, ready: ready, index: ready.Index(), seed: seed}
	cast := ready.Cast(t)
	var err error
	if p.seat, p.round, err = s.seat(); err != nil {
		return nil, err
	}
	for i, other := range s.othersOf() {
		if p.others[i], err = cast.Player(other); err != nil {
			return nil, err
		}
	}
	p.contrasts, p.gauges = s.contrasts(), make([][]gauge, s.measures())
	for i := range s.Ways {
		if err := p.addWay(cast, i); err != nil {
			return nil, err
		}
	}
	for _, b := range []struct {
		band *Band
		into **gauge
	}{{s.Split, &p.split}, {s.Among, &p.among}} {
		if b.band != nil {
			g := newGauge(b.band.Measure, c)
			*b.into = &g
			p.note(&g, 0)
		}
	}
	return p, nil
}

func (p *setup) addWay(cast *prepared.Cast, i int) error {
	w := &p.experiment.Ways[i]
	l := line{player: w.Player, game: p.ready.Game(p.experiment.HouseOf(i)), fill: w.Fill}
	if p.experiment.Pairing != SameWall {
		l.own = fmt.Sprintf(" of way %d", i)
	}
	at := -1
	for j := range p.lines {
		if other := &p.lines[j]; other.player == l.player && other.game.House() == l.game.House() && other.fill == l.fill && other.own == l.own {
			at = j
		}
	}
	if at < 0 {
		var err error
		if l.newOne, err = cast.Player(w.Player); err != nil {
			return err
		}
		if l.aim, err = cast.Aim(w.Player); err != nil {
			return err
		}
		if l.play, err = p.playOf(cast, &l); err != nil {
			return err
		}
		at = len(p.lines)
		p.lines = append(p.lines, l)
	}
	p.line = append(p.line, at)
	for k := range p.gauges {
		g := newGauge(p.experiment.only(k).measure(i), p.card)
		p.gauges[k] = append(p.gauges[k], g)
		p.note(&g, at)
	}
	return nil
}

// playOf is the play of a line, where nobody at the table draws lots and all lines have the same wall.
func (p *setup) playOf(cast *prepared.Cast, l *line) (string, error) {
	if l.own != "" || l.fill != 0 {
		return "", nil
	}
	for _, other := range p.experiment.othersOf() {
		if play, err := cast.Play(other); err != nil || play == "" {
			return "", err
		}
	}
	return cast.Play(l.player)
}

// note notes what a measure needs of a game.
func (p *setup) note(g *gauge, line int) {
	p.lines[line].whole = p.lines[line].whole || g.Of.row().play
	p.used = p.used || g.Of == UsedByReceiver
}

// played is one game as far as it is measured.
type played struct {
	seat    charleston.Seat
	dealt   tile.Rack
	rack    tile.Rack // at the end of the passing, after a gift
	view    charleston.View
	outcome table.Result
	turns   int
	hand    int // that it was won with
	// exchanged is the jokers taken, used the tiles that the receiver of the first pass uses.
	exchanged, used int
	// passed says that there was a passing; none where East is dealt a complete hand. left says that a gift could not be made.
	passed, left bool
	// racks are all four at the end of the passing, whole says that the game was played from there by those at the tables; passing is
	// what was noted of it.
	racks   [charleston.Seats]tile.Rack
	tables  sim.Tables
	passing sim.Outcome
	whole   bool

	accountant *exercise.Accountant
	read       bool
	hidden     exercise.Account
}

func (p *played) wins(seat charleston.Seat) bool {
	return p.outcome.Ending.Won() && p.outcome.Winner == seat
}

// account is how the rack stands at the end of the passing.
func (p *played) account() *exercise.Account {
	if !p.read {
		p.hidden, p.read = p.accountant.Account(p.rack), true
	}
	return &p.hidden
}

// worker plays the deals of one core.
type worker struct {
	*setup
	// deals deals to the population, for East and for the other seats.
	deals       [2]*deal.Dealing
	others      [charleston.Seats - 1]player.Player
	seated      []*counting
	accountants []*exercise.Accountant
	// receiver reads what the receiver of a pass uses.
	receiver *exercise.Accountant
	played   []played
	// after are the conditions of the population on the rack after a step.
	after []*condition
	// values are those of a measure for each way, has says where there is one.
	values []int
	has    []bool
}

// counting is a player whose joker exchanges are counted.
type counting struct {
	player.Player
	exchanges int
}

func (c *counting) Begin(rng *rand.Rand) {
	c.exchanges = 0
	c.Player.Begin(rng)
}

func (c *counting) Turn(v table.View) table.Action {
	a := c.Player.Turn(v)
	if a.Kind == table.Exchange {
		c.exchanges++
	}
	return a
}

func (p *setup) newWorker() (*worker, error) {
	ways := len(p.line)
	w := &worker{setup: p, played: make([]played, len(p.lines)), values: make([]int, ways), has: make([]bool, ways)}
	for i := range w.others {
		w.others[i] = p.others[i]()
	}
	for i := range p.lines {
		w.seated = append(w.seated, &counting{Player: p.lines[i].newOne()})
		accountant, err := exercise.NewAccountant(p.card, p.lines[i].aim)
		if err != nil {
			return nil, err
		}
		w.accountants = append(w.accountants, accountant)
	}
	var err error
	if w.receiver, err = exercise.NewAccountant(p.card, nil); err != nil {
		return nil, err
	}
	var dealt []*condition
	for _, c := range p.experiment.Population.Also {
		ready, err := p.newCondition(c)
		switch {
		case err != nil:
			return nil, err
		case c.After == 0:
			dealt = append(dealt, ready)
		default:
			w.after = append(w.after, ready)
		}
	}
	also := p.also(dealt)
	for i, seat := range []charleston.Seat{charleston.East, charleston.South} {
		if !p.round && (p.seat == charleston.East) != (seat == charleston.East) {
			continue
		}
		if w.deals[i], err = deal.NewDealing(p.experiment.Population.Condition, seat.DealtTiles(), p.card.Set, p.index, also); err != nil {
			return nil, err
		}
	}
	return w, nil
}

// deal lays out game number n for a studied seat: its rack to the population, all else at random.
func (w *worker) deal(seat charleston.Seat, n uint64, own string) (racks [charleston.Seats]tile.Rack, wall []tile.Kind, err error) {
	var rackOf, wallOf string
	if w.experiment.Pairing == NoPairing {
		rackOf = own
	}
	if w.experiment.Pairing != SameWall {
		wallOf = own
	}
	rng := sim.Stream(w.seed, n, "study deal"+rackOf) // the names of streams are part of every result that was kept
	for range mostDeals {
		if racks, wall, err = w.draw(seat, rng); err != nil {
			return racks, nil, err
		}
		fits, err := w.inPopulation(seat, n, racks)
		if err != nil {
			return racks, nil, err
		}
		if fits {
			if wallOf != "" {
				sim.Stream(w.seed, n, "study wall"+wallOf).Shuffle(len(wall), func(i, j int) { wall[i], wall[j] = wall[j], wall[i] })
			}
			return racks, wall, nil
		}
	}
	return racks, nil, fmt.Errorf("%w: none of %d deals has the rack that the population asks for after a step; ask for less", deal.ErrTooRare, mostDeals)
}

// draw deals the seat its rack, as far as that is known from the deal, and all else at random.
func (w *worker) draw(seat charleston.Seat, rng *rand.Rand) (racks [charleston.Seats]tile.Rack, tiles []tile.Kind, err error) {
	dealing := w.deals[1]
	if seat == charleston.East {
		dealing = w.deals[0]
	}
	if racks[seat], err = dealing.Deal(rng); err != nil {
		return racks, nil, err
	}
	left, err := w.card.Set.Less(racks[seat])
	if err != nil {
		return racks, nil, err
	}
	tiles = left.Tiles()
	rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
	for other := range charleston.Seat(charleston.Seats) {
		if other != seat {
			held := other.DealtTiles()
			racks[other] = tile.RackOf(tiles[:held]...)
			tiles = tiles[held:]
		}
	}
	return racks, tiles, nil
}

// play plays deal number n in all its lines.
func (w *worker) play(n int) error {
	seat := w.seat
	if w.round {
		seat = charleston.Seat(n % charleston.Seats)
	}
	var first [charleston.Seats]tile.Rack
	var firstWall []tile.Kind
	for i := range w.lines {
		racks, wall := first, slices.Clone(firstWall) // a gift changes it
		if i == 0 || w.lines[i].own != w.lines[0].own {
			var err error
			if racks, wall, err = w.deal(seat, uint64(n), w.lines[i].own); err != nil {
				return err
			}
		}
		if i == 0 {
			first, firstWall = racks, slices.Clone(wall)
		}
		w.played[i] = played{seat: seat, dealt: racks[seat], rack: racks[seat], accountant: w.accountants[i]}
		if err := w.playLine(i, uint64(n), racks, wall); err != nil {
			return fmt.Errorf("deal %d, %q: %w", n, w.lines[i].player, err)
		}
	}
	return nil
}

// pass passes the tiles of a line, unless East is dealt a complete hand.
func (w *worker) pass(i int, n uint64, racks [charleston.Seats]tile.Rack) error {
	l, p := &w.lines[i], &w.played[i]
	if r, ok := l.game.DealtWin(racks[charleston.East]); ok {
		p.end(&sim.Outcome{Result: r}, w.card)
		p.left = l.fill != 0
		return nil
	}
	p.tables, p.passing = sim.Tables{Game: l.game}, sim.Outcome{}
	w.sit(&p.tables, i, n)
	passing, err := charleston.Start(racks, l.game.House().Passing, w.card.Set)
	if err != nil {
		return err
	}
	if err := p.tables.Pass(&passing, sim.Stream(w.seed, n, "study lots"+l.own), &p.passing); err != nil {
		return err
	}
	p.passed, p.view, p.rack = true, passing.View(p.seat), passing.Rack(p.seat)
	if w.used {
		to := charleston.FirstRight.Direction().To(p.seat)
		p.used = w.usedBy(racks[to], passing.View(to))
	}
	for seat := range racks {
		p.racks[seat] = passing.Rack(charleston.Seat(seat))
	}
	return nil
}

func (w *worker) playLine(i int, n uint64, racks [charleston.Seats]tile.Rack, wall []tile.Kind) error {
	l, p := &w.lines[i], &w.played[i]
	if err := w.pass(i, n, racks); err != nil || !p.passed {
		return err
	}
	racks, o := p.racks, p.passing
	if l.fill != 0 {
		p.left = !gift(l.fill, p.account(), w.card, &racks[p.seat], wall)
		p.rack, p.read = racks[p.seat], false
	}
	if !l.whole || p.left {
		return nil
	}
	p.racks, p.whole = racks, true
	if same := w.sameGame(i); same != nil {
		p.outcome, p.turns, p.hand, p.exchanged = same.outcome, same.turns, same.hand, same.exchanged
		return nil
	}
	state, err := l.game.Start(racks, wall)
	if err != nil {
		return err
	}
	if err := p.tables.Finish(&state, &o); err != nil {
		return err
	}
	p.end(&o, w.card)
	p.exchanged = w.seated[i].exchanges
	return nil
}

// sameGame is an earlier line of the deal that must have had the game which line i is about to play, or nil.
func (w *worker) sameGame(i int) *played {
	for j := range w.lines[:i] {
		if w.lines[i].play != "" && w.lines[j].play == w.lines[i].play && w.lines[j].game.House().Play == w.lines[i].game.House().Play && w.played[j].whole && w.played[j].racks == w.played[i].racks {
			return &w.played[j]
		}
	}
	return nil
}

// sit seats the players of a line and tells them of the game, each with lots of its own.
func (w *worker) sit(t *sim.Tables, i int, n uint64) {
	studied := w.played[i].seat
	t.Players[studied] = w.seated[i]
	for n, other := range w.others {
		t.Players[(studied+1+charleston.Seat(n))%charleston.Seats] = other
	}
	for seat := range charleston.Seat(charleston.Seats) {
		t.Players[seat].Begin(sim.Stream(w.seed, n, "study player "+seat.String()+w.lines[i].own))
	}
}

func (p *played) end(o *sim.Outcome, c *card.Card) {
	p.outcome, p.turns = o.Result, o.Turns
	if o.Ending.Won() {
		p.hand = c.Variants[o.Variant].Hand
	}
}

// usedBy is the number of the tiles that came to a seat at the first right which its nearest hand uses.
func (w *worker) usedBy(dealt tile.Rack, v charleston.View) int {
	came := v.Came[charleston.FirstRight].Rack()
	before := dealt.Minus(v.Gave[charleston.FirstRight].Rack())
	account := w.receiver.Account(before.Plus(came))
	used := 0
	for k, n := range account.Nearest.Keep {
		if n > before[k] {
			used += min(int(n-before[k]), int(came[k]))
		}
	}
	return used
}

// gift exchanges a spare tile for the first of the wall that fills a gap or a short group of the nearest hand; false, with
// nothing changed, where not both could be done.
func gift(fill Fill, a *exercise.Account, c *card.Card, rack *tile.Rack, wall []tile.Kind) bool {
	best := &a.Nearest
	single, group := c.Needs(&c.Variants[best.Variant])
	if best.MissingGroups <= best.JokersUsed || a.SpareBest.Size() == 0 {
		return false
	}
	var at [len(fillPlaces)]int
	for f := range fillPlaces {
		at[f] = -1
	}
	for i, k := range wall {
		have := rack[k]
		singles := min(have, single[k])
		short := group[k] > have-singles && have-singles >= 2
		if gap := single[k] == 1 && have == 0; gap && at[FillGap] < 0 {
			at[FillGap] = i
		}
		if short && at[FillShort] < 0 {
			at[FillShort] = i
		}
	}
	if at[FillGap] < 0 || at[FillShort] < 0 {
		return false
	}
	spare := a.SpareBest.Tiles()[0]
	rack[spare]--
	rack[wall[at[fill]]]++
	wall[at[fill]] = spare
	return true
}

// fillPlaces is indexed by Fill.
var fillPlaces [FillShort + 1]int
