package cards

import (
	"context"
	"errors"
	"fmt"

	"secondpass/desk"
	"secondpass/face/cli/command"
	"secondpass/work"
)

// goOn does work that takes minutes, with a bar for each of its stages, and says how far it came where Ctrl-C stopped it.
func goOn[R any](g *command.Globals, w work.Work) (R, error) {
	bars := bars{g: g}
	result, err := desk.GoOn[R](g.Context, &desk.Desk{Files: g.Files()}, w, bars.tell)
	bars.end()
	if errors.Is(err, context.Canceled) && bars.last.Of == 0 {
		err = errors.New("stopped before the first games were played")
	} else if errors.Is(err, context.Canceled) {
		err = fmt.Errorf("stopped after %d of %d %s; they are kept, and the same command goes on", bars.last.Done, bars.last.Of, bars.last.Stage)
	}
	if err != nil {
		err = command.Failed(err)
	}
	return result, err
}

// bars shows one progress bar after another.
type bars struct {
	g    *command.Globals
	last work.Progress
	bar  func(int)
	done func()
}

func (b *bars) tell(p work.Progress) (stop bool) {
	if b.done == nil || p.Stage != b.last.Stage {
		b.end()
		b.bar, b.done = b.g.Progress(p.Of, p.Stage)
	}
	if b.last = p; b.bar != nil {
		b.bar(p.Done)
	}
	return false
}

func (b *bars) end() {
	if b.done != nil {
		b.done()
	}
	b.done = nil
}
