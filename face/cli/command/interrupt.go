package command

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"sync"
)

// ErrInterrupted says that a person pressed Ctrl-C while something was read.
var ErrInterrupted = errors.New("interrupted")

// ErrStopped says that Ctrl-C ended work that had nothing to show yet.
var ErrStopped = errors.New("stopped before there was anything to show")

// Heed makes Ctrl-C end the command: the first one ends g.Context, so that work stops and says what it has, and ends what is
// read from standard input at once, so that every prompt is left. A second one calls atOnce. done ends the heeding, and says
// whether Ctrl-C was pressed.
func (g *Globals) Heed(atOnce func()) (done func() (interrupted bool)) {
	ctx, cancel := context.WithCancel(context.Background())
	pressed, over := make(chan os.Signal, 2), make(chan struct{})
	signal.Notify(pressed, os.Interrupt)
	go func() {
		for _, heed := range []func(){cancel, atOnce} {
			select {
			case <-pressed:
				heed()
			case <-over:
				return
			}
		}
	}()
	g.Context = ctx
	if g.Stdin != nil {
		g.Stdin = newInput(ctx, g.Stdin)
	}
	return func() bool {
		signal.Stop(pressed)
		close(over)
		interrupted := ctx.Err() != nil
		cancel()
		return interrupted
	}
}

// input is standard input until ctx ends; after that it gives ErrInterrupted, at once.
type input struct {
	*io.PipeReader
	from io.Reader
	// begin reads from there, from the first time on that somebody asks. What waits for a line of the terminal cannot be
	// taken back: it ends with the process.
	begin func()
}

func newInput(ctx context.Context, from io.Reader) *input {
	read, write := io.Pipe()
	context.AfterFunc(ctx, func() { write.CloseWithError(ErrInterrupted) })
	return &input{read, from, sync.OnceFunc(func() {
		go func() {
			_, err := io.Copy(write, from)
			write.CloseWithError(err)
		}()
	})}
}

func (i *input) Read(p []byte) (int, error) {
	i.begin()
	return i.PipeReader.Read(p)
}
