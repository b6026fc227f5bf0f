package charleston

import (
	"fmt"

	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Source is where one seat's incoming tiles come from: the other three seats, whoever they
// are. Its methods are called in the order of the steps, once for each thing the seat does.
type Source interface {
	// Incoming answers a pass (or the tiles of the courtesy): the tiles that stay with the seat,
	// as many as it gave of its own. kept is its rack without them.
	Incoming(step Step, own Parcel, blind int, kept tile.Rack) (Parcel, error)
	// Stopped says whether another seat stops after the first left, given the seat's own vote.
	Stopped(stop bool) (bool, error)
	// Offered is the number the partner across names at the courtesy, given the seat's own.
	Offered(n int) (int, error)
}

// Solo is the passing seen from one seat. It changes only through its methods; after an error
// it is as before.
type Solo struct {
	view   View
	source Source
}

// NewSolo is the passing before the first step. The rack has as many tiles as the seat is dealt.
func NewSolo(seat Seat, rack tile.Rack, rules house.Passing, source Source) Solo {
	return Solo{view: View{Seat: seat, Rules: rules, Step: FirstRight, Phase: Passing, Rack: rack}, source: source}
}

// View is what the seat knows now.
func (s *Solo) View() View { return s.view }

// Step is the step that is due, Phase what it waits for, Rack what the seat holds.
func (s *Solo) Step() Step      { return s.view.Step }
func (s *Solo) Phase() Phase    { return s.view.Phase }
func (s *Solo) Rack() tile.Rack { return s.view.Rack }

// Exchange is the number of tiles due while Giving.
func (s *Solo) Exchange() int { return s.view.Exchange }

// Check says why own tiles with so many blind cannot be passed now, or handed over at the courtesy
// when that is due; nil when they can.
func (s *Solo) Check(own Parcel, blind int) error {
	if s.view.Phase == Giving {
		return checkGive(&s.view.Rack, own, s.view.Exchange, Courtesy, 0)
	}
	if err := s.expect(Passing); err != nil {
		return err
	}
	return checkPass(s.view.Rules, s.view.Step, &s.view.Rack, own, blind)
}

// Pass gives own tiles, hands on blind of the incoming ones, and returns what came.
func (s *Solo) Pass(own Parcel, blind int) (Parcel, error) {
	if err := s.expect(Passing); err != nil {
		return Parcel{}, err
	}
	if err := s.Check(own, blind); err != nil {
		return Parcel{}, err
	}
	return s.trade(own, blind)
}

// Vote says whether to stop after the first left. It returns whether the second Charleston falls
// away, since any seat may stop it.
func (s *Solo) Vote(stop bool) (stopped bool, err error) {
	if err := s.expect(Voting); err != nil {
		return false, err
	}
	others, err := s.source.Stopped(stop)
	if err != nil {
		return false, err
	}
	stopped = stop || others
	s.view.Step, s.view.Phase = after(s.view.Rules, s.view.Step, s.view.Phase, stopped)
	return stopped, nil
}

// Name offers n tiles at the courtesy and returns how many are exchanged; with none the
// passing is over.
func (s *Solo) Name(n int) (exchanged int, err error) {
	if err := s.expect(Naming); err != nil {
		return 0, err
	}
	if err := checkName(n); err != nil {
		return 0, err
	}
	other, err := s.source.Offered(n)
	if err != nil {
		return 0, err
	}
	if err := checkName(other); err != nil {
		return 0, fmt.Errorf("the seat across: %w", err)
	}
	s.view.Exchange = min(n, other)
	s.view.Blind[Courtesy] = n
	s.view.Phase = Giving
	if s.view.Exchange == 0 {
		s.view.Phase = Over
	}
	return s.view.Exchange, nil
}

// Give hands over the tiles of the courtesy and returns what came.
func (s *Solo) Give(own Parcel) (Parcel, error) {
	if err := s.expect(Giving); err != nil {
		return Parcel{}, err
	}
	if err := s.Check(own, 0); err != nil {
		return Parcel{}, err
	}
	return s.trade(own, 0)
}

func (s *Solo) trade(own Parcel, blind int) (Parcel, error) {
	kept := s.view.Rack.Minus(own.Rack())
	came, err := s.source.Incoming(s.view.Step, own, blind, kept)
	if err != nil {
		return Parcel{}, err
	}
	if came.Len() != own.Len() {
		return Parcel{}, fmt.Errorf("%s came, but %s went", count(came.Len()), count(own.Len()))
	}
	if came.Rack()[tile.Joker] > 0 {
		return Parcel{}, fmt.Errorf("a joker cannot come: jokers are never passed")
	}
	step := s.view.Step
	s.view.Exchange = 0
	s.view.Rack = kept.Plus(came.Rack())
	s.view.Gave[step], s.view.Came[step] = own, came
	if s.view.Phase == Passing {
		s.view.Blind[step] = blind
	}
	s.view.Step, s.view.Phase = after(s.view.Rules, s.view.Step, s.view.Phase, false)
	return came, nil
}

func (s *Solo) expect(p Phase) error {
	if s.view.Phase == p {
		return nil
	}
	if s.view.Phase == Over {
		return fmt.Errorf("the Charleston is over")
	}
	return fmt.Errorf("at the %s %s is due", s.view.Step, due[s.view.Phase].what)
}
