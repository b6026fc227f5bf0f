package cli

import (
	"strings"

	"github.com/alecthomas/kong"

	"secondpass/face/cli/manual"
)

// schemaAddress is where docs/commands.md finds the schema of a command's machine-readable answer; "" where it has none.
func schemaAddress(c *manual.Command) string {
	for _, n := range Grammar().Leaves(true) {
		if n.Path() == strings.Join(c.Path, " ") && answers(n) {
			return schemaFile(n)
		}
	}
	return ""
}

// schemaFile is where the folder docs has the schema of a command's answer.
func schemaFile(n *kong.Node) string {
	return "json/" + strings.ReplaceAll(n.Path(), " ", "-") + ".schema.json"
}
