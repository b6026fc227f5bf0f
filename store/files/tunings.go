package files

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
)

// tunings is what was tuned for cards: tuned/FINGERPRINT.json, by their hands, whatever the cards are called.
type tunings struct {
	room Room
	told func(sentence string)
}

func (t tunings) path(fingerprint string) string { return "tuned/" + fingerprint + ".json" }

// Tuning is the user's own tuning of a card, the one built in, or general values. A file of which only a part
// was written is set aside, so that it is told of once and stops nothing; wrong values, which somebody has put there, are
// an error.
func (t tunings) Tuning(c *card.Card) (player.Tuning, error) {
	builtIn, _ := prepared.Of(c).Tuning()
	path := t.path(builtIn.Fingerprint)
	data, err := t.room.Read(path)
	if errors.Is(err, os.ErrNotExist) {
		return builtIn, nil
	}
	if err != nil {
		return player.Tuning{}, fmt.Errorf("the tuning of card %q cannot be read: %w", c.Name, err)
	}
	if json.Valid(data) {
		own, err := player.ReadTuning(data)
		if err != nil {
			err = fmt.Errorf("%s: %w", t.room.Where(path), err)
		}
		return own, err
	}
	aside := "it stays where it is"
	if t.room.Move(path, path+damagedExt) == nil {
		aside = "it is set aside as " + t.room.Where(path+damagedExt)
	}
	t.told(fmt.Sprintf("the tuning of card %q is only partly written: %s, and players go by the values built in; secondpass card tune makes a new one", c.Name, aside))
	return builtIn, nil
}

// SaveTuning keeps a tuning in place of what was there.
func (t tunings) SaveTuning(tuning player.Tuning) (where string, err error) {
	path := t.path(tuning.Fingerprint)
	return t.room.Where(path), t.room.Write(path, tuning.Text())
}
