package sim

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"secondpass/engine/player"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Beliefs is what the others' concealed tiles are worth at each stage of the play, and how many of the jokers that nobody
// sees they hold, as self-play of one card, house and table shows. Racks dealt uniformly from what a seat does not see are
// far too poor, as if the others had never passed, drawn or discarded; [Beliefs.Lay] deals racks that are worth as
// much as theirs are at that stage. It is read-only and may be shared.
//
// Method: our own. It takes the worths of others' racks at a wall and number of open groups from games, and lets a
// uniform layout grow to worths drawn from them, by the moves with which a player improves a rack. What a seat
// passed, discarded and let go is not taken into account beyond that.
type Beliefs struct {
	cells [beliefWalls][beliefOpen]beliefCell
	// kin is where the tiles lie of which a seat has some, by stage.
	kin [beliefWalls]kinship
	// tilt brings how often layouts are won to how often games are.
	tilt tilt
}

// kinship is the naturals that a seat does not see of kinds that it has: how many, and how many of them lie in the wall. More
// do than of other kinds: what it could not use it has given to the others, and these have thrown what they could not use.
type kinship struct {
	Unseen int `json:"unseen"`
	Wall   int `json:"wall"`
}

const (
	// beliefStep is the tiles of the wall that make one stage; beliefWalls the stages of the largest wall there is.
	beliefStep, beliefWalls = 5, 26
	// beliefOpen is the numbers of open groups told apart: none, one, two or more.
	beliefOpen = 3
	// beliefJokers is the numbers of concealed jokers told apart: none to three, and four or more.
	beliefJokers = 5
	// beliefLeast is the fewest racks from which a cell, or a number of jokers in it, speaks for itself.
	beliefLeast = 25
	// beliefKept is the most worths that are kept of a number of jokers in a cell.
	beliefKept = 100
	// beliefLook is one in how many turns is looked at: neighbouring ones tell nearly the same.
	beliefLook = 3
	// BeliefGames is the number of games from which worths are taken; with the tilt that is some seconds of work. Stages that so many games
	// seldom reach borrow from their neighbours.
	BeliefGames = 1000
)

// beliefCell is the others' racks at one stage.
type beliefCell struct {
	// Worths are logarithms of worths, by the number of jokers concealed (the last stands for more), in rising order once
	// all games are in: who has jokers is nearer to a hand.
	Worths [beliefJokers][]float64 `json:"worths"`
	// Held and Unseen add up the jokers that such a seat concealed, and those that a seat beside it did not see;
	// jokers known to all are left out.
	Held   int `json:"held"`
	Unseen int `json:"unseen"`
	// Waits is how many such racks wait for their last tile, by their worth, see waitBin.
	Waits [waitBins]waits `json:"waits"`
}

// waits is racks, and how many of them lack one tile that there is.
type waits struct {
	Racks   int `json:"racks"`
	Waiting int `json:"waiting"`
}

// waitBins is the steps of one in the logarithm of a worth by which the racks that wait are counted; waitLeast the fewest racks of a
// step from which it speaks for itself.
const waitBins, waitLeast = 8, 10

// waitBin is the step of a worth; the last one stands for all that are worth less, of which hardly any waits.
func waitBin(worth float64) int { return min(max(int(-worth), 0), waitBins-1) }

// waits says by lot whether a rack of a worth waits.
func (c *beliefCell) waits(worth float64, rng *rand.Rand) bool {
	bin := waitBin(worth)
	if bin == waitBins-1 {
		return false
	}
	at := c.Waits[bin]
	for off := 1; at.Racks < waitLeast && off < waitBins-1; off++ { // with the steps around it
		for _, near := range [...]int{bin - off, bin + off} {
			if near >= 0 && near < waitBins-1 {
				at.Racks += c.Waits[near].Racks
				at.Waiting += c.Waits[near].Waiting
			}
		}
	}
	return at.Racks > 0 && rng.IntN(at.Racks) < at.Waiting
}

// beliefStage is the place of a wall among the stages.
func beliefStage(wall int) int { return min(wall/beliefStep, beliefWalls-1) }

// Merge adds the games that follow.
func (b *Beliefs) Merge(next *Beliefs) {
	for w := range b.cells {
		b.kin[w].add(next.kin[w])
		for o := range b.cells[w] {
			to, from := &b.cells[w][o], &next.cells[w][o]
			for j := range to.Worths {
				to.Worths[j] = append(to.Worths[j], from.Worths[j]...)
			}
			to.Held += from.Held
			to.Unseen += from.Unseen
			for i := range to.Waits {
				to.Waits[i].Racks += from.Waits[i].Racks
				to.Waits[i].Waiting += from.Waits[i].Waiting
			}
		}
	}
}

// Believe plays games in which a strong player of a kit meets three others, notes what the others hold, and sets the tilt of
// layouts. others is nil for three more of the kit. Same arguments, same beliefs.
func Believe(ctx context.Context, g *table.Game, kit *player.StrongKit, others func() player.Player, seed uint64, games int) (*Beliefs, error) {
	b, err := straight(ctx, g, kit, others, seed, games)
	if err != nil {
		return nil, err
	}
	if err := b.setTilt(ctx, g, kit, others, seed, games); err != nil {
		return nil, err
	}
	return b, nil
}

// straight is beliefs without a tilt.
func straight(ctx context.Context, g *table.Game, kit *player.StrongKit, others func() player.Player, seed uint64, games int) (*Beliefs, error) {
	total := &Beliefs{}
	played, err := Run(ctx, 0, games, total, func() func(Shard) (*Beliefs, error) {
		b := &believer{judge: kit.New(), own: kit.New(), tables: Tables{Game: g}}
		for i := range b.others {
			b.others[i] = seated(kit, others)
		}
		return func(s Shard) (*Beliefs, error) {
			part := &Beliefs{}
			for n := s.First; n < s.First+s.Count; n++ {
				if err := b.play(part, seed, uint64(n)); err != nil {
					return nil, err
				}
			}
			return part, nil
		}
	}, nil)
	if err != nil {
		return nil, err
	}
	if played < games {
		return nil, fmt.Errorf("what the others may hold was not worked out: stopped after %d of %d games: %w", played, games, context.Cause(ctx))
	}
	for w := range total.cells {
		for o := range total.cells[w] {
			for j, worths := range total.cells[w][o].Worths {
				total.cells[w][o].Worths[j] = thin(worths)
			}
		}
	}
	return total, nil
}

// thin is worths in rising order and hundredths, at most beliefKept of them at equal distances in that order: as much as a
// layout can tell, and little to keep.
func thin(worths []float64) []float64 {
	slices.Sort(worths)
	n := min(len(worths), beliefKept)
	kept := make([]float64, n)
	for i := range kept {
		kept[i] = math.Round(worths[(2*i+1)*len(worths)/(2*n)]*100) / 100
	}
	return kept
}

// MarshalJSON gives the beliefs as [Beliefs.UnmarshalJSON] reads them: the same layouts come of them.
func (b *Beliefs) MarshalJSON() ([]byte, error) {
	return json.Marshal(keptBeliefs{&b.cells, &b.kin, &b.tilt})
}

type keptBeliefs struct {
	Cells *[beliefWalls][beliefOpen]beliefCell `json:"cells"`
	Kin   *[beliefWalls]kinship                `json:"kin"`
	Tilt  *tilt                                `json:"tilt"`
}

// UnmarshalJSON reads kept beliefs.
func (b *Beliefs) UnmarshalJSON(data []byte) error {
	if err := json.Unmarshal(data, &keptBeliefs{&b.cells, &b.kin, &b.tilt}); err != nil {
		return fmt.Errorf("what the others may hold cannot be read; it is made anew where it is taken away: %w", err)
	}
	for w := range b.cells {
		for o := range b.cells[w] {
			for _, worths := range b.cells[w][o].Worths {
				if !slices.IsSorted(worths) {
					return fmt.Errorf("what the others may hold is out of order at a wall of %d; it is made anew where it is taken away", w*beliefStep)
				}
			}
		}
	}
	return nil
}

// believer is one worker's means to look at games.
type believer struct {
	judge  *player.Strong
	own    player.Player
	others [charleston.Seats - 1]player.Player
	tables Tables
}

// play plays game number n; the strong player of the kit sits in each seat in turn.
func (b *believer) play(part *Beliefs, seed, n uint64) error {
	own := charleston.Seat(n % charleston.Seats)
	b.tables.seat(b.own, &b.others, own)
	looks := Stream(seed, n, "looks")
	_, state, ok, err := b.tables.passed(Stream(seed, n, "deal"), Stream(seed, n, "lots"))
	if !ok || err != nil {
		return err
	}
	var o Outcome
	for state.Phase() != table.Over {
		if state.Phase() == table.Discarding && (state.View(state.Turn()).Discards() == 0 || looks.IntN(beliefLook) == 0) {
			b.look(part, &state, own)
		}
		if err := b.tables.step(&state, &o); err != nil {
			return err
		}
	}
	return nil
}

// look notes what the others hold when a seat is to act.
func (b *believer) look(part *Beliefs, s *table.State, own charleston.Seat) {
	turn := s.Turn()
	v := s.View(turn)
	part.kin[beliefStage(v.WallLeft())].look(s, v)
	unseen := int(v.Unseen()[tile.Joker])
	for seat := range charleston.Seat(charleston.Seats) {
		unseen -= boolInt(seat != turn) * v.Jokers(seat)
	}
	for seat := range charleston.Seat(charleston.Seats) {
		if seat == turn || seat == own || v.Dead(seat) {
			continue
		}
		theirs := s.View(seat)
		rack, hidden := theirs.Rack(), theirs.Unseen()
		scales := b.judge.Scales(v, seat)
		c := part.cell(v, seat)
		worths := &c.Worths[min(rack[tile.Joker], beliefJokers-1)]
		worth := math.Log(scales.Weigh(&rack, &hidden))
		*worths = append(*worths, worth)
		if bin := waitBin(worth); bin < waitBins-1 {
			c.Waits[bin].Racks++
			c.Waits[bin].Waiting += boolInt(scales.Completes(&rack, anyTile))
		}
		c.Held += int(rack[tile.Joker]) - v.Jokers(seat)
		c.Unseen += unseen
	}
}

// anyTile is all kinds, one bit each.
const anyTile = 1<<tile.Kinds - 1

// look counts.
func (k *kinship) look(s *table.State, v table.View) {
	rack, unseen := naturals(v.Rack()), v.Unseen()
	for kind, n := range rack {
		if n > 0 {
			k.Unseen += int(unseen[kind])
		}
	}
	for _, tile := range s.Wall() {
		k.Wall += boolInt(rack[tile] > 0)
	}
}

// add adds what follows.
func (k *kinship) add(next kinship) {
	k.Unseen += next.Unseen
	k.Wall += next.Wall
}

// kinLeast is the fewest tiles from which a stage speaks for itself.
const kinLeast = 200

// share is the part of the unseen tiles of kinds that a seat has which lies in a wall, or in the nearest that games often
// came to; ok is false where there is none.
func (b *Beliefs) share(wall int) (share float64, ok bool) {
	at := beliefStage(wall)
	for off := range beliefWalls {
		for _, w := range [...]int{at + off, at - off} {
			if w >= 0 && w < beliefWalls && b.kin[w].Unseen >= kinLeast {
				return float64(b.kin[w].Wall) / float64(b.kin[w].Unseen), true
			}
		}
	}
	return 0, false
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// cell is the stage at which a seat is.
func (b *Beliefs) cell(v table.View, seat charleston.Seat) *beliefCell {
	_, open := v.Open(seat)
	return &b.cells[beliefStage(v.WallLeft())][min(open, beliefOpen-1)]
}

// near is the cell that speaks for a seat: one of the two between whose middles its wall lies, the nearer one the more
// often, so that beliefs change with every tile drawn. Where games seldom came there it is the nearest one, first with
// a larger or smaller wall, then with fewer groups open. nil where there is none at all.
func (b *Beliefs) near(v table.View, seat charleston.Seat, rng *rand.Rand) *beliefCell {
	_, open := v.Open(seat)
	const middle = (beliefStep - 1) / 2
	at := beliefStage(max(v.WallLeft()-middle+rng.IntN(beliefStep), 0))
	for open = min(open, beliefOpen-1); open >= 0; open-- {
		for off := range beliefWalls {
			for _, w := range [...]int{at + off, at - off} {
				if w >= 0 && w < beliefWalls && b.cells[w][open].racks() >= beliefLeast {
					return &b.cells[w][open]
				}
			}
		}
	}
	return nil
}

// racks is how many racks the cell knows.
func (c *beliefCell) racks() int {
	n := 0
	for _, worths := range c.Worths {
		n += len(worths)
	}
	return n
}

// draw is the logarithm of a worth as the others' racks with so many jokers have it there. Where there were too few of them
// those with one joker less or more are added, and so on.
func (c *beliefCell) draw(jokers int, rng *rand.Rand) float64 {
	low := min(jokers, beliefJokers-1)
	high := low
	n := len(c.Worths[low])
	for n < beliefLeast && (low > 0 || high < beliefJokers-1) {
		if low > 0 {
			low--
			n += len(c.Worths[low])
		}
		if high < beliefJokers-1 {
			high++
			n += len(c.Worths[high])
		}
	}
	at := rng.IntN(n)
	for at >= len(c.Worths[low]) {
		at -= len(c.Worths[low])
		low++
	}
	return c.Worths[low][at]
}

// share is the part of the jokers not seen that one such seat conceals.
func (c *beliefCell) share() float64 { return float64(c.Held) / float64(max(c.Unseen, 1)) }

// seated is one of three who meet a strong player of a kit: one more of the kit where others is nil.
func seated(kit *player.StrongKit, others func() player.Player) player.Player {
	if others == nil {
		return kit.New()
	}
	return others()
}
