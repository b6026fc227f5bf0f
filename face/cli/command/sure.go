package command

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Sure asks a person at a terminal before something is done for good; yes says that nobody is to be asked. Where nobody can be
// asked it is refused.
func (g *Globals) Sure(yes bool, question string) (sure bool, err error) {
	if yes {
		return true, nil
	}
	if !IsTerminal(g.Stdin) {
		return false, fmt.Errorf("%s Nobody can be asked here; --yes does it", question)
	}
	fmt.Fprintf(g.Stderr, "%s (yes or no) ", question)
	line, err := bufio.NewReader(g.Stdin).ReadString('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		return false, err
	}
	if answer := strings.ToLower(strings.TrimSpace(line)); answer != "y" && answer != "yes" {
		g.Remark("Nothing is deleted.")
		return false, nil
	}
	return true, nil
}
