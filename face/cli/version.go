package cli

import (
	"fmt"

	"github.com/alecthomas/kong"

	"secondpass/face/cli/command"
)

// versionCmd is the command version.
type versionCmd struct{}

func (c *versionCmd) Answers() command.Answers { return command.One(command.Versions{}) }

func (c *versionCmd) Run(g *command.Globals) error {
	if g.JSON {
		return g.Answer(command.Version())
	}
	fmt.Fprint(g.Stdout, command.Version())
	return nil
}

// versionFlag is the flag --version, which needs no command beside it.
type versionFlag bool

// BeforeReset is called by the parser where the flag is found.
func (versionFlag) BeforeReset(k *kong.Kong) error {
	fmt.Fprint(k.Stdout, command.Version())
	k.Exit(command.ExitDone)
	return nil
}
