//go:build unix

package drill

import (
	"context"
	"flag"
	"fmt"
	"slices"
	"syscall"
	"testing"
	"time"

	"secondpass/rules/card"
)

var (
	themeSeeds = flag.Int("themeseeds", 0, "search five drills of each of five themes with so many seeds and tell the CPU time")
	themeOnly  = flag.String("themeonly", "", "only this theme")
)

// TestThemesAreFoundSoon finds five drills of flowers, jokers, multiples, one suit and a section, each from ten seeds on, in 60 CPU seconds
// on the median. It says what each search took as soon as it is over.
//
//	go test ./teach/drill -run TestThemesAreFoundSoon -themeseeds 10 -v -timeout 3h
func TestThemesAreFoundSoon(t *testing.T) {
	if *themeSeeds == 0 {
		t.Skip("only with -themeseeds: it takes an hour")
	}
	m := maker(t)
	for _, theme := range []Theme{Flowers, Jokers, Multiples, OneSuit, Theme(sectionTheme + card.Practice().Sections[0])} {
		if *themeOnly != "" && Theme(*themeOnly) != theme {
			continue
		}
		var took []time.Duration
		for seed := range uint64(*themeSeeds) {
			s := Search{Maker: m, Seed: seed + 1, Each: EachKind(5, 0), Total: 5, Deals: 2000, Filter: Filter{Theme: theme}}
			begun := cpuTime(t)
			found, err := s.Run(context.Background(), 0, nil)
			if err != nil || len(found.Drills) < 5 {
				t.Errorf("%s, seed %d: %d drills, %v", theme, s.Seed, len(found.Drills), err)
			}
			took = append(took, cpuTime(t)-begun)
			deals := map[uint64]bool{}
			for _, d := range found.Drills {
				deals[d.Origin.Deal] = true
			}
			fmt.Printf("%s, seed %d: %d drills out of %d deals in %.1f CPU seconds\n", theme, s.Seed, len(found.Drills), len(deals), took[seed].Seconds())
		}
		slices.Sort(took)
		n := len(took)
		median := (took[(n-1)/2] + took[n/2]) / 2
		fmt.Printf("%s: median of %d seeds %.1f CPU seconds, %.1f to %.1f\n", theme, n, median.Seconds(), took[0].Seconds(), took[n-1].Seconds())
		if median > time.Minute {
			t.Errorf("five drills of the theme %s take %s of CPU time", theme, median)
		}
	}
}

// cpuTime is what the process has used of all cores.
func cpuTime(t *testing.T) time.Duration {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
