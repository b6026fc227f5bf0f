package exercises

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"secondpass/deal"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// DealFlags say how the rack of an exercise comes about.
type DealFlags struct {
	Rack     string `placeholder:"TILES" help:"The rack, typed in; without it one is dealt by --seed." group:"The deal"`
	Seat     string `placeholder:"E|S|W|N" help:"The seat at the table (South unless 14 tiles are typed in)." group:"The deal"`
	Dealer   bool   `help:"East, with 14 tiles: the same as --seat E." group:"The deal"`
	Jokers   string `placeholder:"N|A..B" help:"Deal with so many jokers." group:"The deal"`
	Has      string `placeholder:"TILES" help:"Deal with at least these tiles." group:"The deal"`
	BestAway string `placeholder:"N|A..B" help:"Deal whose nearest hand is so many tiles away." group:"The deal"`
	TwoPlans bool   `help:"Deal with two sections equally near and none nearer." group:"The deal"`
	command.HouseFlags
}

// dealt is a rack and how it came about.
type dealt struct {
	card      *card.Card
	house     house.House
	set       tile.Set
	seat      charleston.Seat
	Rack      tile.Rack
	condition deal.Condition
	Typed     bool
	report    deal.Rarity
}

// Deal is the rack that the flags ask for.
func (f *DealFlags) Deal(g *command.Globals) (*dealt, error) {
	var d dealt
	var err error
	if d.house, d.set, err = f.House(); err != nil {
		return nil, err
	}
	if d.card, err = g.LoadHands(d.set); err != nil {
		return nil, err
	}
	if d.seat, err = f.seat(); err != nil {
		return nil, err
	}
	if d.condition, err = f.condition(d.set); err != nil {
		return nil, err
	}
	if f.Rack != "" {
		return &d, f.typed(&d)
	}
	d.Rack, d.report, err = deal.Draw(d.condition, d.seat.DealtTiles(), d.set, prepared.Of(d.card).Index(), g.Seed)
	return &d, err
}

// seat is the seat asked for.
func (f *DealFlags) seat() (charleston.Seat, error) {
	if f.Seat == "" {
		if f.Dealer {
			return charleston.East, nil
		}
		return charleston.South, nil
	}
	seat, err := charleston.ParseSeat(f.Seat)
	if err != nil {
		return 0, fmt.Errorf("--seat: %w", err)
	}
	if f.Dealer && seat != charleston.East {
		return 0, fmt.Errorf("--dealer and --seat %s: the dealer is East; leave out one of the two", seat)
	}
	return seat, nil
}

// typed takes the rack as it is; 14 tiles make its holder the dealer.
func (f *DealFlags) typed(d *dealt) error {
	if c := d.condition.String(); c != "" {
		return fmt.Errorf("a rack typed in and a deal to a condition (%s): only one of the two can be", c)
	}
	var err error
	if d.Rack, err = command.ParseRack(f.Rack, d.set); err != nil {
		return err
	}
	d.Typed = true
	switch n := d.Rack.Size(); {
	case n == charleston.East.DealtTiles() && f.Seat == "":
		d.seat = charleston.East
	case n != d.seat.DealtTiles() && d.seat == charleston.East:
		return fmt.Errorf("rack %q has %d tiles; the dealer has 14", f.Rack, n)
	case n != d.seat.DealtTiles():
		return fmt.Errorf("rack %q has %d tiles; %s is dealt %d", f.Rack, n, d.seat.Name(), d.seat.DealtTiles())
	}
	return nil
}

func (f *DealFlags) condition(set tile.Set) (deal.Condition, error) {
	c := deal.Condition{TwoPlans: f.TwoPlans}
	var err error
	if c.Jokers, err = deal.ParseRange(f.Jokers); err != nil {
		return c, fmt.Errorf("--jokers %w", err)
	}
	if c.BestAway, err = deal.ParseRange(f.BestAway); err != nil {
		return c, fmt.Errorf("--best-away %w", err)
	}
	if c.Has, err = tile.Parse(f.Has, set); err != nil {
		return c, fmt.Errorf("--has %q: %w", f.Has, err)
	}
	return c, nil
}

// Text says the deal in a line or two: the rack, and how rare such deals are.
func (d *dealt) Text(g *command.Globals) string {
	who := "not the dealer"
	switch d.seat {
	case charleston.East:
		who = "the dealer"
	case charleston.West, charleston.North:
		who = d.seat.Name()
	}
	text := fmt.Sprintf("Rack %s (%s, %s; card %s)", d.Rack, wording.Plural(d.Rack.Size(), "tile"), who, d.card.Name)
	if !d.Typed {
		text += fmt.Sprintf(", seed %d", g.Seed)
	}
	if c := d.condition.String(); c != "" {
		text += "\nDealt to: " + c
		if d.report.Share < 1 {
			text += fmt.Sprintf(". Jokers and tiles held: exactly 1 deal in %s", oneIn(d.report.Share))
		}
		if a := d.report.Accepted; a.N > 0 {
			text += fmt.Sprintf(". Of those %s fit (95 %% interval from %d tried by the seed; the one kept was number %d)", wording.Share(a), a.N, d.report.Tried)
		}
	}
	if rules := wording.HouseRules(d.house); rules != "" {
		text += "\n" + rules
	}
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = command.Wrap(g.Stdout, lines[i], 2)
	}
	return strings.Join(lines, "\n")
}

// oneIn is the number of which a share is one, in as many digits as say something.
func oneIn(share float64) string {
	if n := 1 / share; n < 100 {
		return strconv.FormatFloat(n, 'f', 1, 64)
	}
	return strconv.FormatFloat(1/share, 'f', 0, 64)
}

// IncomingFlags say where incoming tiles come from in walk and compare.
type IncomingFlags struct {
	Players string `placeholder:"NAME" help:"With --incoming table: who the three others are, as in strong, nearest or strong+keep-flowers (default strong)."`
}

// errOwnPlayers refuses to change who sits at the table of a saved exercise.
var ErrOwnPlayers = errors.New("a saved exercise and --players: it has its own players; leave out one of the two")

// Make makes the exercise of a deal.
func (f *IncomingFlags) Make(g *command.Globals, name string, d *dealt, in exercise.Incoming) (*exercise.Exercise, error) {
	var e *exercise.Exercise
	var err error
	switch {
	case in == exercise.TablePasses && f.Players != "":
		e, err = exercise.NewTable(name, d.card, d.house, d.seat, d.Rack, f.Players, g.Seed)
	case f.Players != "":
		return nil, fmt.Errorf("--players %s: only with --incoming table others sit there", f.Players)
	default:
		e, err = exercise.New(name, d.card, d.house, d.seat, d.Rack, in, g.Seed)
	}
	if err == nil {
		e.Condition = d.condition.String()
	}
	return e, err
}

// Deal is the command deal.
type Deal struct{ DealFlags }

func (c *Deal) Run(g *command.Globals) error {
	d, err := c.Deal(g)
	if err != nil {
		return err
	}
	if g.JSON {
		return command.WriteJSON(g.Stdout, d.json(g))
	}
	fmt.Fprintln(g.Stdout, d.Text(g))
	return nil
}

type dealJSON struct {
	Rack      string      `json:"rack"`
	Seat      string      `json:"seat"`
	Card      string      `json:"card"`
	House     house.House `json:"house"`
	Seed      uint64      `json:"seed"`
	Condition string      `json:"condition"`
	Share     float64     `json:"share"`
	Accepted  any         `json:"accepted,omitempty"`
	Tried     int         `json:"tried,omitempty"`
}

func (d *dealt) json(g *command.Globals) dealJSON {
	j := dealJSON{Rack: d.Rack.String(), Seat: d.seat.String(), Card: d.card.Name, House: d.house, Seed: g.Seed, Condition: d.condition.String(), Share: d.report.Share, Tried: d.report.Tried}
	if d.Typed {
		j.Share = 1
	}
	if d.report.Accepted.N > 0 {
		j.Accepted = d.report.Accepted
	}
	return j
}
