package sql

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"secondpass/store"
	"secondpass/store/files"
)

// Dump puts a whole database of a server, with all its teachers, into one file, as it is at one moment; programs go on serving meanwhile.
// owner is the address of the role that owns the tables. It is done by pg_dump, which must be of the server's version or later; the file
// was read back when it is there.
func Dump(owner, to string) error {
	if err := dump(owner, to); err != nil {
		return fmt.Errorf("the backup cannot be made: %w", store.OfDisk(err))
	}
	return nil
}

func dump(owner, to string) error {
	half, err := os.CreateTemp(filepath.Dir(to), files.Saving+"*")
	if err != nil {
		return err
	}
	half.Close()
	defer os.Remove(half.Name()) // fails once the file has its name, which is what is wanted
	if err := postgresTool("pg_dump", owner, "--format=custom", "--no-owner", "--no-privileges", "--file="+half.Name()); err != nil {
		return err
	}
	if err := postgresTool("pg_restore", "", "--file="+os.DevNull, half.Name()); err != nil {
		return fmt.Errorf("it cannot be read back: %w", err)
	}
	return os.Rename(half.Name(), to)
}

// Restore puts what Dump has put into a file into a database that has no tables, all or nothing, brings it up to date, and reads it back.
// serving is the address of the role that serves.
func Restore(from, serving, owner string) error {
	if err := restore(from, owner); err != nil {
		return fmt.Errorf("not restored: %w", told(err))
	}
	d, err := Connect(serving, owner)
	if err != nil {
		return err
	}
	defer d.Close()
	teachers, err := d.Teachers()
	if err != nil {
		return err
	}
	for _, teacher := range teachers {
		if _, problems := d.For(teacher).Check(); len(problems) > 0 {
			return fmt.Errorf("restored as the backup has it, where something is damaged: %s", problems[0])
		}
	}
	return nil
}

func restore(from, owner string) error {
	if _, err := os.Stat(from); err != nil {
		return store.OfDisk(err)
	}
	db, err := sql.Open("pgx", owner)
	if err != nil {
		return err
	}
	defer db.Close()
	var n int
	if err := db.QueryRow(`SELECT COUNT(*) FROM pg_class WHERE relkind = 'r' AND relnamespace = current_schema()::regnamespace`).Scan(&n); err != nil {
		return err
	}
	if n > 0 {
		return errors.New("the database has tables already; give one without")
	}
	return postgresTool("pg_restore", owner, "--single-transaction", "--exit-on-error", "--no-owner", "--no-privileges", from)
}

// postgresTool runs a program of PostgreSQL for a database; the password of its address goes where no list of processes shows it.
func postgresTool(name, address string, args ...string) error {
	path, err := exec.LookPath(name)
	if err != nil {
		return fmt.Errorf("there is no program %s here; install the client programs of PostgreSQL", name)
	}
	environment := os.Environ()
	if address != "" {
		u, err := url.Parse(address)
		if err != nil {
			return errors.New("the address of the database cannot be read; one such as postgres://role@host/name is right")
		}
		if password, has := u.User.Password(); has {
			environment = append(environment, "PGPASSWORD="+password)
			u.User = url.User(u.User.Username())
		}
		args = append([]string{"--dbname=" + u.String()}, args...)
	}
	cmd := exec.Command(path, args...)
	cmd.Env = environment
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		first, _, _ := strings.Cut(strings.TrimSpace(said.String()), "\n")
		return fmt.Errorf("%s: %s", name, strings.TrimPrefix(first, name+": "))
	}
	return nil
}
