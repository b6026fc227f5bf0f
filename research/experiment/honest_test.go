package experiment_test

import (
	"context"
	"flag"
	"fmt"
	"runtime"
	"testing"

	"secondpass/research/experiment"
)

var (
	nulls     = flag.Int("nulls", 20, "null experiments to run")
	nullDeals = flag.Int("nulldeals", 512, "deals of each null experiment")
	nullPlay  = flag.Bool("nullplay", false, "null experiments also of games won by strong players")
	planted   = flag.Int("planted", 0, "deals at most to find the planted mistake in games won, with and without pairing")
	flat      = flag.Int("flat", 3200, "deals up to which memory and results stay as small as after 1,000")
)

// A way against itself under another name, on deals of its own or with walls of its own, so that the two do differ: looked at
// after every 64 deals, at most 5 % of the experiments may ever call a difference, which is what their intervals promise.
func TestNullExperiments(t *testing.T) {
	measures := map[string]string{"away": "claim more by 0.1\nothers nearest\nway \"a\" nearest\nway \"b\" nearest\n"}
	if *nullPlay {
		measures["win"] = "claim more by 1 %\nothers nearest\nway \"a\" strong\nway \"b\" strong\n"
	}
	for measure, rest := range measures {
		for _, pairing := range []string{"none", "deal"} {
			if measure == "away" && pairing == "deal" {
				continue // the wall does not matter in the passing
			}
			called, differed := 0, 0
			for n := range *nulls {
				r := start(t, read(t, "experiment Null\nmeasure "+measure+"\npairing "+pairing+"\n"+rest), uint64(1000+n), *nullDeals)
				err := r.Run(context.Background(), func() bool {
					return r.Findings()[0].Comparisons[0].Note == experiment.Shown || r.Findings()[0].Comparisons[0].Note == experiment.Opposite
				})
				if err != nil {
					t.Fatal(err)
				}
				c := r.Findings()[0].Comparisons[0]
				if c.Note == experiment.Shown || c.Note == experiment.Opposite {
					called++
				}
				if c.Differ > 0 {
					differed++
				}
			}
			t.Logf("%s, pairing %s: %d of %d null experiments of %d deals ever call a difference", measure, pairing, called, *nulls, *nullDeals)
			if called*20 > *nulls {
				t.Errorf("more than 5 %%")
			}
			if differed != *nulls {
				t.Errorf("in %d experiments the two ways never differ: they show nothing", *nulls-differed)
			}
		}
	}
}

// found runs an experiment of the planted mistake until it is found, and says after how many deals.
func found(t *testing.T, pairing, measure, claim string, deals int) int {
	r := run(t, fmt.Sprintf("experiment Planted\nothers nearest\nmeasure %s\nclaim %s\nuntil verdict\npairing %s\nway \"sound\" strong\nway \"spoils\" strong+spoil=5\n", measure, claim, pairing), 5, deals)
	f := r.Findings()[0]
	t.Logf("%s, pairing %s: %s after %d deals, %+v", measure, pairing, f.Comparisons[0].Verdict, r.Deals, f.Comparisons[0].Difference)
	if f.Comparisons[0].Verdict.String() != "holds" {
		return 0
	}
	return r.Deals
}

// A way that passes its best multiple on purpose in one deal of five is found, and with the same deals for both ways it is
// found earlier than with deals of their own.
func TestPlantedMistake(t *testing.T) {
	paired := found(t, "wall", "away", "more by 0.005", 5120)
	single := found(t, "none", "away", "more by 0.005", 5120)
	if paired == 0 || single > 0 && single <= paired {
		t.Errorf("found after %d deals paired, %d unpaired (0: not found)", paired, single)
	}
	if *planted > 0 {
		paired := found(t, "wall", "win", "less by 0.3 %", *planted)
		single := found(t, "none", "win", "less by 0.3 %", *planted)
		if paired == 0 || single > 0 && single <= paired {
			t.Errorf("games won: found after %d deals paired, %d unpaired (0: not found)", paired, single)
		}
	}
}

// Neither the memory of a run nor its result grows with the number of deals.
func TestFlat(t *testing.T) {
	r := start(t, read(t, head+"measure spares best\nclaim more by 1\nway \"a\" nearest\nway \"b\" flexible\n"), 1, *flat)
	var heap, size [2]int
	err := r.Run(context.Background(), func() bool {
		if at := map[int]int{1024: 1, *flat: 2}[r.Deals]; at > 0 {
			var m runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&m)
			heap[at-1], size[at-1] = int(m.HeapAlloc), len(r.Bytes())
		}
		return false
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("after 1,024 and %d deals: heap %d and %d bytes, result %d and %d bytes", *flat, heap[0], heap[1], size[0], size[1])
	if heap[1] > heap[0]+heap[0]/4 || size[1] > size[0]+500 {
		t.Errorf("it grows")
	}
}
