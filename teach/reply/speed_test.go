//go:build unix

package reply

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"syscall"
	"testing"
	"time"

	"secondpass/exercise"
	"secondpass/rules/charleston"
)

func BenchmarkRead(b *testing.B) {
	e := dealt(b, charleston.South, exercise.MockPasses, 1)
	code, err := Code(e, walkAtRandom(b, e, 12, rand.New(rand.NewPCG(6, 1))))
	if err != nil {
		b.Fatal(err)
	}
	reader := NewReader(e)
	for b.Loop() {
		if _, err := reader.Read(code); err != nil {
			b.Fatal(err)
		}
	}
}

// 10,000 readers in one text: codes found, checked and walked by the rules; and counted as well, all with other racks.
func BenchmarkTenThousand(b *testing.B) {
	e := dealt(b, charleston.South, exercise.MockPasses, 1)
	rng := rand.New(rand.NewPCG(7, 1))
	var text strings.Builder
	for n := range 10_000 {
		own := e.Fresh()
		code, err := Code(own, walkAtRandom(b, own, 12, rng))
		if err != nil {
			b.Fatal(err)
		}
		fmt.Fprintf(&text, "Reader %d: %s\n", n, code)
	}
	b.Run("read", func(b *testing.B) {
		defer reportCPU(b, processorTime(b))
		for b.Loop() {
			Collect(e, text.String())
		}
	})
	replies := Collect(e, text.String())
	b.Run("count", func(b *testing.B) {
		defer reportCPU(b, processorTime(b))
		for b.Loop() {
			if tally, err := Count(replies); err != nil || tally.Readers != 10_000 {
				b.Fatal(tally, err)
			}
		}
	})
}

// reportCPU is the processor time of an operation, on all cores, which other work on the machine does not lengthen.
func reportCPU(b *testing.B, from float64) {
	b.ReportMetric((processorTime(b)-from)/float64(b.N), "cpu-s/op")
}

func processorTime(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()).Seconds()
}
