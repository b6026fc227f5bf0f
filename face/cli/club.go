package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"os/signal"
	"syscall"
	"time"

	"secondpass/club"
	"secondpass/face/cli/command"
	front "secondpass/face/club"
	"secondpass/store/folder"
	"secondpass/store/sql"
	"secondpass/work/workers"
)

type clubCmd struct {
	Database      string   `placeholder:"URL" help:"The PostgreSQL database of the club, by the role that serves, as in postgres://serving@host/club."`
	DatabaseOwner string   `placeholder:"URL" help:"The same database by the role that owns its tables: makes them, and brings them up to date. Not needed otherwise."`
	PublicURL     string   `name:"public-url" placeholder:"URL" help:"The address by which people reach the club, as in https://club.example."`
	Listen        string   `default:"127.0.0.1:7530" placeholder:"ADDR" help:"Address to listen on for the proxy; port 0 takes a free one."`
	Inner         string   `placeholder:"HOST:PORT" help:"The address by which other processes that serve this club reach this one, if it is not that of --listen: on one machine, or in a network that nobody else reads."`
	Proxies       []string `name:"proxy" default:"127.0.0.0/8,::1/128" placeholder:"NET" help:"Networks of the proxies that are trusted to say whom they pass on."`
	StorageEach   int      `default:"256" placeholder:"MB" help:"How much each teacher may keep, in MB; 0 for as much as there is room."`
	WorkEach      float64  `default:"8" placeholder:"HOURS" help:"How many hours of one processor the simulations of each teacher may take in a day; 0 for as many as they like."`
	OwnerLink     bool     `xor:"instead" help:"Print a link by which the owner comes in, once, and end. It may be asked for while the club is served."`
	Backup        string   `xor:"instead" placeholder:"FILE" help:"Put the whole database of --database-owner into a file, read it back, and end; the club may be served meanwhile."`
	Restore       string   `xor:"instead" placeholder:"FILE" help:"Put what such a file holds into an empty database, read it back, and end; with --database and --database-owner."`
}

// Help says what a club is, and what it is not yet.
func (clubCmd) Help() string {
	return "Many teachers share one address, each with a workbook of her own; people sign in with passkeys, students need a code or a link alone. " +
		"A proxy before it has the certificate. The first time it prints a link by which the owner comes in; she invites the others.\n\n" +
		"All that is kept is in the database; the data folder says alone that a process serves. Several processes can serve one club, each with a data folder of its own: " +
		"each workbook is open in one of them, the others pass its requests on, and where one ends another takes its workbooks over. " +
		"With --workers long work goes to those who have joined there (see work), as long as some are there.\n\nThe page docs/club.md says more, from an empty machine on."
}

func (*clubCmd) Answers() command.Answers { return command.One(openedClub{}) }

// openedClub is where a club is open.
type openedClub struct {
	// Address is the public one, Listening where the proxy finds it, "" where nothing is served.
	Address   string `json:"address"`
	Listening string `json:"listening"`
	// OwnerLink lets the owner in, once; "" where there is an owner and no link was asked for.
	OwnerLink string `json:"owner_link"`
	// File is the backup that was made or restored, "" where none was asked for.
	File string `json:"file"`
}

func (c *clubCmd) Run(g *command.Globals) error {
	public, proxies, err := c.read()
	if err != nil {
		return err
	}
	if c.Backup != "" || c.Restore != "" {
		return c.keep(g)
	}
	g.Serving = !c.OwnerLink
	d, err := sql.Connect(c.Database, c.DatabaseOwner)
	if err != nil {
		return command.Failed(err)
	}
	defer d.Close()
	people := club.New(sql.People{Database: d})
	at := openedClub{Address: public.Scheme + "://" + public.Host}
	owned, err := people.HasOwner()
	if err == nil && (c.OwnerLink || !owned) {
		var token string
		token, err = people.OwnerToken()
		at.OwnerLink = at.Address + "/invitation/" + token
	}
	if err != nil {
		return command.Failed(err)
	}
	if c.OwnerLink {
		return at.tell(g)
	}
	d.Most = int64(c.StorageEach) << 20
	setup := front.Setup{Club: people, Teachers: front.Kept{Database: d}, Public: public, Proxies: proxies, Log: front.NewLog(g.Stderr),
		Storage: d.Most, Work: time.Duration(c.WorkEach * float64(time.Hour))}
	if url := g.WorkersURL(); url != "" {
		setup.Workers = workers.NewSender(url, func(text string) { setup.Log.Warn(text) })
		defer setup.Workers.Close()
		setup.Look = func(ctx context.Context) (*workers.Standing, error) { return workers.Look(ctx, url) }
	}
	return c.serve(g, &at, setup)
}

// keep makes a backup, or restores one.
func (c *clubCmd) keep(g *command.Globals) error {
	if c.Restore != "" {
		if err := sql.Restore(c.Restore, c.Database, c.DatabaseOwner); err != nil {
			return command.Failed(err)
		}
		return (&openedClub{File: c.Restore}).tell(g)
	}
	if err := sql.Dump(c.DatabaseOwner, c.Backup); err != nil {
		return command.Failed(err)
	}
	return (&openedClub{File: c.Backup}).tell(g)
}

// The most of what each teacher may be given: MB, and hours in a day, of so many processors.
const (
	maxStorage = 1 << 20
	maxWork    = 24 * 1024
)

// needs says which flag is missing, or cannot be.
func (c *clubCmd) needs() error {
	owner, serving, public := c.DatabaseOwner == "", c.Database == "", c.PublicURL == ""
	switch {
	case c.Backup != "" && owner:
		return errors.New("--backup needs --database-owner URL, by whom the tables are read")
	case c.Restore != "" && (owner || serving):
		return errors.New("--restore needs --database-owner URL and --database URL")
	case c.StorageEach < 0 || c.StorageEach > maxStorage:
		return fmt.Errorf("--storage-each %d: MB from 0 to %d are right", c.StorageEach, maxStorage)
	case !(c.WorkEach >= 0 && c.WorkEach <= maxWork):
		return fmt.Errorf("--work-each %v: hours from 0 to %d are right", c.WorkEach, maxWork)
	case c.Backup == "" && c.Restore == "" && (serving || public):
		return errors.New("--database URL and --public-url URL are right, as in --database postgres://serving@host/club --public-url https://club.example")
	}
	return nil
}

// read reads what was given.
func (c *clubCmd) read() (public *url.URL, proxies []netip.Prefix, err error) {
	if err := c.needs(); err != nil {
		return nil, nil, err
	}
	if err := checkDatabases(c.Database, c.DatabaseOwner); err != nil {
		return nil, nil, err
	}
	if c.Backup != "" || c.Restore != "" {
		return nil, nil, nil
	}
	if host, port, bad := net.SplitHostPort(c.Inner); c.Inner != "" && (bad != nil || host == "" || port == "" || port == "0") {
		return nil, nil, fmt.Errorf("--inner %s: HOST:PORT is right, as in 10.0.0.7:7530", c.Inner)
	}
	if public, err = url.Parse(c.PublicURL); err != nil {
		return nil, nil, fmt.Errorf("--public-url %s: an address is right, as in https://club.example", c.PublicURL)
	}
	if err := front.CheckPublic(public); err != nil {
		return nil, nil, fmt.Errorf("--public-url %w", err)
	}
	for _, text := range c.Proxies {
		p, err := netip.ParsePrefix(text)
		if a, one := netip.ParseAddr(text); one == nil {
			p, err = netip.PrefixFrom(a, a.BitLen()), nil
		}
		if err != nil {
			return nil, nil, fmt.Errorf("--proxy %s: an address or a network is right, as in 192.0.2.7 or 10.0.0.0/8", text)
		}
		proxies = append(proxies, p)
	}
	return public, proxies, nil
}

// checkDatabases says why the addresses of a database cannot be ones; "" is none.
func checkDatabases(database, owner string) error {
	for flag, given := range map[string]string{"--database": database, "--database-owner": owner} {
		if u, err := url.Parse(given); given != "" && (err != nil || u.Scheme != "postgres" && u.Scheme != "postgresql") {
			return fmt.Errorf("%s: the address of a PostgreSQL database is right, as in postgres://role@host/name", flag)
		}
	}
	return nil
}

// tell says where the club is open.
func (at *openedClub) tell(g *command.Globals) error {
	if g.JSON {
		return g.Answer(at)
	}
	if at.Listening != "" {
		fmt.Fprintf(g.Stdout, "The club is open at %s, once the proxy passes it on to %s\n", at.Address, at.Listening)
	}
	if at.File != "" {
		fmt.Fprintf(g.Stdout, "All of the club is in the database, and in %s\n", at.File)
	}
	if at.OwnerLink != "" {
		fmt.Fprintf(g.Stdout, "Whoever opens this comes in as the owner, once, within seven days: %s\n", at.OwnerLink)
	}
	return nil
}

// serve serves until it is ended.
func (c *clubCmd) serve(g *command.Globals, at *openedClub, setup front.Setup) error {
	serving, err := folder.Serve(g.DataDir())
	if err != nil {
		return command.Failed(err)
	}
	defer serving.Release()
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("--listen %s: no address that this machine can listen on; HOST:PORT is right, as in 127.0.0.1:7530", c.Listen)
	}
	defer l.Close()
	at.Listening = "http://" + l.Addr().String()
	if err := serving.At(at.Address, at.Address); err != nil {
		return command.Failed(err)
	}
	setup.Inner = cmp.Or(c.Inner, innerOf(l.Addr()))
	f, err := front.New(setup)
	if err != nil {
		return command.Failed(err)
	}
	defer f.Leave()
	ctx, stop := signal.NotifyContext(g.Context, syscall.SIGTERM)
	defer stop()
	server := &http.Server{Handler: f.Handler(), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10,
		ErrorLog: slog.NewLogLogger(setup.Log.Handler(), slog.LevelWarn), BaseContext: func(net.Listener) context.Context { return ctx }}
	if err := at.tell(g); err != nil {
		return err
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		f.Close()
		return command.Failed(err)
	case <-ctx.Done(): // what flows ends with it
	}
	handedOver := make(chan struct{})
	go func() {
		defer close(handedOver)
		f.Close()
	}()
	short, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	err = server.Shutdown(short)
	<-handedOver
	if err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return command.Failed(err)
	}
	return nil
}

// innerOf is where others on this machine reach what listens.
func innerOf(listening net.Addr) string {
	host, port, err := net.SplitHostPort(listening.String())
	if a, bad := netip.ParseAddr(host); err == nil && bad == nil && a.IsUnspecified() {
		return net.JoinHostPort("127.0.0.1", port)
	}
	return listening.String()
}
