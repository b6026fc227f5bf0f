package compose

import "strings"

// term is one group of a drawn hand, as the card file will have it.
type term struct {
	// symbol is a rank '1'-'9', an honour of "NEWSRG0F", or 'D' for the dragon of suit.
	symbol byte
	// suit is 'x', 'y' or 'z' for ranks and D, and for a zero inside a motto; else 0.
	suit byte
	size int
	// glued groups stand in one word with the group before them.
	glued bool
}

// ranked says whether the term is a number of a suit.
func (t term) ranked() bool { return t.symbol >= '1' && t.symbol <= '9' }

// piece is a stretch of a hand: one list of terms, or several to choose from. All
// choices have the same number of tiles.
type piece [][]term

// fixed is a piece without a choice.
func fixed(terms ...term) piece { return piece{terms} }

// text is the piece in the notation of card files.
func (p piece) text() string {
	choices := make([]string, len(p))
	for i, terms := range p {
		choices[i] = words(terms)
	}
	if len(choices) == 1 {
		return choices[0]
	}
	return "(" + strings.Join(choices, "|") + ")"
}

// words writes terms with blanks between, singles that belong together in one word.
func words(terms []term) string {
	var b strings.Builder
	for i := 0; i < len(terms); {
		j := i + 1
		for j < len(terms) && (terms[j].glued || joins(terms[j-1], terms[j])) {
			j++
		}
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		white := true
		for _, t := range terms[i:j] {
			b.WriteString(strings.Repeat(string(t.symbol), t.size))
			white = white && t.symbol == '0'
		}
		if s := terms[i].suit; s != 0 && !white {
			b.WriteByte(s)
		}
		i = j
	}
	return b.String()
}

// joins says whether two neighbours share a word: singles of one suit ("246x") or of
// winds ("NEWS"). Equal neighbours stay apart, because a word makes one group of them.
func joins(a, b term) bool {
	if a.size != 1 || b.size != 1 || a.suit != b.suit || a.symbol == b.symbol {
		return false
	}
	if a.suit == 0 {
		const winds = "NEWS"
		return strings.IndexByte(winds, a.symbol) >= 0 && strings.IndexByte(winds, b.symbol) >= 0
	}
	return a.symbol != 'D' && b.symbol != 'D'
}

// size is the number of tiles.
func (p piece) size() int {
	n := 0
	for _, t := range p[0] {
		n += t.size
	}
	return n
}

// hand is a drawn hand before it is measured.
type hand struct {
	pieces              []piece
	slide               int // as the option of card files: 0, 1 or 2
	concealed, noJokers bool
	drawn
	// say is its sentence.
	say string
}

// drawn names what a hand was drawn from: its aspects.
type drawn struct{ figure, numbers, build, plan, tail string }

// aspects is the number of them.
const aspects = 5

func (d drawn) words() [aspects]string {
	return [aspects]string{d.figure, d.numbers, d.build, d.plan, d.tail}
}

// pattern is the groups in the notation of card files.
func (h *hand) pattern() string {
	texts := make([]string, len(h.pieces))
	for i, p := range h.pieces {
		texts[i] = p.text()
	}
	return strings.Join(texts, " ")
}

// options is what follows the groups, each after its semicolon.
func (h *hand) options() string {
	text := [...]string{"", " ; slide", " ; slide 2"}[h.slide]
	if h.noJokers {
		text += " ; no jokers"
	}
	return text
}

// size is the number of tiles.
func (h *hand) size() int {
	n := 0
	for _, p := range h.pieces {
		n += p.size()
	}
	return n
}

// terms are the groups of the first choices.
func (h *hand) terms() []term {
	var all []term
	for _, p := range h.pieces {
		all = append(all, p[0]...)
	}
	return all
}

// suits is how many suits the numbers and the dragons of suits stand in, 0 to 3.
func (h *hand) suits() int {
	seen := map[byte]bool{}
	for _, t := range h.terms() {
		if t.ranked() || t.symbol == 'D' {
			seen[t.suit] = true
		}
	}
	return len(seen)
}
