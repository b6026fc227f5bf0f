package experiment

import (
	"fmt"
	"strings"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Outcome is what is measured of one game.
type Outcome uint8

// The outcomes. The first are known once the tiles are dealt, the next at the end of the passing, the last once the game is
// over.
const (
	// Dealt, Passed, Came and Held count tiles of the studied seat: in its deal, given away in the passing, received in
	// it, and held at its end.
	Dealt Outcome = 1 + iota
	Passed
	Came
	Held
	// SparesBest and SparesPlan count spare tiles, for the nearest hand and for the plan; CleanBest and CleanPlan say
	// whether the Charleston is clean.
	SparesBest
	SparesPlan
	CleanBest
	CleanPlan
	Away
	// AwayDealt is the tiles away of the nearest hand in the deal, before any pass.
	AwayDealt
	Options
	// MissingSingles and Gaps are those of the nearest hand.
	MissingSingles
	Gaps
	// Multiples is the number of kinds of which two or more are held, jokers aside.
	Multiples
	// UsedByReceiver counts the tiles passed at the first right that the nearest hand of the receiver uses once they have
	// come.
	UsedByReceiver
	// Win says whether the seat (or another, see Measure.Who) wins, WinWith whether it wins with a hand of a section.
	Win
	WinWith
	Points
	// Turns is the number of discards of all four until the seat wins; games that it does not win have none.
	Turns
	// JokersExchanged counts the jokers that the seat takes out of open groups.
	JokersExchanged
)

// row says how an outcome is written and what it may be.
type row struct {
	of    Outcome
	words string
	// tiles and name say that tiles, or the name of a section or hand, follow.
	tiles, name bool
	// play says that the game has to be played to its end.
	play bool
	// share says that it is 0 or 1, so that its mean is a share.
	share bool
	// unit is what its numbers count.
	unit string
}

var rows = []row{
	{of: Dealt, words: "dealt", tiles: true, unit: "tiles"},
	{of: Passed, words: "passed", tiles: true, unit: "tiles"},
	{of: Came, words: "came", tiles: true, unit: "tiles"},
	{of: Held, words: "held", tiles: true, unit: "tiles"},
	{of: SparesBest, words: "spares best", unit: "tiles"},
	{of: SparesPlan, words: "spares plan", unit: "tiles"},
	{of: CleanBest, words: "clean best", share: true, unit: "clean"},
	{of: CleanPlan, words: "clean plan", share: true, unit: "clean"},
	{of: Away, words: "away", unit: "tiles"},
	{of: AwayDealt, words: "away dealt", unit: "tiles"},
	{of: Options, words: "options", unit: "hands"},
	{of: MissingSingles, words: "missing singles", unit: "tiles"},
	{of: Gaps, words: "gaps", unit: "gaps"},
	{of: Multiples, words: "multiples", unit: "multiples"},
	{of: UsedByReceiver, words: "used by receiver", unit: "tiles"},
	{of: Win, words: "win", play: true, share: true, unit: "games"},
	{of: WinWith, words: "win with", name: true, play: true, share: true, unit: "games"},
	{of: Points, words: "points", play: true, unit: "net points"},
	{of: Turns, words: "turns", play: true, unit: "discards"},
	{of: JokersExchanged, words: "jokers exchanged", play: true, unit: "jokers"},
}

func (o Outcome) row() *row {
	for i := range rows {
		if rows[i].of == o {
			return &rows[i]
		}
	}
	return nil
}

// Who is whose win is measured; the zero Who is the studied seat.
type Who uint8

const (
	RightOf Who = 1 + iota
	AcrossFrom
	LeftOf
	// AnyOther is all three others together.
	AnyOther
)

var whoWords = []string{"", "right", "across", "left", "others"}

// Measure is an outcome and what it is of.
type Measure struct {
	Of Outcome
	// Tiles are, for Dealt, Passed, Came and Held, the kinds that count, as rack text; or "pairs". Pairs passed or come
	// are those within one pass.
	Tiles string
	// Name is, for WinWith, a section or hand of the card.
	Name string
	// Who is for Win.
	Who Who
}

// Pairs stands for two equal natural tiles in Measure.Tiles.
const Pairs = "pairs"

// MeasureWords is the measures as they are written.
func MeasureWords() string {
	var words []string
	for _, r := range rows {
		switch {
		case r.tiles:
			words = append(words, r.words+" TILES|pairs")
		case r.name:
			words = append(words, r.words+" SECTION")
		case r.of == Win:
			words = append(words, r.words, "win of right|across|left|others")
		default:
			words = append(words, r.words)
		}
	}
	return strings.Join(words, ", ")
}

// Choice is a kind of measure, for those who put an experiment together by choosing.
type Choice struct {
	Of Outcome
	// Words is how the measure begins in an experiment file, Unit what it counts.
	Words, Unit string
	// Tiles, Name and Who say which of the fields of a Measure it takes; Share and Play that it is a share, and that the games
	// are played to their end.
	Tiles, Name, Who, Share, Play bool
}

// Choices lists the kinds of measures.
func Choices() []Choice {
	var all []Choice
	for _, r := range rows {
		all = append(all, Choice{r.of, r.words, r.unit, r.tiles, r.name, r.of == Win, r.share, r.play})
	}
	return all
}

// ParseMeasure reads a measure as [Measure.String] writes it. Whether the card has the section is for [Experiment.Check].
func ParseMeasure(text string) (Measure, error) {
	text = strings.Join(strings.Fields(text), " ")
	if who, ok := strings.CutPrefix(text, "win of "); ok {
		for i, w := range whoWords {
			if i > 0 && w == who {
				return Measure{Of: Win, Who: Who(i)}, nil
			}
		}
		return Measure{}, fmt.Errorf("win of right, across, left or others")
	}
	for _, r := range rows {
		rest, found := strings.CutPrefix(text+" ", r.words+" ")
		rest = strings.TrimSpace(rest)
		switch {
		case !found:
		case r.tiles && rest != "":
			return Measure{Of: r.of, Tiles: rest}, nil
		case r.name && rest != "":
			return Measure{Of: r.of, Name: strings.Trim(rest, `"`)}, nil
		case !r.tiles && !r.name && rest == "":
			return Measure{Of: r.of}, nil
		}
	}
	return Measure{}, fmt.Errorf("one of %s", MeasureWords())
}

// String is the measure as it is written.
func (m Measure) String() string {
	r := m.Of.row()
	if r == nil {
		return ""
	}
	text := r.words
	switch {
	case r.tiles:
		text += " " + m.Tiles
	case r.name:
		text += " " + m.Name
	case m.Who > 0 && int(m.Who) < len(whoWords):
		text += " of " + whoWords[m.Who]
	}
	return text
}

// Amount is a number in the unit of an experiment's measure (see [Measure.Unit]): a share from 0 to 1, or a difference of
// shares, where [Measure.Share] says so. Who shows it says which.
type Amount float64

// Share says whether the measure is 0 or 1, so that its mean is a share.
func (m Measure) Share() bool {
	r := m.Of.row()
	return r != nil && r.share
}

// Unit is what the measure counts, in the plural.
func (m Measure) Unit() string {
	if m.Tiles == Pairs {
		return Pairs
	}
	if r := m.Of.row(); r != nil {
		return r.unit
	}
	return ""
}

// check says what would be right where the measure is not.
func (m Measure) check(c *card.Card) error {
	r := m.Of.row()
	if r == nil {
		return fmt.Errorf("one of %s", MeasureWords())
	}
	if r.tiles && m.Tiles != Pairs {
		kinds, err := tile.ParseList(m.Tiles)
		if err != nil {
			return fmt.Errorf("tiles, as in F or RG0, or pairs (%w)", err)
		}
		if len(kinds) == 0 {
			return fmt.Errorf("tiles, as in F or RG0, or pairs")
		}
	}
	if strings.ContainsAny(m.Name+m.Tiles, unwritable) {
		return fmt.Errorf("names and tiles without quotes, semicolons and #")
	}
	if r.name {
		if _, err := c.Find(m.Name); err != nil {
			return err
		}
	}
	if int(m.Who) >= len(whoWords) || m.Who > 0 && m.Of != Win {
		return fmt.Errorf("win of right, across, left or others")
	}
	return nil
}

// gauge is a measure made ready for a card.
type gauge struct {
	Measure
	kinds uint64
	pairs bool
	hands map[int]bool
}

func newGauge(m Measure, c *card.Card) gauge {
	g := gauge{Measure: m, pairs: m.Tiles == Pairs}
	if m.Tiles != "" && !g.pairs {
		kinds, _ := tile.ParseList(m.Tiles) // Check has read it
		for _, k := range kinds {
			g.kinds |= 1 << k
		}
	}
	if m.Of == WinWith {
		g.hands = map[int]bool{}
		hands, _ := c.Find(m.Name) // Check has found it
		for _, h := range hands {
			g.hands[h] = true
		}
	}
	return g
}

// span is the greatest value that the measure can have less the smallest.
func (g *gauge) span(c *card.Card) float64 {
	switch g.Of {
	case Options:
		return float64(len(c.Hands))
	case Points:
		most := 0
		for i := range c.Hands {
			most = max(most, c.Hands[i].Points)
		}
		return float64(16 * most) // 12 times the points won, 4 times lost, see table.Pay
	case Turns:
		return float64(c.Set.Size())
	case Passed, Came:
		return float64(charleston.PassTiles * (charleston.Steps - 1))
	case UsedByReceiver:
		return charleston.PassTiles
	}
	if g.Share() {
		return 1
	}
	return card.HandTiles
}

// mostMultiples is how many pairs, or kinds of which two or more are held, a rack can have.
const mostMultiples = card.HandTiles / 2

// most is the greatest value that the measure can have with a set of tiles.
func (g *gauge) most(c *card.Card, set tile.Set) int {
	switch {
	case g.pairs && (g.Of == Held || g.Of == Dealt), g.Of == Multiples:
		return mostMultiples
	case g.kinds != 0 && (g.Of == Held || g.Of == Dealt):
		n := 0
		for k := range tile.Kind(tile.Kinds) {
			if g.kinds>>k&1 == 1 {
				n += int(set[k])
			}
		}
		return min(n, card.HandTiles)
	}
	return int(g.span(c))
}

// canBe says what would be right where no deal lies in the band.
func (b *Band) canBe(c *card.Card, set tile.Set) error {
	g := newGauge(b.Measure, c)
	if most := g.most(c, set); b.Of != Points && !b.Share() && b.Low > most {
		return fmt.Errorf("%s from 0 to %d, which there can be", b.Measure, most)
	}
	return nil
}

// count is the number of tiles, or pairs, of a rack that the measure is of.
func (g *gauge) count(r tile.Rack) int {
	n := 0
	for k := range tile.Kind(tile.Kinds) {
		switch {
		case g.pairs && k < tile.Joker:
			n += int(r[k]) / 2
		case g.kinds>>k&1 == 1:
			n += int(r[k])
		}
	}
	return n
}

// of is the value of a game; ok is false where it has none.
func (g *gauge) of(p *played) (value int, ok bool) {
	switch g.Of {
	case Dealt:
		return g.count(p.dealt), true
	case AwayDealt:
		a := p.accountant.Account(p.dealt)
		p.read = false // the accountant's plan is that of the deal now
		return a.Nearest.Away, true
	case Held:
		return g.count(p.rack), true
	case Passed, Came:
		return g.moved(p), true
	case UsedByReceiver:
		return p.used, p.passed
	case Win, WinWith:
		return toInt(g.won(p)), true
	case Points:
		return p.outcome.Net[p.seat], true
	case Turns:
		return p.turns, p.wins(p.seat)
	case JokersExchanged:
		return p.exchanged, true
	}
	return g.ofAccount(p.account()), true
}

func (g *gauge) ofAccount(a *exercise.Account) int {
	best := &a.Nearest
	switch g.Of {
	case SparesBest:
		return a.SpareBest.Size()
	case SparesPlan:
		return a.SparePlan.Size()
	case CleanBest:
		return toInt(a.CleanBest())
	case CleanPlan:
		return toInt(a.CleanPlan())
	case Away:
		return best.Away
	case Options:
		return a.Options
	case MissingSingles:
		return best.MissingSingles
	case Gaps:
		return len(best.Gaps())
	}
	return len(a.Rack.Multiples())
}

func (g *gauge) moved(p *played) int {
	n := 0
	for step := range charleston.Steps {
		parcel := p.view.Gave[step]
		if g.Of == Came {
			parcel = p.view.Came[step]
		}
		n += g.count(parcel.Rack())
	}
	return n
}

// own is whether the studied seat won, and its net points.
func (p *played) own() (won, points int) { return toInt(p.wins(p.seat)), p.outcome.Net[p.seat] }

func (g *gauge) won(p *played) bool {
	switch g.Who {
	case RightOf, AcrossFrom, LeftOf:
		return p.wins((p.seat + charleston.Seat(g.Who)) % charleston.Seats)
	case AnyOther:
		return p.outcome.Ending.Won() && p.outcome.Winner != p.seat
	}
	return p.wins(p.seat) && (g.hands == nil || g.hands[p.hand])
}

func toInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
