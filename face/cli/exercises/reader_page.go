package exercises

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"secondpass/face/cli/command"
	"secondpass/face/reader"
	"secondpass/face/reader/onefile"
)

// ReaderPage is the command reader-page.
type ReaderPage struct {
	command.ExerciseArg
	command.OutFlag
	Routes string `default:"after" placeholder:"WHEN" help:"When readers see your own routes: after they have come to the end of the passing, always, or never, which leaves them out of the page."`
}

// Help says what the page is.
func (ReaderPage) Help() string {
	return "Writes the exercise as one HTML file that anybody walks in a browser, on a telephone too: send it by mail, put it on any web space, or open it from the disk. The engine is in it, with judgements; nothing is sent anywhere. At the end readers have a reply code, which secondpass replies counts. From a clone the Go tool builds the engine when a page is first asked for, which takes a minute or two. Whoever looks into the file finds in it what comes, and with simulated players what they hold."
}

func (c *ReaderPage) Run(g *command.Globals) error {
	show := reader.Showing(strings.ToLower(c.Routes))
	if !show.Known() {
		return fmt.Errorf("--routes %q; after, always or never is right", c.Routes)
	}
	x, err := g.LoadExercise(c.Exercise)
	if err != nil {
		return err
	}
	to, err := g.Create(c.Out)
	if err != nil {
		return err
	}
	page, err := onefile.Of(g.Context, g.Desk(), x.Exercise, show, func(said string) { g.Remark("%s", said) })
	switch {
	case errors.Is(err, reader.ErrNotWalkable), errors.Is(err, onefile.ErrNoEngine):
		return err
	case err != nil:
		return command.Failed(err)
	}
	return to.Export(func(w io.Writer) error {
		_, err := w.Write(page)
		return err
	})
}
