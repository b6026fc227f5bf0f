package fit

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// atLevel runs a test with the kernels of a level; tests that run beside each other must not use it.
func atLevel(t testing.TB, l level) {
	before := using
	t.Cleanup(func() { using = before })
	using = l
}

// Everything that has kernels gives what Go alone gives, at every level that this processor has: on cards of a few
// variants and of all, for racks of nothing, racks far from every hand, complete hands and racks of jokers, and for weights
// that need one byte and four, for hands that lack few singles and many.
func TestLevelsAgree(t *testing.T) {
	if fastest == portable {
		t.Skip("this processor has no kernels but those in Go")
	}
	for _, size := range []int{1, 2, 3, 57} {
		for _, weights := range [][2]float64{{.12, .2}, {1, 1}, {.9, .95}, {.001, .001}} {
			t.Run(fmt.Sprint(size, weights), func(t *testing.T) {
				for seed := range uint64(6) {
					checkLevels(t, size, NewWeights(weights[0], weights[1], tile.UsualJokers), seed, 40)
				}
			})
		}
	}
}

func FuzzLevels(f *testing.F) {
	f.Add(uint64(1), uint8(3), .12, .2)
	f.Add(uint64(2), uint8(60), 1., 1.)
	f.Fuzz(func(t *testing.T, seed uint64, size uint8, single, group float64) {
		if !(single > 0 && single <= 1 && group > 0 && group <= 1) {
			t.Skip("weights are above 0 and at most 1")
		}
		checkLevels(t, max(int(size), 1), NewWeights(single, group, tile.UsualJokers), seed, 4)
	})
}

// checkLevels compares all levels on racks for so many hands of the practice card, picked at random.
func checkLevels(t *testing.T, hands int, w *Weights, seed uint64, racks int) {
	t.Helper()
	c, rng := card.Practice(), rand.New(rand.NewPCG(seed, 3))
	picked := rng.Perm(len(c.Hands))
	x := Of(c, picked[:min(hands, len(picked))])
	var tests []tile.Rack
	for len(tests) < racks {
		tests = append(tests, hostileRack(x, rng))
	}
	atLevel(t, portable)
	want := answersTo(x, w, tests)
	for using = portable + 1; using <= fastest; using++ {
		for i, got := range answersTo(x, w, tests) {
			if got != want[i] {
				t.Fatalf("%d variants, %s at level %s:\n%s\nGo alone:\n%s", x.Len(), tests[i], using, got, want[i])
			}
		}
	}
}

// hostileRack is a rack that a table may never see: of no tiles, of one kind, of jokers, complete, or of 16 tiles.
func hostileRack(x *Index, rng *rand.Rand) tile.Rack {
	switch n := x.needs[rng.IntN(len(x.needs))]; rng.IntN(6) {
	case 0:
		return tile.Rack{tile.Joker: uint8(rng.IntN(9))}
	case 1:
		r := n.single.Plus(n.group)
		for k := range naturals { // what a set has not enough of stands in with jokers
			more := r[k] - min(r[k], tile.Usual[k])
			r[k], r[tile.Joker] = r[k]-more, r[tile.Joker]+more
		}
		return r
	case 2:
		var r tile.Rack
		for range 3 {
			r[rng.IntN(naturals)] = 4
		}
		r[tile.Joker] = uint8(rng.IntN(5))
		return r
	case 3:
		return randomRack(x, 16, rng)
	}
	return randomRack(x, 13+rng.IntN(2), rng)
}

// answersTo is all that the kernels are for, one line a rack.
func answersTo(x *Index, w *Weights, racks []tile.Rack) []string {
	r, tracker := NewRater(x), NewTracker(x)
	var out []string
	for i := range racks {
		rack := &racks[i]
		var discards [tile.Kinds]int64
		value := r.Discards(w, rack, &discards)
		near, options := r.Nearest(rack, 5, nil)
		var hands []int
		for _, h := range near {
			hands = append(hands, h.Hand, h.Away)
		}
		var passes []Pass
		if distinct(rack) <= maxUnits {
			passes = r.Passes(w, rack, nil)
		}
		nearest, away := tracker.Nearest(rack, nil)
		within, least := tracker.Within(rack, Cost{4, 3}, 9, 50, nil)
		all, _ := tracker.Within(rack, Cost{8, 8}, maxSlack, 0, nil)
		out = append(out, fmt.Sprintln(r.Away(rack), r.Value(w, rack), value, discards, hands, options, passes, nearest, away, within, least, all))
	}
	return out
}

// distinct is the number of units that a pass can be chosen from.
func distinct(r *tile.Rack) (n int) {
	for _, c := range r[:naturals] {
		n += min(int(c), PassTiles)
	}
	return n
}

// What is switched off by the setting that the processor's features have is not used, and the answers stay.
func TestLevelsCanBeSwitchedOff(t *testing.T) {
	if want := os.Getenv("FIT_LEVEL_WANTED"); want != "" {
		if using.String() != want {
			t.Errorf("%s kernels are used, want %s", using, want)
		}
		return
	}
	if fastest == portable {
		t.Skip("this processor has no kernels but those in Go")
	}
	for setting, most := range map[string]level{"cpu.avx512vbmi=off": withAVX2, "cpu.avx512vbmi=off,cpu.avx2=off": portable} {
		cmd := exec.Command(os.Args[0], "-test.run", "TestLevelsCanBeSwitchedOff|TestRaterAgrees", "-rapid.checks", "10")
		cmd.Env = append(os.Environ(), "GODEBUG="+setting, "FIT_LEVEL_WANTED="+most.String())
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", setting, err, out)
		}
	}
}

// The assembly in the repository is what the generator makes.
func TestAssemblyIsCurrent(t *testing.T) {
	for pkg, folder := range map[string]string{"fit": ".", "player": "../player"} {
		dir := t.TempDir()
		names := []string{"kernels_amd64.s", "kernels_amd64.go"}
		cmd := exec.Command("go", "run", "../../internal/kernels", "-out", filepath.Join(dir, names[0]), "-stubs", filepath.Join(dir, names[1]), "-pkg", pkg)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		for _, name := range names {
			have, err := os.ReadFile(filepath.Join(folder, name))
			if err != nil {
				t.Fatal(err)
			}
			made, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			body := func(text []byte) []string { return strings.Split(string(text), "\n")[1:] } // but for the line that names the command
			if !slices.Equal(body(have), body(made)) {
				t.Errorf("%s is not what go generate ./engine/%s makes", name, pkg)
			}
		}
	}
}

// Kernels do without memory of the heap.
func TestKernelsDoNotAllocate(t *testing.T) {
	x, w := New(card.Practice()), NewWeights(.12, .2, tile.UsualJokers)
	r, tracker := NewRater(x), NewTracker(x)
	rack := randomRack(x, 14, rand.New(rand.NewPCG(4, 4)))
	passes, list := r.Passes(w, &rack, nil), make([]int32, 0, x.Len())
	for l := portable; l <= fastest; l++ {
		atLevel(t, l)
		var out [tile.Kinds]int64
		if n := testing.AllocsPerRun(20, func() {
			r.Away(&rack)
			r.Discards(w, &rack, &out)
			passes = r.Passes(w, &rack, passes[:0])
			list, _ = tracker.Within(&rack, AwayCost, 2, 0, list[:0])
			list, _ = tracker.Nearest(&rack, list[:0])
		}); n != 0 {
			t.Errorf("%s: %g allocations", l, n)
		}
	}
}
