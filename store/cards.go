package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"secondpass/engine/player"
	"secondpass/rules/card"
)

// CardExt is the ending of card files in the data folder.
const CardExt = ".card"

// Cards is the user's own cards and what was tuned for them, as files in the data folder: cards/NAME.card and
// tuned/FINGERPRINT.json.
type Cards struct{ dir string }

// CardsIn is the cards of a data folder, which need not be there yet.
func CardsIn(dir string) Cards { return Cards{dir} }

// Folder is where the card files stand.
func (c Cards) Folder() string { return filepath.Join(c.dir, "cards") }

// Path is the file of a card; the name must have passed CheckCardName.
func (c Cards) Path(name string) string { return filepath.Join(c.Folder(), name+CardExt) }

func (c Cards) draftPath(name string) string { return c.Path(name) + ".draft" }

// CheckCardName says why a name cannot be that of a card file, or nil.
func CheckCardName(name string) error {
	switch {
	case strings.TrimSpace(name) != name || name == "":
		return fmt.Errorf("card name %q: a name without blanks at its ends is right", name)
	case len(name) > 80:
		return fmt.Errorf("a card name of %d bytes is too long; 80 are the most", len(name))
	case strings.ContainsAny(name, `/\:*?"<>|`) || strings.HasPrefix(name, ".") || strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }):
		return fmt.Errorf(`card name %q: it becomes a file name, so it cannot begin with a dot nor hold any of / \ : * ? " < > |`, name)
	case strings.EqualFold(name, card.Practice().Name):
		return fmt.Errorf("card name %q: the practice card has it; give yours another", name)
	}
	return nil
}

// List is the names of the cards, in alphabetical order.
func (c Cards) List() ([]string, error) {
	files, err := os.ReadDir(c.Folder())
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	var names []string
	for _, f := range files {
		if name, ok := strings.CutSuffix(f.Name(), CardExt); ok && !f.IsDir() {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	return names, nil
}

// Text is the text of a card; the error wraps os.ErrNotExist where there is none of that name.
func (c Cards) Text(name string) ([]byte, error) {
	if err := CheckCardName(name); err != nil {
		return nil, errors.Join(os.ErrNotExist, err)
	}
	return os.ReadFile(c.Path(name))
}

// Save keeps the text of a card in place of what was there; a program that is killed meanwhile leaves the one or
// the other whole.
func (c Cards) Save(name string, text []byte) error {
	if err := CheckCardName(name); err != nil {
		return err
	}
	return WriteWhole(c.Path(name), text)
}

// Delete puts a card away, with its draft, under a name that List does not show; Restore brings it back.
func (c Cards) Delete(name string) error {
	if err := CheckCardName(name); err != nil {
		return err
	}
	if err := os.Rename(c.Path(name), c.Path(name)+deletedExt); err != nil {
		return err
	}
	// A draft left behind would hide the text of the next card of the name, one put away before would come back with this.
	if err := os.Remove(c.draftPath(name) + deletedExt); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return renameIfThere(c.draftPath(name), c.draftPath(name)+deletedExt)
}

// Restore brings back a deleted card; the error says so where another has got its name meanwhile.
func (c Cards) Restore(name string) error {
	if err := CheckCardName(name); err != nil {
		return err
	}
	if _, err := os.Stat(c.Path(name)); err == nil {
		return fmt.Errorf("%q: %w", name, ErrNameTaken)
	}
	if err := os.Rename(c.Path(name)+deletedExt, c.Path(name)); err != nil {
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

// TuningPath is where the tuning of a card is kept: by its hands, whatever the file is called.
func (c Cards) TuningPath(fingerprint string) string {
	return filepath.Join(c.dir, "tuned", fingerprint+".json")
}

// Tuning is what strong players of a card go by: the user's own tuning of it, the one built in, or general values.
func (c Cards) Tuning(crd *card.Card) (player.Tuning, error) {
	path := c.TuningPath(player.Fingerprint(crd))
	data, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		t, _ := player.TuningFor(crd)
		return t, nil
	}
	if err != nil {
		return player.Tuning{}, err
	}
	t, err := player.ReadTuning(data)
	if err != nil {
		return t, fmt.Errorf("%s: %w", path, err)
	}
	return t, nil
}

// SaveDraft keeps text of a card that has errors beside the last text without; an empty text drops the draft.
func (c Cards) SaveDraft(name string, text []byte) error {
	if err := CheckCardName(name); err != nil {
		return err
	}
	path := c.draftPath(name)
	if len(text) == 0 {
		if err := os.Remove(path); !errors.Is(err, os.ErrNotExist) {
			return err
		}
		return nil
	}
	return WriteWhole(path, text)
}

// Draft is the text with errors that was left last; ok is false where there is none.
func (c Cards) Draft(name string) (text []byte, ok bool) {
	text, err := os.ReadFile(c.draftPath(name))
	return text, err == nil
}
