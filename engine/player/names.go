package player

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
)

// Names lists the players that can be called by name, the weakest first.
func Names() []string { return []string{"random", "nearest", "flexible", "thumb", "strong"} }

// Cast makes players by name for one card. Players of one name and aim share what they only read, so
// that a table of four is little more than one. Its methods must not be called side by side; the
// functions it returns may.
type Cast struct {
	card   *card.Card
	tuning Tuning
	index  func(hands []int) *fit.Index
	odds   *Odds
	kits   map[string]*StrongKit
	books  map[string]*book
}

// aimsKept is how many aims a cast remembers before it begins anew.
const aimsKept = 64

// NewCast is for a card, with the tuning that its strong players go by. index gives the card's indexes: that of some hands in
// rising order, of all hands for none.
func NewCast(c *card.Card, t Tuning, index func(hands []int) *fit.Index) *Cast {
	return &Cast{card: c, tuning: t, index: index, kits: map[string]*StrongKit{}, books: map[string]*book{}}
}

// Named is what makes players of a name for the whole card. An unknown name is an error that lists the names.
func (c *Cast) Named(name string) (func() Selective, error) { return c.named(name, nil) }

// Kit is what strong players of the whole card share.
func (c *Cast) Kit() *StrongKit { return c.kit(nil) }

// Player reads a player's description and returns what makes such players: a name, then rules that it
// is held to, each after a plus sign, as in "strong+keep-flowers+aim=Evens" or "strong+passes=nearest".
// The rules are those of [Rules.Set], which may hold at some steps or for some racks alone ("no-pairs at first-right when pairs 1"), an aim (a section or a hand of the card, several with "/" between
// them; or "aim nearest at first-left", the hand that is nearest then), and another player who does the passing.
func (c *Cast) Player(description string) (func() Player, error) {
	d, err := c.describe(description)
	if err != nil {
		return nil, err
	}
	newPlayer, err := c.build(d)
	if err != nil {
		return nil, fmt.Errorf("player %q: %w", description, err)
	}
	return func() Player { return newPlayer() }, nil
}

// Check says why a player's description cannot be, or nil, without making what such a player needs.
func (c *Cast) Check(description string) error {
	d, err := c.describe(description)
	if err != nil {
		return err
	}
	for _, name := range []string{d.name, d.passes} {
		if name != "" && !slices.Contains(Names(), name) || name == "" && d.name == "" {
			return fmt.Errorf("player %q: %w", description, unknown(name))
		}
	}
	return nil
}

// ErrUnknown is in the error for a name that no player has; the name follows.
var ErrUnknown = errors.New("no player is called")

func unknown(name string) error {
	return fmt.Errorf("%w %q; %s are", ErrUnknown, name, strings.Join(Names(), ", "))
}

// Aim is the names of the sections and hands that a player's description aims at; none for the whole card.
func (c *Cast) Aim(description string) ([]string, error) {
	d, err := c.describe(description)
	if err != nil {
		return nil, err
	}
	return d.named, nil
}

// Play is the part of a player's description that decides in play: players of equal Play decide alike from equal views once
// the passing is over, whatever they passed. It is "" for one that draws lots or commits itself in the passing, of which that cannot
// be said.
func (c *Cast) Play(description string) (string, error) {
	d, err := c.describe(description)
	if err != nil || d.name == "random" || d.commits { // whose hand is seen in the passing
		return "", err
	}
	return fmt.Sprintf("%s %s %v", d.name, aimKey(d.aim), d.rules.JokerBait), nil
}

func (c *Cast) describe(description string) (*described, error) {
	words := strings.Split(description, "+")
	d := &described{name: strings.TrimSpace(words[0])}
	for _, word := range words[1:] {
		if err := d.read(c.card, strings.TrimSpace(word)); err != nil {
			return nil, fmt.Errorf("player %q: %w", description, err)
		}
	}
	if err := checkTogether(d.each); err != nil {
		return nil, fmt.Errorf("player %q: %w", description, err)
	}
	return d, nil
}

// described is a player's description, read.
type described struct {
	name, passes string
	// said are the rules read so far; blind and blind-when are one.
	said  map[string]bool
	aim   []int
	named []string // the names of the aim
	// rules are those that hold always, timed those that hold for some decisions alone; each has all of them one by one.
	// commits says that from the step on only the hand counts that is nearest then.
	commits bool
	from    charleston.Step
	rules   Rules
	timed   []timed
	each    []timed
}

func (d *described) read(c *card.Card, word string) error {
	if from, ok, err := readCommitment(word); ok {
		if d.commits || len(d.aim) > 0 {
			return fmt.Errorf("the rule aim twice")
		}
		d.commits, d.from = true, from
		return err
	}
	key, value, _ := strings.Cut(word, "=")
	if key != "aim" && key != "passes" {
		t, ok, err := readTimed(word)
		if err != nil {
			return err
		}
		if ok {
			d.timed, d.each = append(d.timed, t), append(d.each, t)
			return nil
		}
	}
	if said := strings.TrimSuffix(key, "-when"); d.said[said] {
		return fmt.Errorf("the rule %s twice", said)
	} else if d.said == nil {
		d.said = map[string]bool{said: true}
	} else {
		d.said[said] = true
	}
	switch key {
	case "aim":
		if d.commits {
			return fmt.Errorf("the rule aim twice")
		}
		for name := range strings.SplitSeq(value, "/") {
			hands, err := c.Find(name)
			if err != nil {
				return err
			}
			d.aim = append(d.aim, hands...)
			d.named = append(d.named, name)
		}
		return nil
	case "passes":
		if value == "" {
			return fmt.Errorf("the rule passes without a player; right would be one, as in passes=nearest")
		}
		d.passes = value
		return nil
	}
	always := timed{word: word, steps: allSteps, high: mostOfAny}
	if err := always.rules.Set(word); err != nil {
		return err
	}
	d.each = append(d.each, always)
	return d.rules.Set(word)
}

func (c *Cast) build(d *described) (func() Selective, error) {
	if d.commits {
		free := *d
		free.commits, free.each, free.timed, free.rules = false, nil, nil, Rules{}
		play, err := c.commit(&free, d.from)
		if err != nil {
			return nil, err
		}
		return c.held(play, d), nil
	}
	play, err := c.named(d.name, d.aim)
	if err != nil {
		return nil, err
	}
	if d.passes != "" {
		pass, err := c.named(d.passes, d.aim)
		if err != nil {
			return nil, err
		}
		inner := play
		play = func() Selective { return &Split{Passes: pass(), Plays: inner()} }
	}
	return c.held(play, d), nil
}

// held holds players to the rules of a description.
func (c *Cast) held(play func() Selective, d *described) func() Selective {
	if len(d.each) == 0 {
		return play
	}
	b := c.book(d.aim)
	return func() Selective { return under(play(), d.rules, d.timed, b) }
}

// named makes players without further rules.
func (c *Cast) named(name string, aim []int) (func() Selective, error) {
	switch name {
	case "random":
		return func() Selective { return &Random{} }, nil
	case "nearest", "flexible":
		b := c.book(aim)
		return func() Selective { return newNearest(b, name == "flexible") }, nil
	case "thumb":
		b := c.book(aim)
		return func() Selective { return newThumb(b) }, nil
	case "strong":
		kit := c.kit(aim)
		return func() Selective { return kit.New() }, nil
	}
	return nil, unknown(name)
}

// kit is made once for each aim; the tables of chances, most of its memory, are the same for all.
func (c *Cast) kit(aim []int) *StrongKit {
	key := aimKey(aim)
	kit, made := c.kits[key]
	if !made {
		if c.odds == nil {
			c.odds = NewOdds(c.tuning.Params)
		}
		kit = newKit(c.book(aim), c.odds)
		c.kits[key] = kit
	}
	return kit
}

func (c *Cast) book(aim []int) *book {
	key := aimKey(aim)
	b, made := c.books[key]
	if !made {
		if len(c.books) == aimsKept {
			clear(c.books)
			clear(c.kits)
		}
		b = newBook(c.card, c.index(sorted(aim)))
		c.books[key] = b
	}
	return b
}

// aimKey is the same for equal sets of hands.
func aimKey(aim []int) string { return fmt.Sprint(sorted(aim)) }

func sorted(aim []int) []int {
	aim = slices.Clone(aim)
	slices.Sort(aim)
	return slices.Compact(aim)
}
