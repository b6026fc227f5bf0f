package sheet

import (
	"fmt"
	"testing"
)

// A fresh exercise has a row or two, fewer than a wide picture has blocks; no block may be left without rows.
func TestFewRowsMakeFewerBlocks(t *testing.T) {
	for n := 1; n <= 6; n++ {
		for keep := range 1 << n {
			for blocks := 1; blocks <= mostBlocks; blocks++ {
				rows := make([]row, n)
				for i := range rows {
					rows[i] = row{height: float64(60 + 40*(i%3)), keep: keep>>i&1 == 1}
				}
				t.Run(fmt.Sprintf("%d rows, %b keep, %d blocks", n, keep, blocks), func(t *testing.T) {
					total := 0
					for _, part := range blocksOf(rows, blocks) {
						if len(part) == 0 {
							t.Fatal("an empty block")
						}
						total += len(part)
					}
					if total != n {
						t.Errorf("%d rows in the blocks", total)
					}
				})
			}
		}
	}
}
