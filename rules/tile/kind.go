package tile

// Kind is a sort of tile, numbered as in files and machine-readable output:
// 0-8 are the bams 1-9, 9-17 the craks, 18-26 the dots, 27-30 the winds
// N E W S, 31-33 the dragons red, green and white, 34 the flower, 35 the joker.
type Kind uint8

// The kinds that are not a rank in a suit.
const (
	North Kind = 27 + iota
	East
	West
	South
	Red
	Green
	White // the white dragon, which is also the digit zero
	Flower
	Joker

	// Kinds is the number of kinds; every array indexed by Kind has this length.
	Kinds = 36
)

// Suit is one of the three suits, in the order of the kinds.
type Suit uint8

// The suits.
const (
	Bams Suit = iota
	Craks
	Dots

	// Suits is the number of suits.
	Suits = 3
)

// Letter is the lower-case letter that stands for the suit in rack and card text.
func (s Suit) Letter() byte { return "bcd"[s] }

// Dragon is the dragon that belongs to the suit: green with bams, red with
// craks, white with dots (docs/rules.md 1.2; common practice, no source).
func (s Suit) Dragon() Kind { return [Suits]Kind{Green, Red, White}[s] }

// Ranked is the kind of a rank, 1 to 9, in a suit. Other ranks are a
// programmer's error and give a kind that does not exist.
func Ranked(rank int, s Suit) Kind { return Kind(int(s)*9 + rank - 1) }

// Rank is 1 to 9 for the tiles of a suit and 0 for all others.
func (k Kind) Rank() int {
	if k < North {
		return int(k)%9 + 1
	}
	return 0
}

// Suit is the suit of a ranked tile; ok is false for winds, dragons, flowers and jokers.
func (k Kind) Suit() (s Suit, ok bool) { return Suit(k / 9), k < North }

// honours are the one-character names of the kinds from North on.
const honours = "NEWSRG0FJ"

// String is the kind's code: a rank and a suit letter as in "4c", or one
// character as in "N", "0" (white dragon), "F" and "J".
func (k Kind) String() string {
	switch {
	case k < North:
		return string([]byte{'0' + byte(k.Rank()), Suit(k / 9).Letter()})
	case k < Kinds:
		return honours[k-North : k-North+1]
	}
	return "?"
}

var honourNames = [...]string{
	"north wind", "east wind", "west wind", "south wind",
	"red dragon", "green dragon", "white dragon", "flower", "joker",
}

// Name is the kind in words, in the singular: "4 crak", "white dragon", "flower".
func (k Kind) Name() string {
	if k < North {
		return string('0'+byte(k.Rank())) + " " + [Suits]string{"bam", "crak", "dot"}[k/9]
	}
	if k < Kinds {
		return honourNames[k-North]
	}
	return "unknown tile"
}

// HonourKind is the kind of a one-character honour in upper case, as in "N" or
// "0"; jokers count. ok is false for any other character.
func HonourKind(c rune) (k Kind, ok bool) {
	for i, h := range honours {
		if h == c {
			return North + Kind(i), true
		}
	}
	return 0, false
}
