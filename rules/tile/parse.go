package tile

import (
	"fmt"
	"unicode/utf8"
)

// ParseError says what is wrong with rack text and where. Pos counts
// characters from 1, a leading byte order mark not counted.
type ParseError struct {
	Pos int
	Msg string
}

func (e *ParseError) Error() string { return fmt.Sprintf("position %d: %s", e.Pos, e.Msg) }

// Parse reads rack text such as "3457 9b 44b NEWS R G 0 FF J". Digits 1-9
// belong to the next suit letter (also across blanks), every other tile is one
// character; letters may be upper or lower case. It returns a *ParseError for
// text that is no rack and an *ExcessError where the set has fewer copies.
func Parse(text string, set Set) (Rack, error) {
	tiles, err := ParseList(text)
	if err != nil {
		return Rack{}, err
	}
	if len(tiles) > set.Size() {
		return Rack{}, fmt.Errorf("%d tiles, but the set holds %d", len(tiles), set.Size())
	}
	var counts [Kinds]int
	for _, k := range tiles {
		counts[k]++
	}
	for k, n := range counts {
		if n > int(set[k]) {
			return Rack{}, &ExcessError{Kind: Kind(k), Have: n, Copies: int(set[k])}
		}
	}
	return RackOf(tiles...), nil
}

// ParseList reads rack text as a list of tiles in the order typed, without
// asking whether so many copies exist. Errors are *ParseError.
func ParseList(text string) ([]Kind, error) {
	p := rackParser{}
	first := true
	for i, c := range text {
		if first {
			first = false
			if c == '\uFEFF' {
				continue
			}
		}
		p.pos++
		if c == utf8.RuneError {
			if _, width := utf8.DecodeRuneInString(text[i:]); width == 1 {
				return nil, &ParseError{p.pos, "a byte that is no UTF-8 text"}
			}
		}
		if err := p.take(c); err != nil {
			return nil, err
		}
	}
	if err := p.endCluster(); err != nil {
		return nil, err
	}
	return p.tiles, nil
}

// rackParser holds the tiles read so far and the ranks that wait for their suit letter.
type rackParser struct {
	pos   int
	tiles []Kind
	ranks []rankAt
}

type rankAt struct{ rank, pos int }

func (p *rackParser) take(c rune) error {
	switch c {
	case ' ', '\t':
		return nil
	case '1', '2', '3', '4', '5', '6', '7', '8', '9':
		p.ranks = append(p.ranks, rankAt{int(c - '0'), p.pos})
		return nil
	case 'b', 'B':
		return p.suit(Bams)
	case 'c', 'C':
		return p.suit(Craks)
	case 'd', 'D':
		return p.suit(Dots)
	}
	upper := c
	if c >= 'a' && c <= 'z' {
		upper -= 'a' - 'A'
	}
	k, ok := HonourKind(upper)
	if !ok {
		return &ParseError{p.pos, fmt.Sprintf("%q is no tile; ranks 1-9 with b, c or d, and N E W S R G 0 F J are", c)}
	}
	if err := p.endCluster(); err != nil {
		return err
	}
	p.tiles = append(p.tiles, k)
	return nil
}

func (p *rackParser) suit(s Suit) error {
	if len(p.ranks) == 0 {
		return &ParseError{p.pos, fmt.Sprintf("suit letter %q has no rank before it", s.Letter())}
	}
	for _, r := range p.ranks {
		p.tiles = append(p.tiles, Ranked(r.rank, s))
	}
	p.ranks = p.ranks[:0]
	return nil
}

func (p *rackParser) endCluster() error {
	if len(p.ranks) > 0 {
		r := p.ranks[0]
		return &ParseError{r.pos, fmt.Sprintf("rank %d has no suit; write b, c or d after it", r.rank)}
	}
	return nil
}

// MustParse reads rack text of the usual set. It panics where that is wrong: it is for text that stands in
// the program, in tests and examples.
func MustParse(text string) Rack {
	r, err := Parse(text, Usual)
	if err != nil {
		panic(fmt.Sprintf("tile.MustParse(%q): %v", text, err))
	}
	return r
}
