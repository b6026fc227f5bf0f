package exercises

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/face/reader"
	"secondpass/face/reader/onefile"
	"secondpass/store"
)

// ReaderPage is the command reader-page.
type ReaderPage struct {
	Exercises []string `arg:"" optional:"" name:"exercise" help:"Names or numbers of exercises; several go into a folder."`
	Lesson    []string `sep:"none" placeholder:"NAME" help:"With --folder, a lesson that goes in too, by its title or number; may be given several times."`
	command.OutFlag
	Folder string `placeholder:"DIR" help:"New or empty folder to write to, with a page for each exercise and lesson, and a list of them."`
	Title  string `default:"Exercises" help:"What the list in the folder is headed."`
	Routes string `default:"after" placeholder:"WHEN" help:"When readers see your own routes: after they have come to the end of the passing, always, or never, which leaves them out of the page."`
}

// Help says what the page is.
func (ReaderPage) Help() string {
	return "Writes the exercise as one HTML file that anybody walks in a browser, on a telephone too: send it by mail, put it on any web space, or open it from the disk. The engine is in it, with judgements; nothing is sent anywhere. At the end readers have a reply code, which secondpass replies counts. From a clone the Go tool builds the engine when a page is first asked for, which takes a minute or two. Whoever looks into the file finds in it what comes, and with simulated players what they hold.\n\nSeveral exercises, and lessons, make a folder with a list, index.html; the engine is in it once. Put on a web space it can be installed, and works without a network once it was seen."
}

func (c *ReaderPage) Run(g *command.Globals) error {
	show := reader.Showing(strings.ToLower(c.Routes))
	switch {
	case !show.Known():
		return fmt.Errorf("--routes %q; after, always or never is right", c.Routes)
	case c.Folder != "" && c.Out != "":
		return errors.New("-o is for one file and --folder for a folder; give one of them")
	case len(c.Exercises)+len(c.Lesson) == 0:
		return errors.New("no exercise is named; secondpass exercise list shows them")
	case c.Folder == "" && len(c.Lesson) > 0:
		return errors.New("--lesson is for a folder; name one with --folder, or write the lesson alone with secondpass lesson reader-page")
	case c.Folder == "" && len(c.Exercises) > 1:
		return fmt.Errorf("%d exercises go into a folder; name one with --folder", len(c.Exercises))
	}
	subjects, err := c.subjects(g)
	if err != nil {
		return err
	}
	says := func(said string) { g.Remark("%s", said) }
	if c.Folder != "" {
		return c.folder(g, subjects, show, says)
	}
	to, err := g.Create(c.Out)
	if err != nil {
		return err
	}
	page, err := onefile.Of(g.Context, g.Desk(), subjects[0], show, says)
	if err != nil {
		return noPage(err)
	}
	return to.Export(func(w io.Writer) error {
		_, err := w.Write(page)
		return err
	})
}

// subjects are the exercises and lessons that are named.
func (c *ReaderPage) subjects(g *command.Globals) (named []onefile.Subject, err error) {
	for _, name := range c.Exercises {
		x, err := g.LoadExercise(name)
		if err != nil {
			return nil, err
		}
		named = append(named, onefile.Subject{Exercise: x.Exercise})
	}
	for _, title := range c.Lesson {
		err := g.WithStore(func(s store.Store) error {
			x, err := command.FindLesson(s, title)
			if err == nil {
				named = append(named, onefile.Subject{Lesson: x.Lesson})
			}
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return named, nil
}

// noPage is an error of writing pages, as one of input where it is.
func noPage(err error) error {
	if onefile.Refused(err) || errors.Is(err, onefile.ErrNoEngine) {
		return err
	}
	return command.Failed(err)
}

// folder writes a page for each subject, and what they share.
func (c *ReaderPage) folder(g *command.Globals, subjects []onefile.Subject, show reader.Showing, says func(string)) error {
	switch there, err := os.ReadDir(c.Folder); {
	case err == nil && len(there) > 0:
		return fmt.Errorf("%s has files in it; name a new or empty folder", c.Folder)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s is no folder to write to; name a new or empty one", c.Folder)
	}
	if err := exercise.CheckName(c.Title); err != nil {
		return fmt.Errorf("--title: %w", err)
	}
	files, err := onefile.FolderOf(g.Context, g.Desk(), c.Title, subjects, show, says)
	if err != nil {
		return noPage(err)
	}
	if err := os.MkdirAll(c.Folder, 0o755); err != nil {
		return command.Failed(fmt.Errorf("the folder %s cannot be made: %w", c.Folder, err))
	}
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(c.Folder, f.Name), f.Data, 0o644); err != nil {
			return command.Failed(fmt.Errorf("%s cannot be written: %w", filepath.Join(c.Folder, f.Name), err))
		}
	}
	list := filepath.Join(c.Folder, "index.html")
	if g.JSON {
		return g.Answer(command.Made{File: list})
	}
	g.Remark("written: %s", list)
	return nil
}
