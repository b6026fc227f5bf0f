package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"secondpass/face/cli/command"
	"secondpass/store/folder"
)

type backupCmd struct {
	Out  string `short:"o" required:"" placeholder:"FILE" help:"File to write, as in monday.zip; one that is there is replaced once the new one is whole. - is standard output."`
	Club ofClub `embed:""`
}

// Help says what is in a backup.
func (backupCmd) Help() string {
	return "A backup holds exercises, drills, students, lessons, classes, cards, tunings, results and counts of reports, as they are at one moment. It is a ZIP archive. The workbook may be open meanwhile.\n\n" +
		"What one teacher of a club keeps goes into such a file too, with --database and --teacher, so that she goes on with it in a data folder; it is read back before the file has its name. All of a club: secondpass club --backup."
}

func (c *backupCmd) Run(g *command.Globals) error {
	if club, err := c.Club.meant(c.Out); err != nil {
		return err
	} else if club {
		if err := c.Club.backup(c.Out); err != nil {
			return err
		}
		return c.made(g, c.Club.Teacher)
	}
	if _, err := os.Stat(g.DataDir()); err != nil {
		return fmt.Errorf("nothing is kept in %s yet; --data names another folder", g.DataDir())
	}
	if c.Out == command.Std {
		if err := folder.WriteBackup(g.DataDir(), command.Verbatim(g.Stdout)); err != nil {
			return command.Failed(command.Helped(err))
		}
		return nil
	}
	if err := folder.Backup(g.DataDir(), c.Out); err != nil {
		return command.Failed(command.Helped(err))
	}
	return c.made(g, g.DataDir())
}

// made tells of the file.
func (c *backupCmd) made(g *command.Globals, of string) error {
	info, err := os.Stat(c.Out)
	if err != nil {
		return command.Failed(err)
	}
	if g.JSON {
		return g.Answer(command.Made{File: c.Out})
	}
	fmt.Fprintf(g.Stdout, "All of %s is in %s: %d kB\n", of, c.Out, (info.Size()+1023)/1024)
	return nil
}

type restoreCmd struct {
	File string `arg:"" help:"A backup, or a snapshot out of the folder snapshots of the data folder; - for standard input."`
	Club ofClub `embed:""`
}

// Help says what becomes of what was there.
func (restoreCmd) Help() string {
	return "The workbook must be closed. A backup that is damaged changes nothing. What was kept before stays in a folder inside the data folder.\n\n" +
		"With --database and --teacher a backup of a data folder, or of what a teacher of a club kept, goes into the account of a teacher of a club, which must be empty, with all its numbers and dates, all or nothing."
}

func (c *restoreCmd) Run(g *command.Globals) error {
	if club, err := c.Club.meant(c.File); err != nil {
		return err
	} else if club {
		if err := c.Club.restore(c.File); err != nil {
			return err
		}
		return c.told(g, "")
	}
	from := c.File
	if from == command.Std {
		var err error
		if from, err = spooled(g); err != nil {
			return err
		}
		defer os.Remove(from)
	} else if _, err := os.Stat(c.File); err != nil {
		return fmt.Errorf("no backup %s; a file that secondpass backup wrote is right, or one of %s", c.File, filepath.Join(g.DataDir(), folder.SnapshotFolder))
	}
	aside, err := folder.Restore(g.DataDir(), from, time.Now())
	if err != nil {
		return command.Failed(err)
	}
	return c.told(g, aside)
}

// told tells from where, and where what was there before is.
func (c *restoreCmd) told(g *command.Globals, aside string) error {
	if g.JSON {
		return g.Answer(restored{c.File, aside})
	}
	fmt.Fprintf(g.Stdout, "Restored from %s\n", c.File)
	if aside != "" {
		fmt.Fprintf(g.Stdout, "What was there before is in %s\n", aside)
	}
	return nil
}

// spooled is standard input as a file, which an archive has to be.
func spooled(g *command.Globals) (path string, err error) {
	in, err := g.Open(command.Std)
	if err != nil {
		return "", err
	}
	f, err := os.CreateTemp("", "secondpass-*.zip")
	if err != nil {
		return "", command.Failed(err)
	}
	_, err = io.Copy(f, in)
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(f.Name())
		return "", command.Failed(err)
	}
	return f.Name(), nil
}

// restored says from which file, and where what was there before is, "" if there was nothing.
type restored struct {
	File  string `json:"file"`
	Aside string `json:"aside"`
}

func (*backupCmd) Answers() command.Answers    { return command.One(command.Made{}) }
func (*restoreCmd) Answers() command.Answers   { return command.One(restored{}) }
func (*checkDataCmd) Answers() command.Answers { return command.One(checkedData{}) }

// checkedData is what is kept: what is sound, what is damaged, what of that was saved and where to.
type checkedData struct {
	Sound   []string `json:"sound"`
	Damaged []string `json:"damaged"`
	Saved   []string `json:"saved"`
	SavedTo string   `json:"saved_to"`
}

type checkDataCmd struct {
	Out string `short:"o" placeholder:"DIR" help:"Put all that can still be read into this new data folder."`
}

func (c *checkDataCmd) Run(g *command.Globals) error {
	dir := g.DataDir()
	if _, err := os.Stat(dir); err != nil {
		return fmt.Errorf("nothing is kept in %s yet; --data names another folder", dir)
	}
	if c.Out != "" && command.FileExists(c.Out) {
		return fmt.Errorf("%s is there already; name a new folder", c.Out)
	}
	found := folder.Check(dir)
	told := checkedData{Sound: append([]string{}, found.Counts...), Damaged: append([]string{}, found.Problems...), Saved: []string{}, SavedTo: c.Out}
	if c.Out != "" {
		saved, err := folder.Rescue(dir, c.Out)
		if err != nil {
			return command.Failed(err)
		}
		told.Saved = append(told.Saved, saved...)
	}
	if g.JSON {
		if err := g.Answer(told); err != nil {
			return err
		}
	} else {
		told.print(g.Stdout, dir)
	}
	if len(found.Problems) == 0 {
		return nil
	}
	what := "secondpass check-data -o DIR puts what can be read into a new folder"
	if c.Out != "" {
		what = "the folder itself stays as it is"
	}
	if list, err := folder.ListSnapshots(dir); err == nil && len(list) > 0 {
		what += "; the newest snapshot is " + filepath.Join(dir, folder.SnapshotFolder, list[0].Name)
	}
	return command.Failed(fmt.Errorf("%d damaged: %s", len(found.Problems), what))
}

func (d *checkedData) print(w io.Writer, dir string) {
	for _, line := range d.Sound {
		fmt.Fprintf(w, "sound  %s\n", line)
	}
	for _, line := range d.Damaged {
		fmt.Fprintf(w, "damaged  %s\n", line)
	}
	for _, line := range d.Saved {
		fmt.Fprintf(w, "saved  %s\n", line)
	}
	if d.SavedTo != "" {
		fmt.Fprintf(w, "What could be saved is in %s: secondpass --data %s opens it\n", d.SavedTo, d.SavedTo)
	}
	if len(d.Damaged) == 0 {
		fmt.Fprintf(w, "All that is kept in %s is sound.\n", dir)
	}
}
