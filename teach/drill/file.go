package drill

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"secondpass/engine/prepared"
	"secondpass/engine/sim"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// FileVersion is the version of the drill file that Write writes and ReadFile takes.
const FileVersion = 1

const (
	fileFormat = "secondpass drills"
	// maxFile bounds a drill file, in bytes, mostDrills their number: each has to be checked.
	maxFile    = 16 << 20
	mostDrills = 5000
)

type fileJSON struct {
	Format  string   `json:"format"`
	Version int      `json:"version"`
	Card    cardJSON `json:"card"`
	Drills  []*Drill `json:"drills"`
}

type cardJSON struct {
	Name    string `json:"name"`
	Text    string `json:"text"`
	Flowers int    `json:"flowers"`
	Jokers  int    `json:"jokers"`
}

// File is a drill file: drills and their card.
type File struct{}

// JSONForm is a value of the type that Write writes.
func (File) JSONForm() any { return fileJSON{} }

// Write writes drills of a card as a file that ReadFile takes back.
func Write(w io.Writer, c *card.Card, drills []*Drill) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(fileJSON{fileFormat, FileVersion,
		cardJSON{c.Name, c.Source, int(c.Set[tile.Flower]), int(c.Set[tile.Joker])}, drills})
}

// ReadFile reads a drill file and checks all of it but the keys, which only games can check. The error says in one
// sentence what is wrong and where.
func ReadFile(r io.Reader) (*card.Card, []*Drill, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return nil, nil, err
	}
	if len(data) > maxFile {
		return nil, nil, fmt.Errorf("more than %d bytes; no drill file is so long", maxFile)
	}
	var f fileJSON
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		return nil, nil, fmt.Errorf("no drill file: %w", exercise.JSONError(data, err))
	}
	if f.Format != fileFormat {
		return nil, nil, fmt.Errorf("no drill file: its format is %q, not %q", f.Format, fileFormat)
	}
	if f.Version != FileVersion {
		return nil, nil, fmt.Errorf("a drill file of version %d; this program reads version %d", f.Version, FileVersion)
	}
	set, err := tile.NewSet(f.Card.Flowers, f.Card.Jokers)
	if err != nil {
		return nil, nil, err
	}
	if len(f.Drills) > mostDrills {
		return nil, nil, fmt.Errorf("%d drills; %d are the most in a file", len(f.Drills), mostDrills)
	}
	c, err := prepared.Read("card", f.Card.Text, set)
	if err != nil {
		return nil, nil, fmt.Errorf("the drills' card is wrong: %w", err)
	}
	if len(c.Hands) == 0 {
		return nil, nil, fmt.Errorf("the drills' card has no hands")
	}
	game := prepared.Of(c).Game(house.Usual)
	for i, d := range f.Drills {
		if d == nil {
			return nil, nil, fmt.Errorf("drill %d is missing", i+1)
		}
		if err := d.Check(game); err != nil {
			return nil, nil, fmt.Errorf("drill %d: %w", i+1, err)
		}
		if len(d.Key.Right()) == 0 {
			return nil, nil, fmt.Errorf("drill %d: its key calls no answer right; one at least is", i+1)
		}
	}
	return c, f.Drills, nil
}

// Check says why a drill cannot be one of a game's card, or nil: the position must be possible and the choices legal.
func (d *Drill) Check(game *table.Game) error {
	if d.Position.InPlay() {
		return d.checkPlay(game)
	}
	v := d.Position.View
	if v.Seat != d.Position.Seat || v.Rack.Size() != v.Seat.DealtTiles() {
		return fmt.Errorf("a rack of %d tiles; %s has %d", v.Rack.Size(), v.Seat.Name(), v.Seat.DealtTiles())
	}
	racks, _, err := sim.Fill(&v, game.Set(), sim.Stream(0, 0, "check"))
	if err != nil {
		return err
	}
	state, err := charleston.FromView(v, racks, game.Set())
	if err != nil {
		return err
	}
	legal := state.Legal(v.Seat)
	for _, c := range d.Choices {
		if c.Section != "" {
			if !slices.Contains(game.Card().Sections, c.Section) {
				return fmt.Errorf("the card has no section %q", c.Section)
			}
		} else if !slices.Contains(legal, c.Action) {
			return fmt.Errorf("%s is no legal decision there", c)
		}
	}
	return nil
}

func (d *Drill) checkPlay(game *table.Game) error {
	state, err := d.Position.Table(game)
	if err != nil {
		return err
	}
	if state.Phase() != table.Claiming && d.Ask() == AskClaim {
		return fmt.Errorf("no discard waits for an answer")
	}
	for _, c := range d.Choices {
		if err := state.Check(c.Play); err != nil {
			return err
		}
	}
	return nil
}
