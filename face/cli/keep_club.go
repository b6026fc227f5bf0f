package cli

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"secondpass/club"
	"secondpass/face/cli/command"
	"secondpass/store/folder"
	"secondpass/store/sql"
)

// ofClub says that what a teacher of a club keeps is meant.
type ofClub struct {
	Database string `placeholder:"URL" help:"Instead of the data folder the database of a club, by the role that serves: see the page docs/club.md."`
	Teacher  string `placeholder:"NAME" help:"The teacher of the club whose account is meant."`
}

// meant says whether one is, and why what was given does not fit together.
func (c *ofClub) meant(file string) (bool, error) {
	if c.Database == "" && c.Teacher == "" {
		return false, nil
	}
	if err := checkDatabases(c.Database, ""); err != nil {
		return false, err
	}
	switch {
	case c.Database == "" || c.Teacher == "":
		return false, errors.New("--database URL and --teacher NAME go together: the club, and who of it is meant")
	case file == command.Std:
		return false, errors.New("what is kept in a club goes into a file and comes from one; name it instead of -")
	}
	return true, nil
}

// account does something with what the teacher keeps.
func (c *ofClub) account(work func(*sql.Store) error) error {
	d, err := sql.Connect(c.Database, "")
	if err != nil {
		return command.Failed(err)
	}
	defer d.Close()
	people, err := sql.People{Database: d}.People()
	if err != nil {
		return command.Failed(err)
	}
	var names []string
	var found []int64
	for _, p := range people {
		if p.Role != club.Owner && p.Role != club.Teacher {
			continue
		}
		names = append(names, p.Name)
		if strings.EqualFold(p.Name, c.Teacher) {
			found = append(found, p.Workbook)
		}
	}
	switch {
	case len(names) == 0:
		return fmt.Errorf("--teacher %s: nobody has come into the club yet", c.Teacher)
	case len(found) == 0:
		return fmt.Errorf("--teacher %s: no such teacher; there are %s", c.Teacher, strings.Join(names, ", "))
	case len(found) > 1:
		return fmt.Errorf("--teacher %s: %d teachers are called so; each can do it herself, under Account", c.Teacher, len(found))
	}
	if err := work(d.For(found[0])); err != nil {
		return command.Failed(err)
	}
	return nil
}

// backup puts what the teacher keeps into a file.
func (c *ofClub) backup(file string) error {
	return c.account(func(s *sql.Store) error { return folder.MoveOut(s, file) })
}

// restore puts a backup into the teacher's account, which is empty.
func (c *ofClub) restore(file string) error {
	if _, err := os.Stat(file); err != nil {
		return fmt.Errorf("no backup %s; a file that secondpass backup wrote is right", file)
	}
	return c.account(func(s *sql.Store) error { return folder.MoveIn(file, s) })
}
