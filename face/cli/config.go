package cli

import (
	"fmt"

	"secondpass/face/cli/command"
)

// configCmd is the command config.
type configCmd struct{}

// Help says what can stand in a configuration.
func (configCmd) Help() string {
	return `A configuration says what holds where no flag does. It is a TOML file that may have these lines:
  card = "Mine"          # in place of Lantern: a file, or a card of the data folder
  data = "~/mahjong"     # the data folder
  seat = "E"             # of walk, deal and compare, in place of South
  workers = "postgres://name@host/database"   # where long work goes, see work
Flags win over it. Whatever it has changed is named, by programs' answers too.`
}

func (c *configCmd) Answers() command.Answers { return command.One(command.Configuration{}) }

func (c *configCmd) Run(g *command.Globals) error {
	said := g.Configuration()
	if g.JSON {
		return g.Answer(said)
	}
	fmt.Fprint(g.Stdout, said)
	return nil
}
