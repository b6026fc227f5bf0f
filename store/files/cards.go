package files

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"sort"
	"strings"

	"secondpass/store"
)

// cards is the user's own cards: cards/NAME.card.
type cards struct{ room Room }

func (c cards) path(name string) string { return "cards/" + name + store.CardExt }

// Where is the file of a card, or the folder of them all.
func (c cards) Where(name string) string {
	if name == "" {
		return c.room.Where("cards")
	}
	return c.room.Where(c.path(name))
}

func (c cards) draftPath(name string) string { return c.path(name) + ".draft" }

// List is the names of the cards, in alphabetical order.
func (c cards) List() ([]string, error) {
	files, err := c.room.List("cards")
	if err != nil {
		return nil, err
	}
	var names []string
	for _, f := range files {
		if name, ok := strings.CutSuffix(f.Name, store.CardExt); ok && !f.Folder {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	return names, nil
}

// Text is the text of a card.
func (c cards) Text(name string) ([]byte, error) {
	if err := store.CheckCardName(name); err != nil {
		return nil, errors.Join(os.ErrNotExist, err)
	}
	return c.room.Read(c.path(name))
}

// Revision names what stands under a name now.
func (c cards) Revision(name string) string {
	text, err := c.Text(name)
	if err != nil {
		return ""
	}
	draft, _ := c.Draft(name)
	sum := sha256.New()
	fmt.Fprintf(sum, "%d\n%s%s", len(text), text, draft)
	return hex.EncodeToString(sum.Sum(nil)[:12])
}

// Keep keeps a text with its draft where nobody has changed them since they were seen.
func (c cards) Keep(name, seen string, text, draft []byte) (revision string, err error) {
	return c.keep(name, seen, text, draft, false)
}

// KeepApart is Keep, and leaves what was kept last in the history.
func (c cards) KeepApart(name, seen string, text, draft []byte) (revision string, err error) {
	return c.keep(name, seen, text, draft, true)
}

func (c cards) keep(name, seen string, text, draft []byte, apart bool) (revision string, err error) {
	if err := store.CheckCardName(name); err != nil {
		return "", err
	}
	err = c.room.Alone(func(r Room) (err error) {
		revision, err = cards{r}.keepAlone(name, seen, text, draft, apart)
		return err
	})
	return revision, err
}

// keepAlone is keep while nobody else keeps anything.
func (c cards) keepAlone(name, seen string, text, draft []byte, apart bool) (revision string, err error) {
	if c.Revision(name) != seen {
		return "", store.ErrCardChanged
	}
	kept := text
	if len(draft) > 0 {
		kept = draft
	}
	if err := c.remember(name, kept, apart); err != nil {
		return "", err
	}
	if text != nil {
		if err := c.room.Write(c.path(name), text); err != nil {
			return "", err
		}
	}
	if err := c.saveDraft(name, draft); err != nil {
		return "", err
	}
	return c.Revision(name), nil
}

// Delete puts a card away, with its draft and its history, under a name that List does not show; Restore brings it back.
func (c cards) Delete(name string) error {
	if err := store.CheckCardName(name); err != nil {
		return err
	}
	return c.room.Alone(func(r Room) error { return putAway(r, c.path(name), c.draftPath(name), c.historyPath(name)) })
}

// Restore brings back the card of a name that was deleted last; the error says so where another has got its name
// meanwhile.
func (c cards) Restore(name string) error {
	if err := store.CheckCardName(name); err != nil {
		return err
	}
	return c.room.Alone(func(r Room) error {
		if isThere(r, c.path(name)) {
			return fmt.Errorf("%q: %w", name, store.ErrNameTaken)
		}
		return bringBack(r, c.path(name), c.draftPath(name), c.historyPath(name))
	})
}

// saveDraft keeps text of a card that has errors beside the last text without; an empty text drops the draft.
func (c cards) saveDraft(name string, text []byte) error {
	path := c.draftPath(name)
	if len(text) == 0 {
		if err := c.room.Remove(path); !errors.Is(err, os.ErrNotExist) {
			return err
		}
		return nil
	}
	return c.room.Write(path, text)
}

// Draft is the text with errors that was left last; ok is false where there is none.
func (c cards) Draft(name string) (text []byte, ok bool) {
	text, err := c.room.Read(c.draftPath(name))
	return text, err == nil
}
