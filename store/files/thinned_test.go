package files

import (
	"slices"
	"testing"
	"time"

	"secondpass/store"
)

// Two years of work on a card leave a bounded history: the last fifty texts, and before those the last one of each day.
func TestHistoryIsThinnedOut(t *testing.T) {
	var list []store.CardText
	at := time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)
	for day := range 730 {
		for n := range 3 {
			list = slices.Insert(list, 0, store.CardText{Number: 3*day + n + 1, Kept: at.AddDate(0, 0, day).Add(time.Duration(n) * time.Hour)})
			for _, t := range tooMany(list, -1) {
				list = slices.Delete(list, slices.Index(list, t), slices.Index(list, t)+1)
			}
		}
	}
	if len(list) != historyMost {
		t.Fatalf("%d texts", len(list))
	}
	for i, e := range list {
		if i < historyWhole && e.Number != 3*730-i {
			t.Errorf("text %d from the last is %d", i, e.Number)
		}
		if i > historyWhole+2 && e.Number%3 != 0 {
			t.Errorf("text %d from the last is not that of an evening", i)
		}
	}
	if gone := tooMany(list, list[3].Number); len(gone) != 1 || gone[0] != list[3] {
		t.Errorf("the one that is replaced: %v", gone)
	}
}
