package files

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"secondpass/store"
)

// cards is the user's own cards: cards/NAME.card.
type cards struct{ dir string }

func (c cards) path(name string) string { return filepath.Join(c.dir, name+store.CardExt) }

// Where is the file of a card, or the folder of them all.
func (c cards) Where(name string) string {
	if name == "" {
		return c.dir
	}
	return c.path(name)
}

func (c cards) draftPath(name string) string { return c.path(name) + ".draft" }

// List is the names of the cards, in alphabetical order.
func (c cards) List() ([]string, error) {
	files, err := os.ReadDir(c.dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	var names []string
	for _, f := range files {
		if name, ok := strings.CutSuffix(f.Name(), store.CardExt); ok && !f.IsDir() {
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
	return os.ReadFile(c.path(name))
}

// Save keeps the text of a card in place of what was there.
func (c cards) Save(name string, text []byte) error {
	if err := store.CheckCardName(name); err != nil {
		return err
	}
	return Write(c.path(name), text)
}

// Delete puts a card away, with its draft, under a name that List does not show; Restore brings it back.
func (c cards) Delete(name string) error {
	if err := store.CheckCardName(name); err != nil {
		return err
	}
	if err := os.Rename(c.path(name), c.path(name)+deletedExt); err != nil {
		return err
	}
	// A draft left behind would hide the text of the next card of the name, one put away before would come back with this.
	if err := os.Remove(c.draftPath(name) + deletedExt); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return renameIfThere(c.draftPath(name), c.draftPath(name)+deletedExt)
}

// Restore brings back a deleted card; the error says so where another has got its name meanwhile.
func (c cards) Restore(name string) error {
	if err := store.CheckCardName(name); err != nil {
		return err
	}
	if _, err := os.Stat(c.path(name)); err == nil {
		return fmt.Errorf("%q: %w", name, store.ErrNameTaken)
	}
	if err := os.Rename(c.path(name)+deletedExt, c.path(name)); err != nil {
		return err
	}
	return renameIfThere(c.draftPath(name)+deletedExt, c.draftPath(name))
}

func renameIfThere(from, to string) error {
	if err := os.Rename(from, to); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}

// SaveDraft keeps text of a card that has errors beside the last text without; an empty text drops the draft.
func (c cards) SaveDraft(name string, text []byte) error {
	if err := store.CheckCardName(name); err != nil {
		return err
	}
	path := c.draftPath(name)
	if len(text) == 0 {
		if err := os.Remove(path); !errors.Is(err, os.ErrNotExist) {
			return err
		}
		return nil
	}
	return Write(path, text)
}

// Draft is the text with errors that was left last; ok is false where there is none.
func (c cards) Draft(name string) (text []byte, ok bool) {
	text, err := os.ReadFile(c.draftPath(name))
	return text, err == nil
}
