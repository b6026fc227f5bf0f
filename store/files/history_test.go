package files_test

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"secondpass/store/files"
)

// history wants the texts of a card, the last first.
func (d deck) history(want ...string) {
	d.Helper()
	list, err := d.History("Mine")
	d.must(err)
	var got []string
	for _, t := range list {
		text, err := d.HistoryText("Mine", t.Number)
		d.must(err)
		got = append(got, string(text))
	}
	if fmt.Sprintf("%.60q", got) != fmt.Sprintf("%.60q", want) {
		d.Errorf("the history is %.60q, wanted %.60q", got, want)
	}
}

// What was kept of a card can be had again: of what is typed in one go its last text, what was cleared by mistake, drafts, and
// what another program had put there before it was overwritten.
func TestHistoryOfACard(t *testing.T) { everywhere(t, testHistoryOfACard) }

func testHistoryOfACard(t *testing.T, room, _ files.Room) {
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	c := deck{t, files.On(later{room, &now}, nil).Cards}
	c.history()
	first := strings.Repeat("a hand of this card\n", 20)
	c.keep(first, "")
	for i := range len("typed") {
		now = now.Add(200 * time.Millisecond)
		c.keep(first+"typed"[:i+1], "")
	}
	c.history(first + "typed")
	c.keep(first+"typed", "") // the same again is no other text
	now = now.Add(2 * time.Minute)
	c.keep(first+"typed later", "")
	c.history(first+"typed later", first+"typed")
	c.keep(first+"typed later", "x") // all of it cleared, and a letter
	c.history("x", first+"typed later", first+"typed")
	c.must(room.Write("cards/Mine.card", []byte("by another program")))
	c.keep("over it", "")
	c.history("over it", "by another program", "x", first+"typed later", first+"typed")
	_, err := c.KeepApart("Mine", c.Revision("Mine"), []byte("over"), nil)
	c.must(err)
	c.history("over", "over it", "by another program", "x", first+"typed later", first+"typed")
	if _, err := c.HistoryText("Mine", 99); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a text that never was: %v", err)
	}
	// It goes and comes back with the card.
	c.must(c.Delete("Mine"))
	c.history()
	c.keep("another card", "")
	c.history("another card")
	c.must(c.Delete("Mine"))
	c.must(c.Restore("Mine"))
	c.history("another card")
}
