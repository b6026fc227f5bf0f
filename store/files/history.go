package files

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"secondpass/store"
)

// The texts of a card are kept beside the cards, history/NAME/NUMBER-TIME.earlier, also the one that is there now.
const (
	historyFolder = "history"
	earlierExt    = ".earlier"
	earlierTime   = "20060102T150405Z"
)

const (
	// sitting is for how long what is typed on takes the place of the text kept last, and littleGone how many bytes of that
	// may be gone then: what was cleared by mistake is not typed on.
	sitting    = time.Minute
	littleGone = 100
	// historyWhole is how many texts are kept whatever their age, the last first; of those before the last one of each day, and
	// historyMost in all.
	historyWhole, historyMost = 50, 200
)

func (c cards) historyPath(name string) string { return "cards/" + historyFolder + "/" + name }

// History is the texts that were kept of a card, the last first.
func (c cards) History(name string) ([]store.CardText, error) {
	if err := store.CheckCardName(name); err != nil {
		return nil, err
	}
	entries, err := c.room.List(c.historyPath(name))
	if err != nil {
		return nil, err
	}
	var list []store.CardText
	for _, e := range entries {
		if t, ok := cardTextOf(e.Name); ok {
			list = append(list, t)
		}
	}
	slices.SortFunc(list, func(a, b store.CardText) int { return b.Number - a.Number })
	return list, nil
}

// cardTextOf reads the name of a file of the history.
func cardTextOf(file string) (t store.CardText, ok bool) {
	base, ours := strings.CutSuffix(file, earlierExt)
	number, at, apart := strings.Cut(base, "-")
	if _, err := fmt.Sscanf(number, "%d", &t.Number); err != nil || !ours || !apart || t.Number < 1 {
		return t, false
	}
	kept, err := time.Parse(earlierTime, at)
	t.Kept = kept
	return t, err == nil && earlierName(t) == file
}

func earlierName(t store.CardText) string {
	return fmt.Sprintf("%06d-%s%s", t.Number, t.Kept.UTC().Format(earlierTime), earlierExt)
}

// HistoryText is a text of the history by its number.
func (c cards) HistoryText(name string, number int) ([]byte, error) {
	list, err := c.History(name)
	if err != nil {
		return nil, err
	}
	for _, t := range list {
		if t.Number == number {
			return c.textOf(name, t)
		}
	}
	return nil, fmt.Errorf("card %q has no text of number %d in its history: %w", name, number, os.ErrNotExist)
}

func (c cards) textOf(name string, t store.CardText) ([]byte, error) {
	return c.room.Read(c.historyPath(name) + "/" + earlierName(t))
}

// remember puts what is there now into the history, where it was put there by another program, and then what is to be kept: in place
// of the last text where that is being typed on, unless it is kept apart.
func (c cards) remember(name string, kept []byte, apart bool) error {
	list, err := c.History(name)
	if err != nil {
		return err
	}
	text, _ := c.Text(name)
	draft, _ := c.Draft(name)
	for _, there := range [][]byte{text, draft} {
		if len(there) > 0 && !c.knows(name, list, there) {
			if list, err = c.addEarlier(name, list, there); err != nil {
				return err
			}
			apart = true
		}
	}
	replaced := -1
	if len(list) > 0 {
		last, err := c.textOf(name, list[0])
		if err == nil && bytes.Equal(last, kept) {
			return nil
		}
		since := c.room.Now().Sub(list[0].Kept)
		if err == nil && !apart && since >= 0 && since < sitting && gone(last, kept) <= littleGone {
			replaced = list[0].Number
		}
	}
	if list, err = c.addEarlier(name, list, kept); err != nil {
		return err
	}
	for _, t := range tooMany(list, replaced) {
		c.room.Remove(c.historyPath(name) + "/" + earlierName(t)) // one that stays is one more to look at
	}
	return nil
}

// knows says whether a text is one of the last two of the history, those of a card and its draft.
func (c cards) knows(name string, list []store.CardText, text []byte) bool {
	for _, t := range list[:min(len(list), 2)] {
		if kept, err := c.textOf(name, t); err == nil && bytes.Equal(kept, text) {
			return true
		}
	}
	return false
}

func (c cards) addEarlier(name string, list []store.CardText, text []byte) ([]store.CardText, error) {
	t := store.CardText{Number: 1, Kept: c.room.Now()}
	if len(list) > 0 {
		t.Number = list[0].Number + 1
	}
	return slices.Insert(list, 0, t), c.room.Write(c.historyPath(name)+"/"+earlierName(t), text)
}

// gone is how many bytes of a text are not in the one that comes after it, where both are the same before and behind.
func gone(text, after []byte) int {
	same := 0
	for same < min(len(text), len(after)) && text[same] == after[same] {
		same++
	}
	text, after = text[same:], after[same:]
	behind := 0
	for behind < min(len(text), len(after)) && text[len(text)-1-behind] == after[len(after)-1-behind] {
		behind++
	}
	return len(text) - behind
}

// tooMany is which texts of a list are let go, the one replaced among them.
func tooMany(list []store.CardText, replaced int) (drop []store.CardText) {
	kept, day := 0, ""
	for _, t := range list {
		of := t.Kept.UTC().Format("20060102")
		if t.Number == replaced || kept >= historyMost || kept >= historyWhole && of == day {
			drop = append(drop, t)
			continue
		}
		kept, day = kept+1, of
	}
	return drop
}
