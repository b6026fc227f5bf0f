// Command carry builds the engine of readers' pages into the folder from which a program built with the tag engine takes it.
package main

import (
	"context"
	"fmt"
	"os"

	"secondpass/face/reader/onefile"
)

func main() {
	if err := onefile.Carry(context.Background()); err != nil {
		fmt.Fprintln(os.Stderr, "carry:", err)
		os.Exit(1)
	}
}
