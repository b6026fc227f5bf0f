package cli

import "secondpass/face/cli/manual"

// schemaAddress is where docs/commands.md finds the schema of a command's machine-readable answer; "" where it has none.
func schemaAddress(c *manual.Command) string { return "" }
