package command

import (
	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"secondpass/work"
)

// IsTerminal says whether a person sits at the other end of a stream.
func IsTerminal(stream any) bool {
	if in, ok := stream.(*input); ok {
		stream = in.from
	}
	f, ok := stream.(interface{ Fd() uintptr })
	return ok && term.IsTerminal(int(f.Fd()))
}

// Told is a bar that [Globals.Progress] made as a job tells it; bar may be nil.
func Told(bar func(int)) work.Tell {
	return func(p work.Progress) (stop bool) {
		if bar != nil {
			bar(p.Done)
		}
		return false
	}
}

// Progress draws a bar on standard error when that is a terminal. done takes it away.
func (g *Globals) Progress(total int, what string) (progress func(int), done func()) {
	if g.Quiet || !IsTerminal(g.Stderr) {
		return nil, func() {}
	}
	bar := progressbar.NewOptions(total, progressbar.OptionSetWriter(g.Stderr), progressbar.OptionSetDescription(what),
		progressbar.OptionShowCount(), progressbar.OptionShowIts(), progressbar.OptionSetItsString(what), progressbar.OptionClearOnFinish(), progressbar.OptionSetWidth(30))
	return func(n int) { _ = bar.Set(n) }, func() { _ = bar.Finish() } // a bar that cannot be drawn is no reason to stop
}
