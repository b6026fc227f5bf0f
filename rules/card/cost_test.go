package card_test

import (
	"fmt"
	"runtime"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// allocated is how many bytes work takes from the heap, whether it gives them back or not.
func allocated(work func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	work()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// Whatever is in a card file, reading it costs a bounded amount of memory, and of time with it, and what is too much is said
// with what would be right.
func TestWhatACardMayCost(t *testing.T) {
	const most = 64 << 20
	head := "card C\nsection S\n"
	ranks := func(suit string) string {
		var words []string
		for n := 1; n <= 9; n++ {
			words = append(words, fmt.Sprint(n)+suit)
		}
		return "(" + strings.Join(words, "|") + ")"
	}
	for what, c := range map[string]struct{ text, says string }{
		"many variants":          {head + "25 exposed " + ranks("x") + ranks("x") + ranks("y") + ranks("y") + ranks("z") + " NEWS RR GG F\n", "more than"},
		"the same variant again": {head + "25 exposed " + strings.Repeat("(1x|1x|1x|1x)", 8) + " NEWS RR ; no jokers\n", "more than"},
		"many such lines":        {head + strings.Repeat("25 exposed "+strings.Repeat("(1x|1x|1x|1x)", 8)+" NEWS RR\n", 2000), "more than"},
		"an error in each line":  {strings.Repeat("x\n", 100_000), "more errors"},
		"a long file":            {head + strings.Repeat("# nothing\n", 1_000_000), "bytes"},
		"a long line":            {head + "25 exposed " + strings.Repeat("(1x|2x)", 30_000) + "\n", "14 tiles"},
		"a long alternative":     {head + "25 exposed (" + strings.Repeat("1x|", 60_000) + "1x) NEWS NEWS NEWS N\n", ""},
	} {
		var err error
		if used := allocated(func() { _, _, err = card.Read("x", []byte(c.text), tile.Usual) }); used > most {
			t.Errorf("%s: %d MB for %d bytes of text", what, used>>20, len(c.text))
		}
		if c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says) || len(err.Error()) > 50_000) {
			t.Errorf("%s: an error of %d bytes: %.300v", what, len(fmt.Sprint(err)), err)
		}
	}
}
