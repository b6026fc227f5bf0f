package advice

import (
	"cmp"
	"math"
	"slices"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Point is one respect in which a decision differs from another: something that can be seen, and that speaks for the one or
// for the other.
type Point struct {
	Kind PointKind
	// Weight says how telling the point is, above 0 where it speaks for the decision and below 0 where against it. The scale
	// is our own: 1 stands for all near ways.
	Weight float64
	// Here is a number of the decision, There the same of the other one, Of what both are counted among; see the kinds.
	Here, There, Of int
	// Hand is the hand that the point is about, as it stands before the decision; To is the hand that takes its place.
	Hand, To *fit.Reading
	// Tiles are those that the point is about.
	Tiles tile.Rack
	// Seat is the seat that the point is about.
	Seat charleston.Seat
}

// PointKind is in what two decisions differ. Each says when it may be said.
type PointKind uint8

const (
	// PointWays: Here and There of Of near ways are set back. Said where the numbers differ.
	PointWays PointKind = 1 + iota
	// PointHand: Hand stands Here tiles away after the decision and There after the other. Said of an option that the two
	// leave unequally far away, the nearest such.
	PointHand
	// PointSwitch: Hand was nearest and is not any more; To is, Here away, and Hand then There. Said where To is another hand
	// and Hand has fallen behind it, and the other decision keeps Hand in front.
	PointSwitch
	// PointGivesUp: Here options are hopeless after the decision and There after the other; Hand is the nearest of those
	// that this decision alone gives up. Said where there is one.
	PointGivesUp
	// PointBreaks: Tiles are a multiple of Hand, the nearest, that the decision breaks and the other does not.
	PointBreaks
	// PointGift: the receiver gets tiles that go together, as Gift numbers in Here and There say. Said where a pair, like
	// numbers or neighbours go one way and something less useful the other.
	PointGift
	// PointBlind: Here more tiles than by the other decision are handed on unseen, and There fewer of Of near ways are set
	// back; both below 0 the other way round. Said where Here is not 0.
	PointBlind
	// PointMissing: Hand, the nearest, lacks Here tiles; up to There more tiles change hands after this decision, and Of
	// after the other. Said of votes and offers.
	PointMissing
	// PointSpare: Here tiles are spare for Hand, the nearest; There and Of are as before. Said of votes and offers.
	PointSpare
	// PointPairs: Hand lacks Here tiles in singles and pairs, where no joker helps, and the other's hand There. Said where the
	// numbers differ.
	PointPairs
	// PointConcealed: Hand is concealed (Here 1) where the other's is not, or the other way round (Here 0): all of a concealed
	// hand but the last tile comes from the wall.
	PointConcealed
	// PointChoice: Here and There ways are at most one tile further than the nearest. Said of sections and in play, where the
	// numbers differ.
	PointChoice
	// PointAlive: Here unseen tiles are of use to Hand, There to the other's. Said where one has half as many again.
	PointAlive
	// PointNearer: Hand is Here away with the decision, To There away with the other. Said in play, where they differ.
	PointNearer
	// PointShows: the group laid open shows what is played, Here of its tiles jokers that anybody may exchange. Said where jokers
	// are shown.
	PointShows
	// PointAsked: most of the ways that Seat's open groups allow use Tiles, which the decision discards, or the other one where
	// it speaks for the decision. Said where a seat asks for one tile in askedEnough of its ways or more.
	PointAsked
	// PointExchange: a joker lies open for Tiles, which the decision discards, or the other one likewise.
	PointExchange
	// PointWins: the decision wins the game, or the other one does.
	PointWins
	// PointDead: no hand of the card is possible any more.
	PointDead
)

// The weights of points, per unit of what they count. They are our own, chosen on drills of three cards whose answers were
// judged by games, and tested on others.
const (
	weightNearest   = 0.2  // of the share of the nearest ways, beside that of all near ways
	weightBlind     = 0.5  // a tile handed on unseen
	weightAway      = 0.05 // a tile that an option is set back
	weightGivesUp   = 0.03 // an option given up
	weightBreaks    = 0.1  // a multiple
	weightGift      = 0.03 // a step of Gift
	weightFar       = 0.3  // a missing tile beyond farEnough
	weightSpare     = 0.1  // a spare tile beyond a pass
	weightPairs     = 0.25 // a tile of a single or pair
	weightConcealed = 0.3
	weightChoice    = 0.3  // of the logarithm of the ratio of ways
	weightAlive     = 0.2  // of the logarithm of the ratio of unseen tiles
	weightNearer    = 0.5  // a tile nearer in play
	weightShown     = 0.03 // a joker laid open
	weightAsked     = 0.5  // of the part of a seat's ways
	weightExchange  = 0.5
	weightDead      = 3
	// least is what a point must weigh to be said.
	least = 0.03
	// askedEnough is the part of a seat's ways that makes it ask for a tile.
	askedEnough = 0.5
	// farEnough is how many tiles may be missing before more passing is worth what it may break.
	farEnough = 3
)

// Contrast lists in what a decision differs from another at the same moment, the most telling first.
func Contrast(x, y *Facts) []Point {
	var points []Point
	add := func(p Point) {
		if math.Abs(p.Weight) >= least {
			points = append(points, p)
		}
	}
	switch {
	case x.sections():
		contrastSections(x, y, add)
	case x.InPlay:
		contrastPlay(x, y, add)
	case x.Given == y.Given && x.More != y.More:
		contrastMore(x, y, add)
	default:
		contrastPasses(x, y, add)
	}
	slices.SortStableFunc(points, func(a, b Point) int { return cmp.Compare(math.Abs(b.Weight), math.Abs(a.Weight)) })
	return points
}

// Balance is what points weigh together: above 0 they speak for the decision.
func Balance(points []Point) float64 {
	sum := 0.
	for i := range points {
		sum += points[i].Weight
	}
	return sum
}

func (f *Facts) sections() bool { return f.Section != "" }

// share is a part of a whole, 0 of nothing.
func share(part, whole int) float64 { return float64(part) / float64(max(whole, 1)) }

func contrastPasses(x, y *Facts, add func(Point)) {
	saved := y.Lost - x.Lost
	ways := share(saved, x.Near) + weightNearest*share(y.LostNearest-x.LostNearest, x.Nearest)
	if x.Blind == y.Blind {
		if saved != 0 {
			add(Point{Kind: PointWays, Weight: ways, Here: x.Lost, There: y.Lost, Of: x.Near})
		}
	} else {
		// Blind tiles save own ones: the two are one bargain.
		add(Point{Kind: PointBlind, Weight: ways + weightBlind*float64(y.Blind-x.Blind), Here: x.Blind - y.Blind, There: saved, Of: x.Near})
		return
	}
	contrastHands(x, y, add)
	if b := len(x.Broken.Multiples()) - len(y.Broken.Multiples()); b != 0 {
		broken := x.Broken.Minus(y.Broken)
		if b < 0 {
			broken = y.Broken.Minus(x.Broken)
		}
		add(Point{Kind: PointBreaks, Weight: -weightBreaks * float64(b), Hand: &x.Before, Tiles: broken})
	}
	if a, b := max(x.Gift, GiftOneSuit), max(y.Gift, GiftOneSuit); a != b {
		add(Point{Kind: PointGift, Weight: weightGift * float64(b-a), Here: int(x.Gift), There: int(y.Gift)})
	}
}

// contrastHands says what becomes of the options.
func contrastHands(x, y *Facts, add func(Point)) {
	if x.After.Hand != x.Before.Hand && y.After.Hand == x.Before.Hand {
		if there, ok := awayOf(x.after, x.Before.Hand); ok && there > x.After.Away {
			add(Point{Kind: PointSwitch, Weight: least, Hand: &x.Before, To: &x.After, Here: x.After.Away, There: there})
		}
	}
	only := func(a, b *Facts) (n int, first *fit.Reading) {
		for i := range a.before {
			h := &a.before[i]
			if slices.Contains(a.GivenUp, h.Hand) && !slices.Contains(b.GivenUp, h.Hand) {
				if n++; first == nil {
					first = h
				}
			}
		}
		return n, first
	}
	n, lost := only(x, y)
	m, kept := only(y, x)
	if n != m {
		p := Point{Kind: PointGivesUp, Weight: weightGivesUp * float64(m-n), Here: len(x.GivenUp), There: len(y.GivenUp), Hand: lost}
		if n < m {
			p.Hand = kept
		}
		add(p)
	}
	for i := range x.before {
		h := &x.before[i]
		if h.Away > x.Before.Away+1 {
			break
		}
		a, okA := awayOf(x.after, h.Hand)
		b, okB := awayOf(y.after, h.Hand)
		if okA && okB && a != b {
			add(Point{Kind: PointHand, Weight: weightAway * float64(b-a), Hand: h, Here: a, There: b})
			return
		}
	}
}

// contrastMore weighs how much more is to change: votes and offers.
func contrastMore(x, y *Facts, add func(Point)) {
	sign := 1.
	if x.More < y.More {
		sign = -1
	}
	hand := &x.Before
	far, spare, most := weightFar*float64(hand.Away-farEnough), hand.Spare.Size(), max(x.More, y.More)
	over := weightSpare * (float64(spare) - charleston.PassTiles)
	if most <= charleston.PassTiles { // the courtesy takes no more than it names
		far, over = far/3, 2*over+weightSpare
	}
	add(Point{Kind: PointMissing, Weight: sign * far, Hand: hand, Here: hand.Away, There: x.More, Of: y.More})
	add(Point{Kind: PointSpare, Weight: sign * over, Hand: hand, Here: spare, There: x.More, Of: y.More})
}

func contrastSections(x, y *Facts, add func(Point)) {
	hand := &x.After
	if a, b := x.After.MissingSingles, y.After.MissingSingles; a != b {
		add(Point{Kind: PointPairs, Weight: weightPairs * float64(b-a), Hand: hand, Here: a, There: b})
	}
	if a, b := x.After.OnCard().Concealed, y.After.OnCard().Concealed; a != b {
		p := Point{Kind: PointConcealed, Weight: weightConcealed, Hand: hand}
		if a {
			p.Weight, p.Here = -weightConcealed, 1
		}
		add(p)
	}
	if x.Left != y.Left {
		add(Point{Kind: PointChoice, Weight: weightChoice * math.Log(share(x.Left, y.Left)), Hand: hand, Here: x.Left, There: y.Left})
	}
	addAlive(x, y, add)
}

// addAlive says where the tiles that are missing are left in unequal number.
func addAlive(x, y *Facts, add func(Point)) {
	a, b := share(x.Alive, x.After.Away), share(y.Alive, y.After.Away)
	if a > 0 && b > 0 && (a >= 1.5*b || b >= 1.5*a) {
		add(Point{Kind: PointAlive, Weight: weightAlive * math.Log(a/b), Hand: &x.After, Here: x.Alive, There: y.Alive})
	}
}

func contrastPlay(x, y *Facts, add func(Point)) {
	if x.Dead != y.Dead {
		w := float64(weightDead)
		if x.Dead {
			w = -w
		}
		add(Point{Kind: PointDead, Weight: w})
		return
	}
	if x.Wins || y.Wins {
		if x.Wins != y.Wins {
			w := float64(weightDead)
			if y.Wins {
				w = -w
			}
			add(Point{Kind: PointWins, Weight: w})
		}
		return
	}
	if saved := y.Lost - x.Lost; x.Given.Size() > 0 && y.Given.Size() > 0 && saved != 0 {
		add(Point{Kind: PointWays, Weight: share(saved, x.Near), Here: x.Lost, There: y.Lost, Of: x.Near})
	}
	if a, b := x.Asked, y.Asked; max(a, b) >= askedEnough && a != b {
		p := Point{Kind: PointAsked, Weight: weightAsked * (b - a), Seat: x.Asker, Tiles: x.Given}
		if b > a {
			p.Seat, p.Tiles = y.Asker, y.Given
		}
		add(p)
	}
	if x.Exchangeable != y.Exchangeable {
		p := Point{Kind: PointExchange, Weight: weightExchange, Tiles: y.Given}
		if x.Exchangeable {
			p.Weight, p.Tiles = -weightExchange, x.Given
		}
		add(p)
	}
	if a, b := x.After.Away, y.After.Away; a != b {
		add(Point{Kind: PointNearer, Weight: weightNearer * float64(b-a), Hand: &x.After, To: &y.After, Here: a, There: b})
	}
	if x.Left > 0 && y.Left > 0 && x.Left != y.Left {
		add(Point{Kind: PointChoice, Weight: weightChoice * math.Log(share(x.Left, y.Left)), Hand: &x.After, Here: x.Left, There: y.Left})
	}
	if a, b := int(x.Shown.Jokers), int(y.Shown.Jokers); a != b {
		add(Point{Kind: PointShows, Weight: weightShown * float64(b-a), Here: a, There: b})
	}
	if a, b := x.After.MissingSingles, y.After.MissingSingles; a != b {
		add(Point{Kind: PointPairs, Weight: weightPairs / 5 * float64(b-a), Hand: &x.After, Here: a, There: b})
	}
	addAlive(x, y, add)
}

// Said is what of points is said, two at most: the most telling, and the next that speaks the same way. A point on
// the other side is said only where it weighs half as much as the first.
func Said(points []Point) []Point {
	if len(points) < 2 {
		return points
	}
	said := points[:1:1]
	for _, p := range points[1:] {
		if p.Weight*said[0].Weight > 0 || math.Abs(p.Weight) >= math.Abs(said[0].Weight)/2 {
			return append(said, p)
		}
	}
	return said
}

// Contrast says in what candidate i differs from another, which it names: one that is even from the first that is not, any
// other one from the best. other is nil where nothing stands against it.
func (a *Advice) Contrast(i int) (points []Point, other *Candidate) {
	against := against(len(a.Candidates), i, func(j int) bool { return a.Candidates[j].Even })
	if against < 0 {
		return nil, nil
	}
	other = &a.Candidates[against]
	return Contrast(&a.Candidates[i].Facts, &other.Facts), other
}

// Against is the place of the decision that decision i is set against in the same way; -1 where nothing stands against it.
func (v *Verdict) Against(i int) int {
	return against(len(v.Judged), i, func(j int) bool { return v.Judged[j].Even })
}

// against is for the one of n candidates, best first.
func against(n, i int, even func(int) bool) int {
	if i > 0 && !even(i) {
		return 0
	}
	for j := range n {
		if j != i && !even(j) {
			return j
		}
	}
	return -1
}

// Contrast says in what a decision of a route differs from the best one found: what it was decided on is v.
func (e *Entry) Contrast(c *card.Card, v charleston.View) []Point {
	f := FactsOf(c, v, []charleston.Action{e.Decision.Action(v.Seat), e.Best})
	return Contrast(&f[0], &f[1])
}
