package compose

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Draft is a card together with all hands that may take the place of one of its own: those it was picked
// from and as many again of each section, several times over. Hands are known by numbers from 0 to
// [Draft.Candidates]-1. A draft always meets the demands of a card.
type Draft struct {
	seed   uint64
	wish   Wish
	layout *layout
	// all is every candidate by its number, places where it is found.
	all    []*candidate
	places []place
	first  []int // the number of the first candidate of each section
}

// morePools is how many times a section's hands are drawn again for a draft.
const morePools = 5

// NewDraft draws the card that [Draw] draws, and further hands for it. Errors are as of Draw.
func NewDraft(seed uint64, wish Wish) (*Draft, error) {
	d, err := draw(seed, wish)
	if err != nil {
		return nil, err
	}
	themes := d.layout.themes
	pools := make([][]*candidate, len(themes))
	for s := range themes {
		list := slices.Clone(d.layout.pools[s])
		for again := range morePools {
			list = append(list, drawAgain(d.seed, themes, s, again)...)
		}
		if pools[s], err = measure(list, d.wish.Difficulty); err != nil {
			return nil, err
		}
		d.first = append(d.first, len(d.all))
		for i, c := range pools[s] {
			d.all = append(d.all, c)
			d.places = append(d.places, place{s, i})
		}
	}
	d.layout.spares = newSpares(pools, themes, d.wish)
	return d, nil
}

// drawAgain draws hands of section s once more; each time has a random stream of its own.
func drawAgain(seed uint64, themes []theme, s, again int) []*candidate {
	stream := uint64(s) + 1 + uint64(again+1)*uint64(len(themes))
	d := &drawer{rng: rand.New(rand.NewPCG(seed, stream)), theme: &themes[s], builds: builder{}}
	return d.pool()
}

// draw picks a card; it has no further hands. Where no card comes of the hands drawn, more are drawn.
func draw(seed uint64, wish Wish) (*Draft, error) {
	wish = wish.filled(seed)
	if err := wish.check(); err != nil {
		return nil, err
	}
	themes := wish.themes(seed)
	pools, err := drawPools(seed, themes, wish.Difficulty)
	if err != nil {
		return nil, err
	}
	l, err := choose(rand.New(rand.NewPCG(seed, 0)), pools, themes, wish)
	for again := 0; err != nil && again < morePools; again++ {
		for s := range pools {
			more, broken := measure(append(pools[s], drawAgain(seed, themes, s, again)...), wish.Difficulty)
			if broken != nil {
				return nil, broken
			}
			pools[s] = more
		}
		l, err = choose(rand.New(rand.NewPCG(seed, uint64(again+1)<<32)), pools, themes, wish)
	}
	if err != nil {
		return nil, fmt.Errorf("seed %d: %w", seed, err)
	}
	return &Draft{seed: seed, wish: wish, layout: l}, nil
}

// Candidates is the number of hands there are.
func (d *Draft) Candidates() int { return len(d.all) }

// Sections is the number of sections.
func (d *Draft) Sections() int { return len(d.layout.themes) }

// Section is the section that a hand may stand in, as an index of Card.Sections.
func (d *Draft) Section(hand int) int { return d.places[hand].section }

// Alone is a hand as a card of its own.
func (d *Draft) Alone(hand int) *card.Card {
	c, _, err := readLines(d.all[hand : hand+1])
	if err != nil {
		panic("compose: " + err.Error()) // every candidate has been read
	}
	return c
}

// Hands are the numbers of the hands on the card, by section.
func (d *Draft) Hands() []int {
	hands := make([]int, len(d.layout.places))
	for i, p := range d.layout.places {
		hands[i] = d.first[p.section] + p.index
	}
	return hands
}

// Better tries so many swaps of one of the hands that may go (their numbers) for another of its section,
// drawn by rng, every other time together with a swap of a second hand of that section, which may stand in
// the way. It keeps those that lessen the cost of the card's hands and its blemish together, as long as
// the card meets all demands.
func (d *Draft) Better(rng *rand.Rand, swaps int, going []int, cost func(hands []int) float64) {
	l := d.layout
	hands := d.Hands()
	slots := make([]int, len(going))
	for i, hand := range going {
		slots[i] = slices.Index(hands, hand)
	}
	put := func(slot int, p place) {
		l.swap(slot, p)
		hands[slot] = d.first[p.section] + p.index
	}
	now := l.blemish() + cost(hands)
	for try := range swaps {
		moved := slots[rng.IntN(len(slots)):][:1]
		if try%2 == 1 {
			moved = append(slices.Clone(moved), l.another(rng, moved[0]))
		}
		old := make([]place, len(moved))
		for i, slot := range moved {
			old[i] = l.places[slot]
			put(slot, place{old[i].section, rng.IntN(len(l.pools[old[i].section]))})
		}
		if then := l.blemish() + cost(hands); then < now-gain && l.lacks(&l.sums) == "" && l.allGo(moved) {
			now = then
			continue
		}
		for i, slot := range moved {
			put(slot, old[i])
		}
	}
}

// another is a second slot of the section of one.
func (l *layout) another(rng *rand.Rand, slot int) int {
	for {
		other := rng.IntN(len(l.places))
		if other != slot && l.places[other].section == l.places[slot].section {
			return other
		}
	}
}

// allGo says that each of the hands in these slots goes with all others.
func (l *layout) allGo(slots []int) bool {
	for _, slot := range slots {
		if !l.goes(l.places[slot], slot) {
			return false
		}
	}
	return true
}

// Card is the card of the draft as it is read from its file. numbers are those of its hands, indexed as
// Card.Hands.
func (d *Draft) Card() (c *card.Card, numbers []int) {
	c, _, err := card.Read("drawn.card", []byte(d.Text("", nil)), tile.Usual)
	if err != nil {
		panic("compose: " + err.Error()) // every candidate has been read
	}
	byPlace := d.Hands()
	for _, section := range d.sorted(nil) {
		for _, h := range section {
			numbers = append(numbers, byPlace[slices.IndexFunc(d.layout.places, func(p place) bool { return d.layout.at(p) == h.candidate })])
		}
	}
	return c, numbers
}

// priced is a hand with its points.
type priced struct {
	*candidate
	points int
}

// sorted are the hands of the card by section, each from the cheapest on. points gives those of a
// hand by its number; nil is the points by difficulty.
func (d *Draft) sorted(points func(hand int) int) [][]priced {
	l := d.layout
	list := make([][]priced, len(l.themes))
	for _, p := range l.places {
		c := l.at(p)
		h := priced{c, c.points()}
		if points != nil {
			h.points = points(d.first[p.section] + p.index)
		}
		list[p.section] = append(list[p.section], h)
	}
	for _, hands := range list {
		slices.SortStableFunc(hands, func(a, b priced) int {
			return cmp.Or(cmp.Compare(a.points, b.points), cmp.Compare(a.difficulty, b.difficulty))
		})
	}
	return list
}

const head = `# %s, a card of hands to practise on. It is no substitute for the card you own.
#
# Every hand was drawn by the program from sizes, numbers and suits; none was taken
# from a card that somebody else has written. The same seed draws the same card:
#
#     %s
#
card     %s
season   %d
`

// Text is the text of the card file. flags are those of `secondpass card compose` beside the seed and those of the
// wish that draws the card; points are as in sorted.
func (d *Draft) Text(flags string, points func(hand int) int) string {
	command := fmt.Sprintf("secondpass card compose --seed %d", d.seed)
	command += d.wish.flags(d.seed)
	if flags != "" {
		command += " " + flags
	}
	var b strings.Builder
	fmt.Fprintf(&b, head, d.wish.Name, command, d.wish.Name, d.wish.Season)
	for s, hands := range d.sorted(points) {
		fmt.Fprintf(&b, "\nsection  %s\n", d.layout.themes[s].section)
		width := 0
		for _, h := range hands {
			width = max(width, len(h.line(h.points)))
		}
		for _, h := range hands {
			fmt.Fprintf(&b, "%-*s ; note \"%s\"\n", width, h.line(h.points), h.say)
		}
	}
	return b.String()
}
