package table

import (
	"fmt"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Phase is what the table waits for.
type Phase uint8

const (
	// Discarding: the seat in turn, which holds 14 tiles, exchanges jokers, declares or discards.
	Discarding Phase = 1 + iota
	// Claiming: the other live seats answer the last discard.
	Claiming
	// Over: the game has ended. The last tile is among the winner's concealed ones.
	Over
	// Drawing: the seat in turn is to draw. Only [State.Undrawn] leads there, and [State.Draw] goes on.
	Drawing
)

// State is the table at one moment. It is a plain value that is cheap to copy and can be compared
// with ==; the zero State is not valid, see [Game.Start] and [Game.At].
type State struct {
	game *Game
	// wall is the tiles still to be drawn at the start, one byte a tile; it is a string since
	// copies of the state share it and nobody may write to it. drawn is how many are gone.
	wall  string
	drawn uint8
	// racks are the concealed tiles, open the groups laid open, by seat.
	racks [charleston.Seats]tile.Rack
	open  [charleston.Seats]front
	// shown counts the tiles that lie open for all to see: discards not claimed and open groups.
	shown tile.Rack
	// discards has a byte a discard: its kind times four plus the seat. thrown is their number.
	discards [maxDiscards]uint8
	thrown   uint8
	phase    Phase
	// turn is the seat to discard, in Claiming the one that discarded last, and at the end of a game
	// that was won the winner.
	turn charleston.Seat
	gain gain
	dead [charleston.Seats]bool
	// answered tells, in Claiming, from whom no answer is due (any more), claims what they answered.
	answered [charleston.Seats]bool
	claims   [charleston.Seats]Claim
	// taken is how many jokers each seat is known to hold, having taken them in exchange before all eyes.
	taken   [charleston.Seats]uint8
	ending  Ending
	variant int32
}

// Mark is a text that two states have in common where they are equal, games by the same rules taken as one, and no others.
func (s State) Mark() string {
	s.game = nil
	return fmt.Sprintf("%v", s)
}

// maxTiles is the most tiles a set may have; maxDiscards is the most discards there can be with
// them: one a tile of the wall, East's first, and one a claimed group.
const (
	maxTiles    = 172
	maxDiscards = maxTiles - dealt + 1 + charleston.Seats*MaxOpen
)

// gain is how the seat in turn came by its last tile: it decides who pays.
type gain uint8

const (
	// fromWall: dealt or drawn.
	fromWall gain = iota
	// byClaim: an exposure, and if it completes the hand, the discarder pays for it.
	byClaim
	// byExchange: a joker taken from an open group.
	byExchange
)

// Game is the game that is played.
func (s *State) Game() *Game { return s.game }

// Phase is what the table waits for.
func (s *State) Phase() Phase { return s.phase }

// Turn is the seat in turn while Discarding, the seat whose discard is to be answered while
// Claiming, and the winner, if there is one, when the game is Over.
func (s *State) Turn() charleston.Seat { return s.turn }

// Waits says whether the table waits for a decision of the seat.
func (s *State) Waits(seat charleston.Seat) bool {
	switch {
	case seat >= charleston.Seats:
		return false
	case s.phase == Discarding:
		return seat == s.turn
	}
	return s.phase == Claiming && !s.answered[seat]
}

// Rack is the concealed tiles of a seat. Players see it only through their [View].
func (s *State) Rack(seat charleston.Seat) tile.Rack { return s.racks[seat] }

// Wall is the tiles still to be drawn, next first; the caller owns the slice.
func (s *State) Wall() []tile.Kind { return []tile.Kind(s.wall[s.drawn:]) }

// View is what a seat may know. It looks at the state and not at a copy, so it changes as the
// state does.
func (s *State) View(seat charleston.Seat) View { return View{s, seat} }

// Legal lists every action by which a seat that the table waits for keeps to the rules, in the
// order of [Action.Compare]; for other seats it is empty. Of claims it lists those with which some
// hand of the card remains possible, see [State.Check].
func (s *State) Legal(seat charleston.Seat) []Action { return s.AppendLegal(nil, seat) }

// AppendLegal appends to dst what [State.Legal] lists.
func (s *State) AppendLegal(dst []Action, seat charleston.Seat) []Action {
	switch {
	case !s.Waits(seat):
		return dst
	case s.phase == Discarding:
		return s.appendTurn(dst)
	}
	return s.appendClaims(dst, seat)
}

// Mistake is the error of a claim for which the tiles are there but after which the open groups
// fit no hand: who makes it all the same has a dead hand.
type Mistake struct{ Action Action }

func (m *Mistake) Error() string {
	return fmt.Sprintf("%s: with %s open no hand of the card remains, and the hand is dead",
		m.Action.Seat.Name(), Exposure{Tile: m.Action.Tile, Size: m.Action.Size, Jokers: m.Action.Jokers})
}

// Check says why an action is not among those that [State.Legal] lists, or nil. For a claim that
// the rules let happen but that leaves the claimer no hand it is a *[Mistake].
func (s *State) Check(a Action) error {
	if err := s.check(a); err != nil {
		return err
	}
	if a.Kind == Expose && s.game.extend(&s.open[a.Seat], a.Tile, a.Size, a.Jokers) == noShape {
		return &Mistake{a}
	}
	return nil
}

// Apply carries out a seat's action and moves on to the next decision. It takes what [State.Legal]
// lists, and a [Mistake] too: the group is laid open and the hand is dead. After an error the state is
// unchanged.
func (s *State) Apply(a Action) error {
	if err := s.check(a); err != nil {
		return err
	}
	if s.phase == Discarding {
		s.applyTurn(a)
	} else {
		s.answer(a.Seat, a.Claim())
		s.resolve()
	}
	return nil
}

// check says why an action cannot be carried out, or nil.
func (s *State) check(a Action) error {
	switch {
	case s.phase == Over:
		return fmt.Errorf("the game is over")
	case s.phase == Drawing:
		return fmt.Errorf("%s is to draw first", s.turn.Name())
	case a.Seat >= charleston.Seats:
		return fmt.Errorf("there is no seat %d", a.Seat)
	case s.phase == Discarding:
		return s.checkTurn(a)
	}
	return s.checkClaim(a)
}

// goOn gives the turn to the next live seat after one, which draws; without a tile to draw the game is
// over. Some seat always lives: a hand dies of claiming the discard of one that is live and stays so.
func (s *State) goOn(after charleston.Seat) {
	if int(s.drawn) == len(s.wall) {
		s.phase, s.ending = Over, WallGame
		return
	}
	seat := charleston.Right.To(after)
	for s.dead[seat] {
		seat = charleston.Right.To(seat)
	}
	s.racks[seat][s.wall[s.drawn]]++
	s.drawn++
	s.phase, s.turn, s.gain = Discarding, seat, fromWall
}

// win ends the game.
func (s *State) win(seat charleston.Seat, e Ending) {
	s.variant, _ = s.game.completed(&s.racks[seat], &s.open[seat])
	s.phase, s.ending, s.turn = Over, e, seat
}

// discard is the seat and the tile of a discard, counted from 0.
func (s *State) discard(i int) (charleston.Seat, tile.Kind) {
	d := s.discards[i]
	return charleston.Seat(d % charleston.Seats), tile.Kind(d / charleston.Seats)
}
