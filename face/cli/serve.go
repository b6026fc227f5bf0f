package cli

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"os/signal"
	"runtime"
	"sync"
	"syscall"
	"time"

	"secondpass/face/cli/command"
	"secondpass/face/web"
	"secondpass/face/web/liveclass"
	"secondpass/store/folder"
	"secondpass/store/sql"
	"secondpass/work/workers"
)

type serveCmd struct {
	Listen        string `default:"127.0.0.1:7520" placeholder:"ADDR" help:"Address to listen on; port 0 takes a free one."`
	OpenToNetwork bool   `help:"Let others on the network reach all of the workbook at the address of --listen, with a key that is printed. What is sent is not encrypted."`
	Class         string `placeholder:"ADDR" help:"Let phones on the network join classes at this address, as in 0.0.0.0:7521. They reach nothing else."`
	Snapshots     int    `default:"7" placeholder:"N" help:"How many daily snapshots of the data folder to keep in it; 0 for none."`
	SnapshotDays  int    `default:"30" placeholder:"DAYS" help:"How old snapshots may get; 0 for any age."`
	NoBrowser     bool   `help:"Do not open the browser."`
	// Unnamed: the program was started without a command, as by a double click.
	Unnamed bool `kong:"-"`
	// again: it begins again with what a backup held.
	again bool
}

// Help says who can reach the workbook.
func (serveCmd) Help() string {
	return "The workbook answers only this machine. With --open-to-network it answers at another address of --listen too, to those who open it with the key that is printed; the key is another one each time. Phones join classes at the address of --class, or when the class's page lets them. Ctrl-C ends it, or \"Stop the workbook\" in its help; everything is saved as you go. Without the word serve, where the workbook is open already, the browser shows that."
}

func (c *serveCmd) Run(g *command.Globals) error {
	if c.Snapshots < 0 || c.SnapshotDays < 0 {
		return fmt.Errorf("--snapshots %d --snapshot-days %d: numbers from 0 up are right", c.Snapshots, c.SnapshotDays)
	}
	g.Serving = true
	for {
		restore, err := c.serve(g)
		if err != nil || restore == "" {
			return err
		}
		aside, err := folder.Restore(g.DataDir(), restore, time.Now())
		if err != nil { // what there was is there still
			g.Remark("%v", err)
		} else {
			g.Remark("Restored from %s; what was there before is in %s", restore, aside)
		}
		c.again = true
	}
}

// serve serves until it is ended. restore is the backup that the workbook is to begin again with, "" for none.
func (c *serveCmd) serve(g *command.Globals) (restore string, err error) {
	serving, err := c.take(g)
	if err != nil {
		return "", command.Failed(err)
	}
	if serving == nil {
		return "", nil
	}
	defer serving.Release()
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		if taken(err) && c.Unnamed {
			return "", fmt.Errorf("another program answers at %s, where the workbook would be: end that, or open the workbook elsewhere with secondpass serve --listen 127.0.0.1:7530", c.Listen)
		}
		if taken(err) {
			return "", fmt.Errorf("--listen %s: another program answers there; another port is right, as in 127.0.0.1:7530", c.Listen)
		}
		return "", fmt.Errorf("--listen %s: no address that this machine can listen on; HOST:PORT is right, as in 127.0.0.1:7530", c.Listen)
	}
	defer l.Close()
	c.Listen = l.Addr().String() // where it begins again after a restoring
	key, err := c.key(l.Addr())
	if err != nil {
		return "", err
	}
	// A closed terminal and an end of the session are ends like Ctrl-C; nohup has asked to go on after the first.
	ends := []os.Signal{syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		ends = append(ends, syscall.SIGHUP)
	}
	ctx, stop := signal.NotifyContext(g.Context, ends...)
	defer stop()
	err = g.WithDatabase(func(s *sql.Store) error {
		if err := s.Sound(); err != nil {
			return command.Failed(command.Helped(err))
		}
		logger := slog.New(slog.NewTextHandler(g.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
		w, err := web.New(s, g.Files(), g.DataDir(), logger)
		if err == nil {
			err = w.FirstStart()
		}
		if err != nil {
			return command.Failed(err)
		}
		w.OpenToNetwork(key)
		w.Under(g.Context)
		if url := g.WorkersURL(); url != "" {
			w.SendsTo(func(ctx context.Context) (*workers.Standing, error) { return workers.Look(ctx, url) })
		}
		address := "http://" + l.Addr().String()
		var snapshots sync.WaitGroup
		snapshots.Go(func() { c.snapshots(ctx, g.DataDir(), logger) })
		defer func() { // one that is being written is finished, so that the log is folded in by whoever closes last
			stop()
			snapshots.Wait()
		}()
		at := opened{Address: address, Keyed: []string{}, Join: []string{}, Teacher: []string{}}
		if key != "" {
			address = "http://" + liveclass.AddressesOf(l.Addr())[0]
			for _, a := range liveclass.AddressesOf(l.Addr()) {
				at.Keyed = append(at.Keyed, "http://"+a+"/?key="+key)
			}
		}
		if err := serving.At(address, address+keyed(key)); err != nil {
			return command.Failed(err)
		}
		if err := c.classes(w, address, &at); err != nil {
			return err
		}
		if g.JSON && !c.again {
			if err := g.Answer(at); err != nil {
				return err
			}
		} else if !g.JSON {
			at.print(g)
		}
		if !c.NoBrowser && !c.again { // the page that asked for it is open
			show(g, address+keyed(key))
		}
		if err := w.Serve(ctx, l); err != nil && !errors.Is(err, http.ErrServerClosed) {
			return command.Failed(err)
		}
		switch restore = w.Restore(); {
		case ctx.Err() != nil:
			restore = "" // whoever ends the program does not want it begun again
		case restore == "":
			g.Remark("The workbook was stopped from its page.")
		}
		return nil
	})
	return restore, err
}

// taken says that another program listens there; Windows has a number of its own for that (WSAEADDRINUSE).
func taken(err error) bool {
	return errors.Is(err, syscall.EADDRINUSE) || runtime.GOOS == "windows" && errors.Is(err, syscall.Errno(10048))
}

// key is what others on the network are asked for, "" where only this machine is answered.
func (c *serveCmd) key(listening net.Addr) (string, error) {
	a, err := netip.ParseAddrPort(listening.String())
	network := err != nil || !a.Addr().Unmap().IsLoopback()
	switch {
	case !network && c.OpenToNetwork:
		return "", fmt.Errorf("--open-to-network: %s answers this machine alone; give --listen an address that others reach, as in 0.0.0.0:7520", c.Listen)
	case !network:
		return "", nil
	case !c.OpenToNetwork:
		return "", fmt.Errorf("--listen %s: others on the network could reach all that is kept; add --open-to-network where that is meant, or let phones into classes alone with --class %s", c.Listen, c.Listen)
	case len(liveclass.AddressesOf(listening)) == 0:
		return "", fmt.Errorf("--listen %s: this machine is in no network now", c.Listen)
	}
	return rand.Text(), nil
}

// keyed is what follows an address that is opened with a key.
func keyed(key string) string {
	if key == "" {
		return ""
	}
	return "/?key=" + key
}

// snapshots takes one snapshot a day, the first at once, until ctx ends.
func (c *serveCmd) snapshots(ctx context.Context, dir string, log *slog.Logger) {
	policy := folder.Snapshots{Number: c.Snapshots, Days: c.SnapshotDays}
	for {
		now := time.Now()
		if _, err := policy.Take(dir, now); err != nil {
			log.Error("no snapshot of the data folder", "error", err)
		}
		y, m, d := now.Date()
		select {
		case <-time.After(time.Until(time.Date(y, m, d+1, 0, 0, 1, 0, now.Location()))):
		case <-ctx.Done():
			return
		}
	}
}

// opened is where the workbook is open.
type opened struct {
	// Address is that of the workbook.
	Address string `json:"address"`
	// Keyed is how other machines reach all of it, where the network was let in.
	Keyed []string `json:"keyed"`
	// Join is where phones join classes, Teacher the teacher's ways back into the classes that go on.
	Join    []string `json:"join"`
	Teacher []string `json:"teacher"`
}

func (*serveCmd) Answers() command.Answers { return command.One(opened{}) }

func (o *opened) print(g *command.Globals) {
	fmt.Fprintf(g.Stdout, "The workbook is open at %s\n", o.Address)
	for _, a := range o.Keyed {
		fmt.Fprintf(g.Stdout, "Whoever opens this reaches all of it, and may change it: %s\n", a)
	}
	g.Remark("Ctrl-C ends it; everything is saved as you go.")
	for _, a := range o.Join {
		fmt.Fprintf(g.Stdout, "Phones on the network can join classes at %s\n", a)
	}
	for _, l := range o.Teacher {
		fmt.Fprintf(g.Stdout, "A class goes on; the teacher's link: %s\n", l)
	}
	g.TellBasis()
}

// classes lets phones in where that was asked for, and finds the ways back into the classes that go on.
func (c *serveCmd) classes(w *web.Server, address string, at *opened) error {
	if c.Class != "" {
		if err := w.Classes.OpenDoor(c.Class); err != nil {
			return fmt.Errorf("--class %s: %w; an address of this machine with a free port is right, as in 0.0.0.0:7521", c.Class, err)
		}
		for _, a := range w.Classes.DoorAddresses() {
			at.Join = append(at.Join, "http://"+a+"/join")
		}
	}
	links, err := w.Classes.TeacherLinks()
	if err != nil {
		return command.Failed(err)
	}
	for _, l := range links {
		at.Teacher = append(at.Teacher, address+l)
	}
	return nil
}
