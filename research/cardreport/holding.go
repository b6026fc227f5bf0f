package cardreport

import (
	"fmt"

	"secondpass/rules/tile"
)

// Measure is what is counted in a rack to see whether it has a Holding.
type Measure string

// The measures. Of is the kind that the first speaks of, and the rank of the next three. What a card says of one suit it says of every other,
// so no measure speaks of a certain one: signs of suits are signs of all three together, with three times as many racks.
const (
	Copies      Measure = "copies"       // tiles of one kind, which is of no suit
	RankCopies  Measure = "rank-copies"  // tiles of one rank in the suit that has most of it
	RankTiles   Measure = "rank-tiles"   // tiles of one rank in all suits
	RankSuits   Measure = "rank-suits"   // suits in which one rank is held
	SuitTiles   Measure = "suit-tiles"   // tiles of the suit that has most
	WindTiles   Measure = "wind-tiles"   // winds
	WindKinds   Measure = "wind-kinds"   // different winds
	DragonTiles Measure = "dragon-tiles" // dragons
	DragonKinds Measure = "dragon-kinds" // different dragons
	EvenTiles   Measure = "even-tiles"   // tiles of even rank
	OddTiles    Measure = "odd-tiles"    // tiles of odd rank
	ThirdTiles  Measure = "third-tiles"  // threes, sixes and nines
	PairKinds   Measure = "pair-kinds"   // kinds of which two or more are held, jokers aside
	PungKinds   Measure = "pung-kinds"   // kinds of which three or more are held, jokers aside
	RunLength   Measure = "run-length"   // the longest run of different neighbouring ranks in one suit
)

// Holding is something that a deal may hold: Least to Most of what is measured.
type Holding struct {
	Measure Measure `json:"measure"`
	// Of is the number of the kind for Copies, the rank, 1 to 9, for the measures of a rank, and else 0.
	Of    int `json:"of"`
	Least int `json:"least"`
	Most  int `json:"most"`
}

// most is no upper limit.
const most = 14

// holdings are those that are tried as signs of a section: every pair and pung, those of the suits by their ranks, numbers of flowers,
// jokers, winds and dragons, equal ranks, and the family most tiles lean to. Our own choice.
func holdings() []Holding {
	var list []Holding
	add := func(m Measure, of int, least ...int) {
		for _, n := range least {
			list = append(list, Holding{m, of, n, most})
		}
	}
	for k := int(tile.North); k < int(tile.Flower); k++ {
		add(Copies, k, 2, 3)
	}
	for _, k := range []int{int(tile.Flower), int(tile.Joker)} {
		list = append(list, Holding{Copies, k, 0, 0})
		add(Copies, k, 1, 2, 3)
	}
	for rank := 1; rank <= 9; rank++ {
		add(RankCopies, rank, 2, 3)
		add(RankTiles, rank, 3, 4)
		add(RankSuits, rank, tile.Suits)
	}
	add(SuitTiles, 0, 6, 7, 8)
	add(WindTiles, 0, 3, 4, 5)
	add(WindKinds, 0, 3, 4)
	add(DragonTiles, 0, 2, 3, 4)
	add(DragonKinds, 0, 2, 3)
	add(EvenTiles, 0, 6, 7, 8)
	add(OddTiles, 0, 7, 8, 9)
	add(ThirdTiles, 0, 5, 6, 7)
	list = append(list, Holding{PairKinds, 0, 0, 1})
	add(PairKinds, 0, 3, 4, 5)
	add(PungKinds, 0, 1, 2)
	add(RunLength, 0, 4, 5, 6)
	return list
}

// In says whether a rack has the holding.
func (h Holding) In(rack *tile.Rack) bool {
	n := h.count(rack)
	return h.Least <= n && n <= h.Most
}

func (h Holding) count(rack *tile.Rack) int {
	switch h.Measure {
	case Copies:
		return int(rack[h.Of])
	case RankCopies:
		return inOneSuit(func(s tile.Suit) int { return int(rack[tile.Ranked(h.Of, s)]) })
	case RankTiles:
		return sum(rack, func(k tile.Kind) bool { return k.Rank() == h.Of })
	case RankSuits:
		return different(rack, func(k tile.Kind) bool { return k.Rank() == h.Of })
	case SuitTiles:
		return inOneSuit(func(of tile.Suit) int {
			return sum(rack, func(k tile.Kind) bool { s, ok := k.Suit(); return ok && s == of })
		})
	case WindTiles:
		return sum(rack, wind)
	case WindKinds:
		return different(rack, wind)
	case DragonTiles:
		return sum(rack, dragon)
	case DragonKinds:
		return different(rack, dragon)
	case EvenTiles:
		return sum(rack, func(k tile.Kind) bool { return k.Rank() > 0 && k.Rank()%2 == 0 })
	case OddTiles:
		return sum(rack, func(k tile.Kind) bool { return k.Rank()%2 == 1 })
	case ThirdTiles:
		return sum(rack, func(k tile.Kind) bool { return k.Rank() > 0 && k.Rank()%3 == 0 })
	case PairKinds:
		return different(rack, func(k tile.Kind) bool { return k != tile.Joker && rack[k] >= 2 })
	case PungKinds:
		return different(rack, func(k tile.Kind) bool { return k != tile.Joker && rack[k] >= 3 })
	case RunLength:
		return longestRun(rack)
	}
	return 0
}

func wind(k tile.Kind) bool   { return k >= tile.North && k <= tile.South }
func dragon(k tile.Kind) bool { return k >= tile.Red && k <= tile.White }

// sum is the number of tiles of the kinds wanted, different the number of such kinds held.
func sum(rack *tile.Rack, wanted func(tile.Kind) bool) int {
	n := 0
	for k, c := range rack {
		if c > 0 && wanted(tile.Kind(k)) {
			n += int(c)
		}
	}
	return n
}

func different(rack *tile.Rack, wanted func(tile.Kind) bool) int {
	n := 0
	for k, c := range rack {
		if c > 0 && wanted(tile.Kind(k)) {
			n++
		}
	}
	return n
}

// inOneSuit is the number of the suit that has most.
func inOneSuit(number func(tile.Suit) int) int {
	most := 0
	for s := range tile.Suit(tile.Suits) {
		most = max(most, number(s))
	}
	return most
}

func longestRun(rack *tile.Rack) int {
	longest := 0
	for suit := range tile.Suit(tile.Suits) {
		run := 0
		for rank := 1; rank <= 9; rank++ {
			run++
			if rack[tile.Ranked(rank, suit)] == 0 {
				run = 0
			}
			longest = max(longest, run)
		}
	}
	return longest
}

// String is the holding in words: "a pung of 4s", "2 or more jokers".
func (h Holding) String() string {
	switch h.Measure {
	case Copies:
		return h.copiesText()
	case RankCopies:
		return fmt.Sprintf("a %s of %ds", groupOf[h.Least], h.Of)
	case RankTiles:
		return h.number(fmt.Sprintf("tiles of rank %d", h.Of))
	case RankSuits:
		return fmt.Sprintf("rank %d in all three suits", h.Of)
	case SuitTiles:
		return h.number("tiles of one suit")
	case RunLength:
		return fmt.Sprintf("a run of %d or more in one suit", h.Least)
	}
	return h.number(map[Measure]string{
		WindTiles: "winds", WindKinds: "different winds", DragonTiles: "dragons", DragonKinds: "different dragons",
		EvenTiles: "even tiles", OddTiles: "odd tiles", ThirdTiles: "threes, sixes and nines",
		PairKinds: "pairs (pungs count)", PungKinds: "pungs",
	}[h.Measure])
}

// groupOf is what so many tiles of a kind are called.
var groupOf = map[int]string{2: "pair", 3: "pung"}

func (h Holding) copiesText() string {
	kind := tile.Kind(h.Of)
	if kind == tile.Flower || kind == tile.Joker {
		return h.number(kind.Name() + "s")
	}
	return fmt.Sprintf("a %s of %ss", groupOf[h.Least], kind.Name())
}

// number words how many are held of what is measured.
func (h Holding) number(what string) string {
	switch {
	case h.Most == 0:
		return "no " + what
	case h.Least == 0:
		return fmt.Sprintf("at most %d %s", h.Most, what)
	}
	return fmt.Sprintf("%d or more %s", h.Least, what)
}
