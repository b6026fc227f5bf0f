package cardreport

import (
	"testing"

	"secondpass/engine/sim"
	"secondpass/rules/card"
)

// BenchmarkDeals reads shards of random deals against the practice card on one core.
func BenchmarkDeals(b *testing.B) {
	read := survey(b, settings(card.Practice())).dealReader()
	for i := 0; b.Loop(); i++ {
		if _, err := read(sim.Shard{First: i * sim.ShardGames, Count: sim.ShardGames}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*sim.ShardGames)/b.Elapsed().Seconds(), "deals/s")
}
