// Command secondpass is the exercise book for American mahjong: cards, racks, passes and routes.
package main

import (
	"os"

	"secondpass/face/cli"
)

func main() { cli.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
