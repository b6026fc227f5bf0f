package fit

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"secondpass/internal/oracle"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// TestAwayAgainstIntegerProgram compares away with an optimum that knows nothing of our method:
// put naturals and jokers of the rack into the groups of the variant so that as many places as possible are
// filled, naturals only where they belong, jokers only in groups of three or more of hands that
// take them. GLPK solves it; 14 less the optimum is away.
func TestAwayAgainstIntegerProgram(t *testing.T) {
	const pairs = 400
	x := New(card.Practice())
	rng := rand.New(rand.NewPCG(2026, 400))
	var p program
	racks, variants := make([]tile.Rack, pairs), make([]int, pairs)
	jokers := 0
	for i := range pairs {
		racks[i] = randomRack(x, 13+i%2, rng)
		variants[i] = rng.IntN(x.Len())
		if i%2 == 0 { // every other pair is one of the nearest hands, where jokers are used up
			hands := x.Hands(racks[i])
			variants[i] = hands[rng.IntN(5)].Variant
		}
		if racks[i][tile.Joker] > 0 {
			jokers++
		}
		p.add(i, x.card, variants[i], racks[i])
	}
	if jokers < pairs/4 {
		t.Fatalf("only %d racks with jokers", jokers)
	}
	filled := make([]int, pairs)
	for name, v := range oracle.Solve(t, p.model()) {
		var kind string
		var pair, group int
		if _, err := fmt.Sscanf(name, "%1s%d_%d", &kind, &pair, &group); err != nil {
			t.Fatalf("variable %q: %v", name, err)
		}
		filled[pair] += int(v)
	}
	for i := range pairs {
		r := Read(x.card, variants[i], racks[i])
		if want := card.HandTiles - filled[i]; r.Away != want {
			t.Errorf("%s for %v: %d away, the integer program says %d", racks[i], r.Groups(), r.Away, want)
		}
	}
}

// program gathers the integer programs of all pairs into one: they share no variable, so the sum
// is greatest when each part is.
type program struct {
	objective, constraints, integers []string
}

func (p *program) add(pair int, c *card.Card, v int, rack tile.Rack) {
	variant := &c.Variants[v]
	byKind := map[tile.Kind][]string{}
	var jokers []string
	for g, group := range variant.Groups {
		natural, joker := fmt.Sprintf("n%d_%d", pair, g), fmt.Sprintf("j%d_%d", pair, g)
		p.objective = append(p.objective, natural)
		p.integers = append(p.integers, natural)
		byKind[group.Kind] = append(byKind[group.Kind], natural)
		fill := natural
		if c.Hands[variant.Hand].Jokers && group.Size >= 3 {
			p.objective = append(p.objective, joker)
			p.integers = append(p.integers, joker)
			jokers = append(jokers, joker)
			fill += " + " + joker
		}
		p.constraints = append(p.constraints, fmt.Sprintf("%s <= %d", fill, group.Size))
	}
	for k, names := range byKind {
		p.constraints = append(p.constraints, fmt.Sprintf("%s <= %d", strings.Join(names, " + "), rack[k]))
	}
	if len(jokers) > 0 {
		p.constraints = append(p.constraints, fmt.Sprintf("%s <= %d", strings.Join(jokers, " + "), rack[tile.Joker]))
	}
}

func (p *program) model() string {
	return "Maximize\n obj: " + strings.Join(p.objective, "\n + ") +
		"\nSubject To\n " + strings.Join(p.constraints, "\n ") +
		"\nGeneral\n " + strings.Join(p.integers, "\n ") + "\nEnd\n"
}
