package exercise

import (
	"fmt"
	"slices"
	"strings"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// Incoming says where incoming tiles come from.
type Incoming string

const (
	// MockPasses are drawn in advance without jokers, the same for every route.
	MockPasses Incoming = "mock"
	// EnteredPasses are typed in from real tiles.
	EnteredPasses Incoming = "entered"
	// TablePasses are those of three simulated players, who pass from their own racks: what comes
	// depends on what was passed.
	TablePasses Incoming = "table"
)

// Exercise is one deal and its routes. Fields are for reading; change it by its methods.
type Exercise struct {
	Name string
	Card *card.Card
	// House, Set and Seat are the conditions of the deal.
	House house.House
	Set   tile.Set
	Seat  charleston.Seat
	// Seed drew the deal and the mock passes; Condition says to what the deal was drawn, in words.
	Seed      uint64
	Condition string
	Deal      tile.Rack
	Incoming  Incoming
	Mock      charleston.Mock
	// Players describes the others of a table exercise, see player.Cast; Hidden is what they and the wall hold.
	Players string
	Hidden  Hidden
	Routes  []*Route
	// Removed are routes that were removed and can be brought back, the last one last.
	Removed []*Route
	// Letters is how many letters its routes have been given; those of removed routes are not given again.
	Letters int

	kit *kit
}

// Route is one sequence of decisions from the deal.
type Route struct {
	// ID is the letter that the route was given when it was made: A to Z, then A2, B2 and so on. It stays when the route is
	// renamed or others are removed, and nothing else of the exercise ever has it.
	ID   string
	Name string
	// From and At say where it was forked: after At decisions of the route with the ID From; "" if it was not.
	From string
	At   int
	// Notes are the plans, remarks and advice of its moments, by the number of the player's decisions before, from the deal
	// on. A moment beyond them has the plan of the last one and nothing else.
	Notes []Note
	// Changes are the plans and remarks that gave way to others, as they stood before, in the order of time.
	Changes []Change
	// Ahead is what was taken back, and decisions that do not fit any more, the next first.
	Ahead []Taken
	// Decisions are those of the passing.
	Decisions []Decision
	// Play is what all seats did after it, in the order of time. Left out is what goes without
	// saying: that others declined a discard, and that the player did where nothing else was legal.
	Play []table.Action
	// Unseen is what the others held when the play began, and the wall, where nobody sat there during the passing: laid out
	// in agreement with what the player knows. nil in a table exercise, and where the play has not begun.
	Unseen *Hidden
	// Seat is that of the exercise: its actions in Play are the player's decisions.
	Seat charleston.Seat
}

// FirstRoute is the name of the route that every exercise starts with.
const FirstRoute = "A"

// New makes an exercise with one empty route. The rack must have as many tiles as the seat is
// dealt. Mock passes are drawn by the seed, and so are the hidden tiles of a table exercise, which is
// played against DefaultPlayers.
func New(name string, c *card.Card, rules house.House, seat charleston.Seat, deal tile.Rack, in Incoming, seed uint64) (*Exercise, error) {
	if in == TablePasses {
		return NewTable(name, c, rules, seat, deal, DefaultPlayers, seed)
	}
	e, err := blank(name, c, rules, seat, deal, in, seed)
	if err == nil && in == MockPasses {
		e.Mock, err = drawMock(deal, e.Set, seed)
	}
	return e, err
}

// NewTable makes a table exercise with one empty route against three players of a description, see player.Cast.
func NewTable(name string, c *card.Card, rules house.House, seat charleston.Seat, deal tile.Rack, players string, seed uint64) (*Exercise, error) {
	e, err := blank(name, c, rules, seat, deal, TablePasses, seed)
	if err != nil {
		return nil, err
	}
	if err = e.seatPlayers(players); err == nil {
		e.Hidden, err = e.drawHidden()
	}
	return e, err
}

// blank makes an exercise with one empty route and checks all but what is drawn in advance.
func blank(name string, c *card.Card, rules house.House, seat charleston.Seat, deal tile.Rack, in Incoming, seed uint64) (*Exercise, error) {
	set, err := rules.Set()
	if err != nil {
		return nil, err
	}
	if len(c.Hands) == 0 {
		return nil, fmt.Errorf("card %q has no hands to play for", c.Name)
	}
	if err := set.Holds(deal); err != nil {
		return nil, err
	}
	if n := deal.Size(); n != seat.DealtTiles() {
		return nil, fmt.Errorf("%d tiles: %s is dealt %d", n, seat.Name(), seat.DealtTiles())
	}
	if in != MockPasses && in != EnteredPasses && in != TablePasses {
		return nil, fmt.Errorf("incoming tiles %q: mock, entered or table are right", in)
	}
	e := &Exercise{Name: name, Card: c, House: rules, Set: set, Seat: seat, Seed: seed, Deal: deal, Incoming: in, kit: newKit(c, rules, DefaultPlayers)}
	e.firstRoute()
	return e, nil
}

// seatPlayers sets who the others of a table exercise are.
func (e *Exercise) seatPlayers(players string) error {
	e.Players, e.kit = players, newKit(e.Card, e.House, players)
	return checkPlayers(players, e.Card)
}

// Route finds a route by its name, upper or lower case, or where none has the name by its letter.
func (e *Exercise) Route(name string) (*Route, error) {
	for _, r := range e.Routes {
		if strings.EqualFold(r.Name, name) {
			return r, nil
		}
	}
	names := make([]string, len(e.Routes))
	for i, r := range e.Routes {
		if strings.EqualFold(r.ID, name) {
			return r, nil
		}
		names[i] = r.Name
	}
	return nil, fmt.Errorf("no route %q; the routes are %s", name, strings.Join(names, ", "))
}

// Origin is the route that another was forked from, or nil.
func (e *Exercise) Origin(fork *Route) *Route {
	i := slices.IndexFunc(e.Routes, func(r *Route) bool { return fork.From != "" && r.ID == fork.From })
	if i < 0 {
		return nil
	}
	return e.Routes[i]
}

// maxName bounds names of exercises and routes, in characters.
const maxName = 80

// CheckName says why a name cannot stand, or nil.
func CheckName(name string) error {
	switch {
	case strings.TrimSpace(name) == "":
		return fmt.Errorf("an empty name")
	case strings.Trim(name, "0123456789") == "":
		return fmt.Errorf("the name %q is a number, which stands for a saved exercise or a decision", name)
	case len([]rune(name)) > maxName:
		return fmt.Errorf("a name of %d characters; %d are the most", len([]rune(name)), maxName)
	case strings.ContainsFunc(name, func(c rune) bool { return c < ' ' || c == 0x7f }):
		return fmt.Errorf("a name with a control character in it")
	case name == "." || name == "..":
		return fmt.Errorf("the name %q stands for a place in an address, so that nothing of that name could be opened", name)
	}
	return nil
}

// freeName checks the name of a new route; an empty one takes the next letter, with a number behind it where that is the
// name of another route.
func (e *Exercise) freeName(name string) (string, error) {
	taken := func(name string) bool {
		return slices.ContainsFunc(e.Routes, func(r *Route) bool { return strings.EqualFold(r.Name, name) })
	}
	if name == "" {
		letter := routeLetter(e.Letters)
		name = letter
		for n := 2; taken(name); n++ {
			name = fmt.Sprintf("%s %d", letter, n)
		}
		return name, nil
	}
	if err := CheckName(name); err != nil {
		return "", err
	}
	if taken(name) {
		return "", fmt.Errorf("the name %q, which another route has", name)
	}
	return name, nil
}

// RenameRoute gives a route another name.
func (e *Exercise) RenameRoute(from, to string) error {
	r, err := e.Route(from)
	if err != nil {
		return err
	}
	if !strings.EqualFold(r.Name, to) {
		if to, err = e.freeName(to); err != nil {
			return err
		}
	}
	r.Name = to
	return nil
}

// Hands is the hands of a card that an aim names, in card order and each once; every hand for
// an empty aim.
func Hands(c *card.Card, aim []string) ([]int, error) {
	var hands []int
	for _, name := range aim {
		found, err := c.Find(name)
		if err != nil {
			return nil, err
		}
		hands = append(hands, found...)
	}
	if len(aim) == 0 {
		for i := range c.Hands {
			hands = append(hands, i)
		}
	}
	slices.Sort(hands)
	return slices.Compact(hands), nil
}
