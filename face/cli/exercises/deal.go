package exercises

import (
	"fmt"
	"strconv"
	"strings"

	"secondpass/deal"
	"secondpass/desk"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
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

// Dealt is a rack and how it came about.
type Dealt struct{ *desk.Dealt }

// Deal is the rack that the flags ask for.
func (f *DealFlags) Deal(g *command.Globals) (Dealt, error) {
	d := desk.Deal{Seed: g.Seed}
	var set tile.Set
	var err error
	if d.House, set, err = f.House(); err != nil {
		return Dealt{}, err
	}
	if d.Card, err = g.LoadHands(set); err != nil {
		return Dealt{}, err
	}
	if d.Seat, err = f.seat(g); err != nil {
		return Dealt{}, err
	}
	if d.Condition, err = f.condition(set); err != nil {
		return Dealt{}, err
	}
	if f.Rack != "" {
		if err := f.typed(g, &d, set); err != nil {
			return Dealt{}, err
		}
	}
	drawn, err := d.Draw()
	return Dealt{drawn}, err
}

// seat is the seat asked for.
func (f *DealFlags) seat(g *command.Globals) (charleston.Seat, error) {
	switch {
	case f.Seat != "":
	case f.Dealer:
		return charleston.East, nil
	case f.Rack == "":
		return g.UsualSeat(charleston.South, 0), nil
	default: // the rack says more
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
func (f *DealFlags) typed(g *command.Globals, d *desk.Deal, set tile.Set) error {
	if c := d.Condition.String(); c != "" {
		return fmt.Errorf("a rack typed in and a deal to a condition (%s): only one of the two can be", c)
	}
	rack, err := command.ParseRack(f.Rack, set)
	if err != nil {
		return err
	}
	d.Typed = &rack
	switch n := rack.Size(); {
	case n == charleston.East.DealtTiles() && f.Seat == "":
		d.Seat = charleston.East
	case n == d.Seat.DealtTiles() && f.Seat == "" && !f.Dealer:
		d.Seat = g.UsualSeat(d.Seat, n)
	case n != d.Seat.DealtTiles() && d.Seat == charleston.East:
		return fmt.Errorf("rack %q has %d tiles; the dealer has 14", f.Rack, n)
	case n != d.Seat.DealtTiles():
		return fmt.Errorf("rack %q has %d tiles; %s is dealt %d", f.Rack, n, d.Seat.Name(), d.Seat.DealtTiles())
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

// Text says the deal in a line or two: the rack, the seed, also of a rack typed in where seeded says that more is drawn by
// it, and how rare such deals are.
func (d Dealt) Text(g *command.Globals, seeded bool) string {
	who := "not the dealer"
	switch d.Seat {
	case charleston.East:
		who = "the dealer"
	case charleston.West, charleston.North:
		who = d.Seat.Name()
	}
	text := fmt.Sprintf("Rack %s (%s, %s; card %s)", d.Rack, wording.Plural(d.Rack.Size(), "tile"), who, d.Card.Name)
	if d.Typed == nil || seeded {
		text += fmt.Sprintf(", seed %d", d.Seed)
	}
	if c := d.Condition.String(); c != "" {
		text += "\nDealt to: " + c
		if d.Rarity.Share < 1 {
			text += fmt.Sprintf(". Jokers and tiles held: exactly 1 deal in %s", oneIn(d.Rarity.Share))
		}
		if a := d.Rarity.Accepted; a.N > 0 {
			text += fmt.Sprintf(". Of those %s fit (95 %% interval from %d tried by the seed; the one kept was number %d)", wording.Share(a), a.N, d.Rarity.Tried)
		}
	}
	if rules := wording.HouseRules(d.House); rules != "" {
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

// Make makes the exercise of a deal.
func (f *IncomingFlags) Make(name string, d Dealt, in exercise.Incoming) (*exercise.Exercise, error) {
	if in != exercise.TablePasses && f.Players != "" {
		return nil, fmt.Errorf("--players %s: only with --incoming table others sit there", f.Players)
	}
	return d.Begin(name, in, f.Players)
}

// Deal is the command deal.
type Deal struct{ DealFlags }

func (c *Deal) Run(g *command.Globals) error {
	if err := g.Together("rack", "seed", "a rack typed in is not drawn"); err != nil {
		return err
	}
	g.FreshSeed()
	d, err := c.Deal(g)
	if err != nil {
		return err
	}
	if g.JSON {
		return g.Answer(d.json())
	}
	fmt.Fprintln(g.Stdout, d.Text(g, false))
	return nil
}

type dealJSON struct {
	Rack      string      `json:"rack"`
	Seat      string      `json:"seat"`
	Card      string      `json:"card"`
	House     house.House `json:"house"`
	Seed      uint64      `json:"seed"`
	Condition string      `json:"condition"`
	// Share is the exact chance of a random deal to have the jokers and tiles asked for.
	Share unit.Chance `json:"share"`
	// Accepted is the share of deals that fit, of those tried.
	Accepted *stat.Interval[unit.Chance] `json:"accepted,omitempty"`
	Tried    int                         `json:"tried,omitempty"`
}

func (d Dealt) json() dealJSON {
	j := dealJSON{Rack: d.Rack.String(), Seat: d.Seat.String(), Card: d.Card.Name, House: d.House, Seed: d.Seed, Condition: d.Condition.String(), Share: unit.Chance(d.Rarity.Share), Tried: d.Rarity.Tried}
	if d.Typed != nil {
		j.Share = 1
	}
	if d.Rarity.Accepted.N > 0 {
		j.Accepted = &d.Rarity.Accepted
	}
	return j
}
