package command

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/adrg/xdg"

	"secondpass/rules/charleston"
)

// config is what the user's configuration says; what it does not say is "".
type config struct{ file, card, data, seat, workers string }

// ConfigFile is where the configuration is looked for; it need not be there.
func ConfigFile() string { return filepath.Join(xdg.ConfigHome, "secondpass", "config.toml") }

// settings are what a configuration can say, with an example of each, and what checks and completes it.
var settings = []struct {
	name, example string
	of            func(c *config) *string
	read          func(text string) (string, error)
}{
	{"card", "Mine", func(c *config) *string { return &c.card }, fromHome},
	{"data", "~/mahjong", func(c *config) *string { return &c.data }, func(text string) (string, error) {
		path, err := fromHome(text)
		if err == nil && !filepath.IsAbs(path) {
			err = errors.New("a whole path is right, or one that begins with ~/")
		}
		return path, err
	}},
	{"seat", "E", func(c *config) *string { return &c.seat }, func(text string) (string, error) {
		seat, err := charleston.ParseSeat(text)
		return seat.String(), err
	}},
	{"workers", "postgres://name@host/database", func(c *config) *string { return &c.workers }, func(text string) (string, error) { return text, nil }},
}

// fromHome is a path with the home folder in place of ~.
func fromHome(text string) (string, error) {
	rest, ok := strings.CutPrefix(text, "~/")
	if !ok {
		return text, nil
	}
	return filepath.Join(xdg.Home, filepath.FromSlash(rest)), nil
}

// readConfig reads the configuration; there is nothing in one that is not there. The error is one sentence.
func readConfig(file string) (config, error) {
	c := config{file: file}
	text, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return c, nil
	}
	if err != nil {
		return c, fmt.Errorf("the configuration %s cannot be read: %w", file, errors.Unwrap(err))
	}
	said := map[string]any{}
	if _, err := toml.Decode(string(text), &said); err != nil {
		line := ""
		if at := (toml.ParseError{}); errors.As(err, &at) {
			line = fmt.Sprintf(" in line %d", at.Position.Line)
		}
		return c, fmt.Errorf("the configuration %s is no TOML%s; lines like card = \"Mine\" are right", file, line)
	}
	for _, s := range settings {
		value, ok := said[s.name]
		delete(said, s.name)
		if !ok {
			continue
		}
		text, isText := value.(string)
		if !isText || text == "" {
			return c, fmt.Errorf("the configuration %s: %s is no text in quotes; right would be as in %s = %q", file, s.name, s.name, s.example)
		}
		if *s.of(&c), err = s.read(text); err != nil {
			return c, fmt.Errorf("the configuration %s: %s = %q: %w", file, s.name, text, err)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(said)) {
		return c, fmt.Errorf("the configuration %s: %s is nothing that it can say; card, data, seat and workers are", file, name)
	}
	return c, nil
}

// Configure reads the user's configuration; cardGiven says that --card was.
func (g *Globals) Configure(cardGiven bool) (err error) {
	g.CardGiven = cardGiven
	g.config, err = readConfig(ConfigFile())
	return err
}

// configured is a setting of the configuration, noted as used; "" where it does not say it.
func (g *Globals) configured(of func(c *config) *string, used func(b *ConfigBasis) *string) string {
	said := *of(&g.config)
	if said == "" {
		return ""
	}
	g.basis.mu.Lock()
	defer g.basis.mu.Unlock()
	if g.basis.what.Config == nil {
		g.basis.what.Config = &ConfigBasis{File: g.config.file}
	}
	*used(g.basis.what.Config) = said
	return said
}

// CardName is the card asked for: by --card, else by the configuration, else the practice card.
func (g *Globals) CardName() string {
	if !g.CardGiven {
		if name := g.configured(func(c *config) *string { return &c.card }, func(b *ConfigBasis) *string { return &b.Card }); name != "" {
			return name
		}
	}
	return g.Card
}

// DataDir is the user's data folder: by --data, else by the configuration, else the usual place.
func (g *Globals) DataDir() string {
	if g.Data != "" {
		return g.Data
	}
	if dir := g.configured(func(c *config) *string { return &c.data }, func(b *ConfigBasis) *string { return &b.Data }); dir != "" {
		return dir
	}
	return filepath.Join(xdg.DataHome, "secondpass")
}

// WorkersURL is the database of the workers that long work goes to: by --workers, else by the configuration; "" for none.
func (g *Globals) WorkersURL() string {
	if g.Workers != "" {
		return g.Workers
	}
	used := ""
	said := g.configured(func(c *config) *string { return &c.workers }, func(*ConfigBasis) *string { return &used })
	if said != "" {
		g.basis.mu.Lock()
		defer g.basis.mu.Unlock()
		g.basis.what.Config.Workers = withoutPassword(said)
	}
	return said
}

// withoutPassword is an address as it may be told.
func withoutPassword(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return "a database"
	}
	return u.Redacted()
}

// CacheDir is where stands what can be made again: the usual place of the system.
func CacheDir() string { return filepath.Join(xdg.CacheHome, "secondpass") }

// UsualSeat is the seat that the configuration names where none is asked for, or else another one. dealt is the number of tiles
// that the seat must be dealt, 0 for any.
func (g *Globals) UsualSeat(seat charleston.Seat, dealt int) charleston.Seat {
	said, err := charleston.ParseSeat(g.config.seat)
	if err != nil || dealt != 0 && said.DealtTiles() != dealt {
		return seat
	}
	g.configured(func(c *config) *string { return &c.seat }, func(b *ConfigBasis) *string { return &b.Seat })
	return said
}

// String is that as a sentence.
func (b *ConfigBasis) String() string {
	var parts []string
	for _, s := range []struct{ name, said string }{{"card", b.Card}, {"data", b.Data}, {"seat", b.Seat}, {"workers", b.Workers}} {
		if s.said != "" {
			parts = append(parts, s.name+" "+s.said)
		}
	}
	return fmt.Sprintf("secondpass: by the configuration %s: %s", b.File, strings.Join(parts, ", "))
}

// Configuration is what the user's configuration says; what it does not say is "".
type Configuration struct {
	// File is where it is looked for, There whether it is there.
	File  string `json:"file"`
	There bool   `json:"there"`
	Card  string `json:"card"`
	Data  string `json:"data"`
	Seat  string `json:"seat"`
	// Workers is told without a password.
	Workers string `json:"workers"`
}

// Configuration is what holds where no flag does.
func (g *Globals) Configuration() Configuration {
	c := g.config
	return Configuration{c.file, FileExists(c.file), c.card, c.data, c.seat, withoutPassword(c.workers)}
}

// String is that in lines like those of the file.
func (c Configuration) String() string {
	text := c.File + "\n"
	if !c.There {
		text = c.File + " is not there; secondpass config --help says what it can say\n"
	}
	for _, s := range []struct{ name, said string }{{"card", c.Card}, {"data", c.Data}, {"seat", c.Seat}, {"workers", c.Workers}} {
		if s.said != "" {
			text += fmt.Sprintf("%s = %q\n", s.name, s.said)
		}
	}
	return text
}
