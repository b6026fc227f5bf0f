package compose

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"secondpass/cardmaking/plain"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Character is a sort of card that players are tried on beside balanced ones. Nobody would choose to play with it.
type Character string

// The characters. On a clumsy card hands are hard to get: scattered ranks, many singles and pairs, every other hand
// concealed and every fifth without jokers. An orderly one has families of hands: neighbouring or like ranks in one to three
// suits, with group sizes shared out in every way, most of them open, all with jokers, all sliding.
const (
	Clumsy  Character = "clumsy"
	Orderly Character = "orderly"
)

var characters = map[Character]struct {
	name   string
	hands  int
	stream uint64
	// line draws the line of a hand, or "" where nothing comes of it.
	line func(*rand.Rand) string
}{
	Clumsy:  {"Clumsy", 60, 1, clumsyLine},
	Orderly: {"Orderly", 40, 2, orderlyLine},
}

// DrawCharacter draws a card of a character and returns the text of its file. It is neither measured nor balanced; that no
// hand is too plain holds here too. name "" is that of the character. The error wraps [ErrWish].
func DrawCharacter(seed uint64, of Character, name string) (string, error) {
	kind, ok := characters[of]
	if !ok {
		return "", fmt.Errorf("%w: character %q; right would be %s or %s", ErrWish, of, Clumsy, Orderly)
	}
	wish := Wish{Name: kind.name}
	command := fmt.Sprintf("secondpass card compose --seed %d --character %s", seed, of)
	if name != "" && name != kind.name {
		wish.Name = name
		command += fmt.Sprintf(" --name %q", name)
	}
	if err := wish.filled(seed).check(); err != nil {
		return "", err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# %s, a card to try players on, drawn at random by\n#\n#     %s\n#\ncard     %s\n", wish.Name, command, wish.Name)
	rng := rand.New(rand.NewPCG(seed, kind.stream))
	const inSection = 10
	seen := map[string]bool{}
	for n := 0; n < kind.hands; {
		line := kind.line(rng)
		if line == "" || seen[line] || !stands(line) {
			continue
		}
		seen[line] = true
		if n%inSection == 0 {
			fmt.Fprintf(&b, "\nsection  %c\n", 'A'+n/inSection)
		}
		b.WriteString(line + "\n")
		n++
	}
	return b.String(), nil
}

// stands says that a line is a hand and not too plain.
func stands(line string) bool {
	c, _, err := card.Read("line", []byte(poolHead+line+"\n"), tile.Usual)
	return err == nil && plain.Hand(c, 0) == ""
}

func clumsyLine(rng *rand.Rand) string {
	var words []string
	for left := handTiles; left > 0; {
		size := min(left, []int{1, 1, 1, 2, 2, 3, 3, 4}[rng.IntN(8)])
		left -= size
		words = append(words, anyGroup(rng, size))
	}
	line := fmt.Sprintf("%d %s %s", 25+5*rng.IntN(6), []string{"exposed", "concealed"}[rng.IntN(2)], strings.Join(words, " "))
	if rng.IntN(5) == 0 {
		line += " ; no jokers"
	}
	return line
}

// anyGroup is so many equal tiles: of a suit and rank, or of an honour.
func anyGroup(rng *rand.Rand, size int) string {
	if rng.IntN(4) == 0 {
		return strings.Repeat(string(honours[rng.IntN(len(honours))]), size)
	}
	return strings.Repeat(string(rune('1'+rng.IntN(9))), size) + string("xyz"[rng.IntN(3)])
}

func orderlyLine(rng *rand.Rand) string {
	var words []string
	left, rank, step := handTiles, 1, rng.IntN(2)
	if flowers := []int{0, 2, 3, 4}[rng.IntN(4)]; flowers > 0 {
		words = append(words, strings.Repeat("F", flowers))
		left -= flowers
	}
	suits := 1 + rng.IntN(3)
	for n := 0; left > 0; n++ {
		size := min(left, 2+rng.IntN(3))
		if left-size == 1 {
			size = left
		}
		if rank > 5 || size > 4 {
			return ""
		}
		words = append(words, strings.Repeat(string(rune('0'+rank)), size)+string("xyz"[n%suits]))
		left -= size
		rank += step
	}
	concealed := []string{"exposed", "exposed", "exposed", "concealed"}[rng.IntN(4)]
	return fmt.Sprintf("%d %s %s ; slide", 25+5*rng.IntN(4), concealed, strings.Join(words, " "))
}
