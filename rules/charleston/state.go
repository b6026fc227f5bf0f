package charleston

import (
	"fmt"
	"slices"

	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// State is the passing of four seats at one moment. It is a plain value that is cheap to
// copy; the zero State is not valid, see [Start] and [At].
type State struct {
	rules house.Passing
	step  Step
	phase Phase
	racks [Seats]tile.Rack
	// acted tells which seats have committed in this phase; pending is what they committed.
	acted   [Seats]bool
	pending [Seats]Action
	// gave, blind and came are the history by step and seat.
	gave, came [Steps][Seats]Parcel
	blind      [Steps][Seats]uint8
}

// ActionKind is what a seat does; the phase says which kind is due.
type ActionKind uint8

const (
	// Pass commits own tiles and a number of blind ones.
	Pass ActionKind = 1 + iota
	// Vote says whether to stop after the first left.
	Vote
	// Name says how many tiles are offered at the courtesy.
	Name
	// Give hands over the tiles of the courtesy.
	Give
)

// Action is one seat's decision.
type Action struct {
	Seat Seat
	Kind ActionKind
	// Own are the tiles of a Pass or Give.
	Own Parcel
	// Count is the blind tiles of a Pass, or the number of a Name.
	Count int
	// Stop is the Vote.
	Stop bool
}

// Lots is where the draws of blind passes come from; a *rand.Rand is one. IntN
// returns a number in [0,n).
type Lots interface{ IntN(n int) int }

// Start is the passing before anybody has acted. East must hold 14 tiles, the others 13,
// and the set must have all of them.
func Start(racks [Seats]tile.Rack, rules house.Passing, set tile.Set) (State, error) {
	return At(FirstRight, racks, rules, set)
}

// At is the passing at the start of a step, with the racks as they are then and no history.
func At(step Step, racks [Seats]tile.Rack, rules house.Passing, set tile.Set) (State, error) {
	if err := has(rules, step); err != nil {
		return State{}, err
	}
	var all tile.Rack
	for s, r := range racks {
		if want := Seat(s).DealtTiles(); r.Size() != want {
			return State{}, fmt.Errorf("%s holds %d tiles; %d are right", Seat(s).Name(), r.Size(), want)
		}
		all = all.Plus(r)
	}
	if err := set.Holds(all); err != nil {
		return State{}, fmt.Errorf("the four racks hold %w", err)
	}
	s := State{rules: rules, step: step, phase: Passing, racks: racks}
	if step == Courtesy {
		s.phase = Naming
	}
	return s, nil
}

// Step is the step that is due, Phase what it waits for.
func (s *State) Step() Step   { return s.step }
func (s *State) Phase() Phase { return s.phase }

// Waits says whether the passing waits for a decision of the seat.
func (s *State) Waits(seat Seat) bool { return s.phase != Over && !s.acted[seat] }

// Rack is what a seat holds now. Players see it only through their View.
func (s *State) Rack(seat Seat) tile.Rack { return s.racks[seat] }

// Apply carries out a seat's action. When the last seat has acted the phase is resolved:
// tiles change hands, the vote is counted, the numbers are compared. lots draws the tiles of
// blind passes and may be nil where there are none. After an error the state is unchanged.
func (s *State) Apply(a Action, lots Lots) error {
	if err := s.check(a); err != nil {
		return err
	}
	s.pending[a.Seat], s.acted[a.Seat] = a, true
	if s.acted != [Seats]bool{true, true, true, true} {
		return nil
	}
	stopped := s.resolve(lots)
	s.acted = [Seats]bool{}
	s.step, s.phase = after(s.rules, s.step, s.phase, stopped)
	if s.phase == Giving {
		s.excuse()
	}
	return nil
}

// excuse spares the seats that exchange nothing at the courtesy from saying so again.
func (s *State) excuse() {
	for seat := range Seat(Seats) {
		s.pending[seat] = Action{Seat: seat, Kind: Give}
		s.acted[seat] = s.exchanged(seat) == 0
	}
	if s.acted == [Seats]bool{true, true, true, true} {
		s.acted, s.phase = [Seats]bool{}, Over
	}
}

var due = map[Phase]struct {
	kind ActionKind
	what string
}{
	Passing: {Pass, "a pass"}, Voting: {Vote, "a vote on going on"},
	Naming: {Name, "a number for the courtesy"}, Giving: {Give, "the tiles of the courtesy"},
}

func (s *State) check(a Action) error {
	if s.phase == Over {
		return fmt.Errorf("the Charleston is over")
	}
	if d := due[s.phase]; a.Kind != d.kind {
		return fmt.Errorf("at the %s %s is due", s.step, d.what)
	}
	if a.Seat >= Seats {
		return fmt.Errorf("there is no seat %d", a.Seat)
	}
	if s.acted[a.Seat] {
		return fmt.Errorf("%s has acted at the %s already", a.Seat.Name(), s.step)
	}
	var err error
	switch a.Kind {
	case Pass:
		err = checkPass(s.rules, s.step, &s.racks[a.Seat], a.Own, a.Count)
	case Name:
		err = checkName(a.Count)
	case Give:
		err = checkGive(&s.racks[a.Seat], a.Own, s.exchanged(a.Seat), Courtesy, 0)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", a.Seat.Name(), err)
	}
	return nil
}

// exchanged is the number of tiles a seat hands over at the courtesy: the smaller of the two named.
func (s *State) exchanged(seat Seat) int {
	return int(min(s.blind[Courtesy][seat], s.blind[Courtesy][Across.To(seat)]))
}

func (s *State) resolve(lots Lots) (stopped bool) {
	switch s.phase {
	case Voting:
		for _, a := range s.pending {
			stopped = stopped || a.Stop
		}
	case Naming:
		for seat, a := range s.pending {
			s.blind[Courtesy][seat] = uint8(a.Count) // the number named stands where steps 1-6 have the blind tiles
		}
	case Passing, Giving:
		var own [Seats]Parcel
		var blind [Seats]int
		for seat, a := range s.pending {
			own[seat] = a.Own
			if s.phase == Passing {
				blind[seat] = a.Count
				s.blind[s.step][seat] = uint8(a.Count)
			}
		}
		came := exchange(s.step.Direction(), own, blind, lots)
		for seat := range s.racks {
			s.racks[seat] = s.racks[seat].Minus(own[seat].Rack()).Plus(came[seat].Rack())
		}
		s.gave[s.step], s.came[s.step] = own, came
	}
	return stopped
}

// exchange says what stays with each seat when all pass own tiles and hand on so many of the
// incoming ones unseen. The smallest blind number cancels out all round; then some seat hands on
// nothing, and from it the tiles are followed round. Blind passes go left or right only, so
// that every seat is reached.
func exchange(d Direction, own [Seats]Parcel, blind [Seats]int, lots Lots) (came [Seats]Parcel) {
	smallest := min(blind[0], blind[1], blind[2], blind[3])
	if blind == [Seats]int{} {
		for seat := range Seat(Seats) {
			came[d.To(seat)] = own[seat]
		}
		return came
	}
	giver := East
	for blind[giver] != smallest {
		giver++
	}
	moving := own[giver]
	for range Seats {
		seat := d.To(giver)
		kept, on := split(moving, blind[seat]-smallest, lots)
		came[seat] = kept
		var all [2 * PassTiles]tile.Kind
		n := copy(all[:], own[seat].Tiles())
		n += copy(all[n:], on.Tiles())
		moving, _ = ParcelOf(all[:n]...) // 3 - blind own and blind - smallest others: never more than three
		giver = seat
	}
	return came
}

// split draws n of the tiles at random to be handed on and keeps the rest.
func split(p Parcel, n int, lots Lots) (kept, on Parcel) {
	for i := range n {
		j := i + lots.IntN(p.Len()-i)
		p.tiles[i], p.tiles[j] = p.tiles[j], p.tiles[i]
	}
	on, _ = ParcelOf(p.tiles[:n]...)
	kept, _ = ParcelOf(p.tiles[n:p.n]...)
	return kept, on
}

// Legal lists every distinct action of a seat that is still to act, in rising order: passes with
// fewer blind tiles first, then by their tiles. It is empty when the seat has nothing to do.
func (s *State) Legal(seat Seat) []Action {
	if !s.Waits(seat) {
		return nil
	}
	return legal(seat, s.phase, s.step, s.rules, &s.racks[seat], s.exchanged(seat))
}

// legal lists what a seat may do where its decision is due.
func legal(seat Seat, phase Phase, step Step, rules house.Passing, rack *tile.Rack, exchanged int) []Action {
	var actions []Action
	give := func(kind ActionKind, tiles, blind int) {
		parcels := Parcels(*rack, tiles)
		actions = slices.Grow(actions, len(parcels))
		for _, p := range parcels {
			actions = append(actions, Action{Seat: seat, Kind: kind, Own: p, Count: blind})
		}
	}
	switch phase {
	case Passing:
		give(Pass, PassTiles, 0)
		if rules.Blind && step.BlindAllowed() {
			for blind := 1; blind <= PassTiles; blind++ {
				give(Pass, PassTiles-blind, blind)
			}
		}
	case Voting:
		actions = []Action{{Seat: seat, Kind: Vote}, {Seat: seat, Kind: Vote, Stop: true}}
	case Naming:
		for n := 0; n <= PassTiles; n++ {
			actions = append(actions, Action{Seat: seat, Kind: Name, Count: n})
		}
	case Giving:
		give(Give, exchanged, 0)
	}
	return actions
}

// Parcels lists the distinct parcels of n naturals, 0 to 3, that a rack can give, in rising order.
func Parcels(rack tile.Rack, n int) []Parcel {
	rack[tile.Joker] = 0
	list := make([]Parcel, 0, waysOf(&rack)[0][n])
	var grow func(p Parcel, from tile.Kind)
	grow = func(p Parcel, from tile.Kind) {
		if p.Len() == n {
			list = append(list, p)
			return
		}
		for k := from; k < tile.Joker; k++ {
			if rack[k] > 0 {
				next := p
				next.tiles[next.n] = k
				next.n++
				rack[k]--
				grow(next, k)
				rack[k]++
			}
		}
	}
	grow(Parcel{}, 0)
	return list
}

// View is what one seat knows of the passing: its own rack, what it gave and what came to it.
type View struct {
	Seat  Seat
	Rules house.Passing
	Step  Step
	Phase Phase
	Rack  tile.Rack
	// Gave and Came are the tiles by step, Blind the number of tiles handed on unseen; at the
	// courtesy Blind is the number named.
	Gave, Came [Steps]Parcel
	Blind      [Steps]int
	// Exchange is, while Giving, the number of tiles due.
	Exchange int
}

// Second says whether the second Charleston has begun.
func (v *View) Second() bool { return v.Gave[SecondLeft].Len()+v.Blind[SecondLeft] > 0 }

// Legal lists every distinct action of the seat, as [State.Legal] does, where the passing waits for it.
func (v *View) Legal() []Action {
	return legal(v.Seat, v.Phase, v.Step, v.Rules, &v.Rack, v.Exchange)
}

// View is what the seat may know now.
func (s *State) View(seat Seat) View {
	v := View{Seat: seat, Rules: s.rules, Step: s.step, Phase: s.phase, Rack: s.racks[seat]}
	for step := range s.gave {
		v.Gave[step], v.Came[step], v.Blind[step] = s.gave[step][seat], s.came[step][seat], int(s.blind[step][seat])
	}
	if s.phase == Giving {
		v.Exchange = s.exchanged(seat)
	}
	return v
}
