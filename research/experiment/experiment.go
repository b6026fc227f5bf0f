package experiment

import (
	"fmt"
	"slices"
	"strings"

	"secondpass/deal"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
)

// Experiment is a question to be put to many deals. [New] has the usual values; [Experiment.Check] says what is wrong.
type Experiment struct {
	// Name is a short name, Asks the question in a sentence; Asks may be empty.
	Name, Asks string
	// Cell says which of a [Series] it is, "" for one that is of none; Together is how many there are, whose intervals hold together.
	Cell     string
	Together int
	// House is the house rules by which all ways are played. A switch that is off here is off whatever a way says.
	House house.House
	// Population is the deals that count, by the tiles dealt to the studied seat.
	Population Population
	// Seat is where the studied seat is: Everywhere, or "E", "S", "W" or "N".
	Seat string
	// Others describes the three others, as player.Cast reads it: one description for all, or three with semicolons between them,
	// for the seats to the right, across and to the left of the studied one.
	Others string
	// Measure is the outcome.
	Measure Measure
	// Split, when not nil, makes an experiment of one way: deals inside the band are compared with those outside it. Nothing is
	// paired then. Among, when not nil, leaves out the deals outside another band; only with Split.
	Split, Among *Band
	Claim        Claim
	// Also are further measures of the same games, each with a claim of its own.
	Also []Question
	// AllPairs compares every way with every way before it, and not with the first alone.
	AllPairs bool
	// Deals is the number of deals at most; with UntilVerdict the experiment ends as soon as every comparison has a verdict.
	Deals        int
	UntilVerdict bool
	Pairing      Pairing
	// Ways are the ways of deciding; the others are compared with the first.
	Ways []Way
}

// Question is a measure and the claim that is tested of it.
type Question struct {
	Measure
	Claim
}

// Everywhere moves the studied seat on with every deal: deal number n is played from seat n modulo 4, by all ways.
const Everywhere = "rotate"

// Band is a measure and the values of it that count. For a measure that is yes or no Range is 1..1.
type Band struct {
	Measure
	deal.Range
}

// String is the band as an experiment file has it.
func (b Band) String() string {
	if b.Share() && b.Range == (deal.Range{Low: 1, High: 1}) {
		return b.Measure.String()
	}
	return b.Measure.String() + " " + b.Range.String()
}

// Claim is what the experiment tests: a way has more, or less, of the measure than the first, by at least Effect, in the unit of
// the measure (0..1 for a share).
type Claim struct {
	Less   bool
	Effect Amount
}

// Pairing says what the ways share.
type Pairing uint8

const (
	// SameWall: the same racks, wall and lots for every way.
	SameWall Pairing = iota
	// SameDeal: the same racks; walls and lots of their own.
	SameDeal
	// NoPairing: deals of their own.
	NoPairing
)

var pairingWords = []string{"wall", "deal", "none"}

// Way is one way of deciding.
type Way struct {
	// Name is how the way is called, Player how it decides, as player.Cast reads it.
	Name, Player string
	// House is the house rules with which all four seats play it, beside those of the experiment; its tiles say nothing, since
	// the set is the same for all ways. See HouseOf.
	House house.House
	// Measure, when not nil, is measured of this way in place of the experiment's; it has the same unit.
	Measure *Measure
	Fill    Fill
}

// Fill is a gift after the passes: one spare tile is exchanged with the first tile of the wall that fills a place in the
// nearest hand. Deals where not both kinds of gift can be made are left out, so that two ways with one passer and different
// gifts differ in nothing but what is still missing.
type Fill uint8

const (
	// FillGap gives a single that the hand needs and of which none is held.
	FillGap Fill = 1 + iota
	// FillShort gives a tile of a group of three or more of which two at least are held and which is not filled by jokers.
	FillShort
)

var fillWords = []string{"", "gap", "short"}

// The usual values, and bounds that keep files and sums sane.
const (
	usualDeals  = 100_000
	maxDeals    = 100_000_000
	maxWays     = 12
	maxAlso     = 7
	maxName     = 60
	maxAsks     = 300
	maxDescribe = 200
	maxCell     = 200
	maxCells    = 64
)

// New is an experiment with the usual values: all deals, the seat going round, three strong others, 100,000 deals, no ways yet.
func New() *Experiment {
	return &Experiment{House: house.Usual, Seat: Everywhere, Others: "strong", Deals: usualDeals}
}

// HouseOf is the house rules by which a way is played.
func (s *Experiment) HouseOf(way int) house.House { return s.House.Without(s.Ways[way].House) }

// measure is what is measured of a way.
func (s *Experiment) measure(way int) Measure {
	if m := s.Ways[way].Measure; m != nil {
		return *m
	}
	return s.Measure
}

// only is the experiment of one of its measures alone: number 0 is Measure, the others are those of Also. What a way has in place of
// the measure is in place of the first.
func (s *Experiment) only(measure int) *Experiment {
	one := *s
	one.Also = nil
	if measure > 0 {
		one.Measure, one.Claim = s.Also[measure-1].Measure, s.Also[measure-1].Claim
		one.Ways = slices.Clone(s.Ways)
		for i := range one.Ways {
			one.Ways[i].Measure = nil
		}
	}
	return &one
}

// plays says whether games are played to their end.
func (s *Experiment) plays() bool {
	played := func(m Measure) bool { r := m.Of.row(); return r != nil && r.play }
	for k := range s.measures() {
		if played(s.only(k).Measure) {
			return true
		}
	}
	for _, b := range []*Band{s.Split, s.Among} {
		if b != nil && played(b.Measure) {
			return true
		}
	}
	return false
}

// measures is how many there are.
func (s *Experiment) measures() int { return 1 + len(s.Also) }

// contrast is two ways that are compared, by their numbers: what Way has more than Against.
type contrast struct{ way, against int }

// contrasts are those of every measure, the ones with the first way first; none in a split.
func (s *Experiment) contrasts() []contrast {
	var all []contrast
	for against := range s.Ways {
		for way := against + 1; way < len(s.Ways); way++ {
			all = append(all, contrast{way, against})
		}
		if !s.AllPairs {
			break
		}
	}
	return all
}

// comparisons is how many are made in all.
func (s *Experiment) comparisons() int { return s.measures() * max(1, len(s.contrasts())) }

// Title is the name, and which of a series it is.
func (s *Experiment) Title() string {
	if s.Cell == "" {
		return s.Name
	}
	return s.Name + ", " + s.Cell
}

// othersOf are the descriptions of the three others, from the right of the studied seat on; one for each that Others has where these
// are neither one nor three.
func (s *Experiment) othersOf() []string {
	var all []string
	for part := range strings.SplitSeq(s.Others, ";") {
		all = append(all, strings.TrimSpace(part))
	}
	if len(all) == 1 {
		return []string{all[0], all[0], all[0]}
	}
	return all
}

// Fault is one thing wrong with an experiment: where it stands (the word of the statement, and for those that can stand several
// times, way and also, their number from 0, else -1), what was found, and what would be right.
type Fault struct {
	Statement    string
	Number       int
	Found, Right string
}

func (f Fault) Error() string {
	where := f.Statement
	if f.Number >= 0 {
		where = fmt.Sprintf("%s %d", f.Statement, f.Number+1)
	}
	return fmt.Sprintf("%s: found %s; right would be %s", where, f.Found, f.Right)
}

// Faults are all that is wrong with an experiment.
type Faults []Fault

func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// checker gathers faults.
type checker struct {
	s      *Experiment
	c      *card.Card
	cast   *prepared.Cast
	faults Faults
}

func (k *checker) fault(statement string, number int, found, right string) {
	k.faults = append(k.faults, Fault{statement, number, found, right})
}

// Check says all that is wrong with the experiment for a card that was read for its set, or nil. The error is Faults.
func (s *Experiment) Check(c *card.Card) error {
	ready := prepared.Of(c)
	tuning, _ := ready.Tuning()
	k := &checker{s: s, c: c, cast: ready.Cast(tuning)}
	k.head()
	k.population()
	k.measures()
	k.ways()
	if len(k.faults) > 0 {
		return k.faults
	}
	return nil
}

func (k *checker) head() {
	s := k.s
	k.text("experiment", -1, s.Name, 1, maxName)
	k.text("asks", -1, s.Asks, 0, maxAsks)
	k.text("cell", -1, s.Cell, 0, maxCell)
	if s.Together < 0 || s.Together > maxCells {
		k.fault("together", -1, fmt.Sprint(s.Together), fmt.Sprintf("1 to %d", maxCells))
	}
	if _, err := s.House.Set(); err != nil {
		k.fault("tiles", -1, err.Error(), tilesRight)
	}
	if len(k.c.Hands) == 0 {
		k.fault("experiment", -1, fmt.Sprintf("card %q, which has no hands yet", k.c.Name), "a card with hands")
	}
	if s.Deals < 1 || s.Deals > maxDeals {
		k.fault("deals", -1, fmt.Sprint(s.Deals), fmt.Sprintf("1 to %d", maxDeals))
	}
	if _, _, err := s.seat(); err != nil {
		k.fault("seat", -1, fmt.Sprintf("%q", s.Seat), "rotate, E, S, W or N")
	}
	if int(s.Pairing) >= len(pairingWords) {
		k.fault("pairing", -1, fmt.Sprint(s.Pairing), strings.Join(pairingWords, ", "))
	}
	others := s.othersOf()
	if len(others) != charleston.Seats-1 {
		k.fault("others", -1, fmt.Sprintf("%d players", len(others)), "one for all three others, or three with ; between them: to the right, across, to the left")
	}
	for _, one := range slices.Compact(others) {
		k.player("others", -1, one)
	}
	if s.AllPairs && (s.Split != nil || len(s.Ways) < 3) {
		k.fault("compare", -1, "compare all with no three ways", "compare all for three ways or more; two are compared anyhow")
	}
}

// text checks a text that stands in one line: its characters, and that it does not hold a quote.
func (k *checker) text(statement string, way int, text string, least, most int) {
	n := len([]rune(text))
	switch {
	case n < least && way < 0:
		k.fault(statement, way, fmt.Sprintf("no %s", statement), fmt.Sprintf("a line like %q", statement+` Keep flowers`))
	case n < least:
		k.fault(statement, way, "a way without a name", `a name after "way"`)
	case n > most:
		k.fault(statement, way, fmt.Sprintf("%d characters", n), fmt.Sprintf("%d at most", most))
	case strings.ContainsAny(text, "\"\n\r") || strings.TrimSpace(text) != text:
		k.fault(statement, way, fmt.Sprintf("%q", text), "one line without quotes inside and without blanks at its ends")
	}
}

func (k *checker) player(statement string, way int, description string) {
	if n := len([]rune(description)); n > maxDescribe {
		k.fault(statement, way, fmt.Sprintf("a player described in %d characters", n), fmt.Sprintf("%d at most", maxDescribe))
		return
	}
	if err := k.cast.Check(description); err != nil {
		k.fault(statement, way, fmt.Sprintf("a player that cannot be: %v", err), "a player and rules, as in strong+keep-flowers")
	} else if strings.ContainsAny(description, unwritable) || strings.TrimSpace(description) != description {
		k.fault(statement, way, fmt.Sprintf("%q", description), "a description without quotes, semicolons, # and blanks around it")
	}
}

// unwritable are the characters that have a meaning of their own in an experiment file.
const unwritable = "\"#;\n\r"

// seat is the studied seat, or whether it goes round.
func (s *Experiment) seat() (seat charleston.Seat, goesRound bool, err error) {
	if s.Seat == Everywhere {
		return 0, true, nil
	}
	seat, err = charleston.ParseSeat(s.Seat)
	return seat, false, err
}

func (k *checker) measures() {
	s := k.s
	k.question("measure", "claim", -1, Question{s.Measure, s.Claim})
	if n := len(s.Also); n > maxAlso {
		k.fault("also", -1, fmt.Sprintf("%d further measures", n), fmt.Sprintf("%d at most", maxAlso))
	}
	asked := map[Measure]bool{s.Measure: true}
	for i, q := range s.Also {
		if asked[q.Measure] {
			k.fault("also", i, fmt.Sprintf("%q a second time", q.Measure), "each measure once")
		}
		asked[q.Measure] = true
		k.question("also", "also", i, q)
	}
	k.band("split", s.Split)
	k.band("among", s.Among)
	if s.Among != nil && s.Split == nil {
		k.fault("among", -1, "among without split", "among only beside split; for deals to a condition there is population")
	}
}

// question checks a measure and its claim, which stand in statements of these words.
func (k *checker) question(measure, claim string, n int, q Question) {
	if err := q.Measure.check(k.c); err != nil {
		k.fault(measure, n, fmt.Sprintf("%q", q.Measure), err.Error())
	}
	switch e := q.Effect; {
	case !(e > 0):
		k.fault(claim, n, fmt.Sprintf("an effect of %v", e), "the smallest effect that matters, above 0")
	case q.Share() && e >= 1:
		k.fault(claim, n, fmt.Sprintf("an effect of %v %%", percent*e), "less than 100 %")
	case e > 1e6:
		k.fault(claim, n, fmt.Sprintf("an effect of %v", e), "one that can be")
	}
}

func (k *checker) band(statement string, b *Band) {
	if b == nil {
		return
	}
	if err := b.check(k.c); err != nil {
		k.fault(statement, -1, fmt.Sprintf("%q", b.Measure), err.Error())
		return
	}
	if set, err := k.s.House.Set(); err == nil && len(k.c.Hands) > 0 {
		if err := b.canBe(k.c, set); err != nil {
			k.fault(statement, -1, b.String(), err.Error())
			return
		}
	}
	if b.High < b.Low || b.Low < -1_000_000 || b.High > 1_000_000 || b.Share() && b.Range != (deal.Range{Low: 1, High: 1}) {
		k.fault(statement, -1, fmt.Sprintf("the range %s", b.Range), "a range from small to large, as in dealt pairs 3..7; none where the measure is yes or no")
	}
}

func (k *checker) ways() {
	s := k.s
	switch n := len(s.Ways); {
	case s.Split != nil && n != 1:
		k.fault("split", -1, fmt.Sprintf("%d ways beside split", n), "one way: its deals are compared with each other")
	case s.Split == nil && n < 2:
		k.fault("way", -1, []string{"no way", "one way"}[n], `two or more lines like: way "flowers kept" strong+keep-flowers`)
	case n > maxWays:
		k.fault("way", -1, fmt.Sprintf("%d ways", n), fmt.Sprintf("%d at most", maxWays))
	}
	names := map[string]bool{}
	for i := range s.Ways {
		k.way(i, names)
	}
}

func (k *checker) way(i int, names map[string]bool) {
	w := &k.s.Ways[i]
	k.text("way", i, w.Name, 1, maxName)
	if names[w.Name] {
		k.fault("way", i, fmt.Sprintf("%q a second time", w.Name), "a name of its own for each way")
	}
	names[w.Name] = true
	k.player("way", i, w.Player)
	if int(w.Fill) >= len(fillWords) {
		k.fault("way", i, fmt.Sprint(w.Fill), "fill gap or fill short")
	}
	if (w.Fill == 0) != (k.s.Ways[0].Fill == 0) {
		k.fault("way", i, "a gift to some ways and not to all", "fill gap or fill short in every way, or in none")
	}
	if w.Measure == nil {
		return
	}
	if err := w.Measure.check(k.c); err != nil {
		k.fault("way", i, fmt.Sprintf("the measure %q", *w.Measure), err.Error())
	} else if w.Measure.Unit() != k.s.Measure.Unit() {
		k.fault("way", i, fmt.Sprintf("the measure %q, in %s", *w.Measure, w.Measure.Unit()), fmt.Sprintf("one in %s, as the experiment's", k.s.Measure.Unit()))
	}
}
