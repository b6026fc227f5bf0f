package experiment_test

import (
	"context"
	"testing"
)

// BenchmarkDeals measures deals a second of two ways, on all cores, by how much of a game is played.
func BenchmarkDeals(b *testing.B) {
	const ways = "\nway \"a\" strong\nway \"b\" strong+no-pairs\n"
	for _, row := range []struct{ name, text string }{
		{"passing", "experiment B\nmeasure spares best\nclaim more by 1" + ways},
		{"games", "experiment B\nmeasure win\nclaim more by 1 %" + ways},
		{"games/two-plans", "experiment B\npopulation two plans\nmeasure win\nclaim more by 1 %" + ways},
		{"games/plain-others", "experiment B\nothers nearest\nmeasure win\nclaim more by 1 %" + ways},
	} {
		b.Run(row.name, func(b *testing.B) {
			r := start(b, read(b, row.text), 1, max(64, b.N))
			b.ReportAllocs()
			b.ResetTimer()
			if err := r.Run(context.Background(), nil); err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(r.Deals)/b.Elapsed().Seconds(), "deals/s")
		})
	}
}
