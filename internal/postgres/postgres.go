//go:build unix

// Package postgres starts PostgreSQL for tests: a cluster of its own in a temporary folder, reached by a socket there alone.
package postgres

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// Server is a PostgreSQL server.
type Server struct {
	// URL is its address, for its owner.
	URL string

	t      testing.TB
	dir    string
	daemon string
	as     *syscall.SysProcAttr
	cmd    *exec.Cmd
	over   chan struct{} // closed once it has ended
	said   bytes.Buffer
}

// Start makes a cluster and starts its server, which ends with the test.
func Start(t testing.TB) *Server {
	t.Helper()
	s := begin(t)
	t.Cleanup(s.end)
	return s
}

// Shared is one server for all tests of a package, which starts when the first asks for it.
type Shared struct {
	once sync.Once
	s    *Server
}

// Start is the server.
func (s *Shared) Start(t testing.TB) *Server {
	t.Helper()
	s.once.Do(func() { s.s = begin(t) })
	if s.s == nil {
		t.Fatal("the server of the package did not start")
	}
	return s.s
}

// End ends it, where it was started; TestMain calls it.
func (s *Shared) End() {
	if s.s != nil {
		s.s.end()
	}
}

func begin(t testing.TB) *Server {
	t.Helper()
	initdb, daemon := program(t, "initdb"), program(t, "postgres")
	dir, err := os.MkdirTemp("", "pg")
	if err != nil {
		t.Fatal(err)
	}
	s := &Server{t: t, dir: dir, daemon: daemon, URL: "postgres://postgres@/postgres?host=" + dir, as: &syscall.SysProcAttr{}}
	started := false
	defer func() {
		if !started {
			s.end()
		}
	}()
	if os.Getuid() == 0 { // the server does not run as root
		s.lessThanRoot()
	}
	cluster := filepath.Join(dir, "data")
	if out, err := s.command(initdb, "-D", cluster, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync").CombinedOutput(); err != nil {
		t.Fatalf("initdb: %v\n%s", err, out)
	}
	s.Restart()
	started = true
	return s
}

func (s *Server) end() {
	s.Kill()
	_ = os.RemoveAll(s.dir) // what stays is in the temporary folder of the system
}

// program is one of PostgreSQL's: in the path, or where Debian keeps them.
func program(t testing.TB, name string) string {
	t.Helper()
	if path, err := exec.LookPath(name); err == nil {
		return path
	}
	all, err := filepath.Glob("/usr/lib/postgresql/*/bin/" + name)
	if err != nil || len(all) == 0 {
		t.Fatalf("no %s: ./check installs PostgreSQL", name)
	}
	return slices.Max(all)
}

func (s *Server) lessThanRoot() {
	s.t.Helper()
	u, err := user.Lookup("postgres")
	if err != nil {
		u, err = user.Lookup("nobody")
	}
	if err != nil {
		s.t.Fatal(err)
	}
	uid, err1 := strconv.ParseUint(u.Uid, 10, 32)
	gid, err2 := strconv.ParseUint(u.Gid, 10, 32)
	if err := errors.Join(err1, err2, os.Chown(s.dir, int(uid), int(gid))); err != nil {
		s.t.Fatal(err)
	}
	s.as.Credential = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
}

func (s *Server) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(name, args...)
	cmd.SysProcAttr, cmd.Dir = s.as, s.dir
	return cmd
}

// Restart starts the server again and waits until it answers. Where the processes of one that was killed are not all gone yet, it does
// not start, and is started again.
func (s *Server) Restart() {
	s.t.Helper()
	ready := program(s.t, "pg_isready")
	for tries := 0; tries < 600; tries++ {
		if s.cmd == nil {
			s.start()
		}
		if exec.Command(ready, "-q", "-h", s.dir).Run() == nil {
			return
		}
		select {
		case <-s.over:
			s.cmd = nil
		case <-time.After(50 * time.Millisecond):
		}
	}
	s.Kill()
	s.t.Fatalf("PostgreSQL does not answer:\n%s", s.said.String())
}

func (s *Server) start() {
	s.t.Helper()
	// Nothing outlives the machine, so that nothing need be synced; what a killed server wrote is there all the same.
	s.cmd = s.command(s.daemon, "-D", filepath.Join(s.dir, "data"), "-k", s.dir, "-c", "listen_addresses=", "-c", "fsync=off", "-c", "max_connections=60")
	s.cmd.Stdout, s.cmd.Stderr = &s.said, &s.said
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	s.over = make(chan struct{})
	go func(cmd *exec.Cmd, over chan struct{}) {
		_ = cmd.Wait() // how it ended is in what it said
		close(over)
	}(s.cmd, s.over)
}

// Kill ends the server and all its processes at once, as a failure of power would.
func (s *Server) Kill() {
	if s.cmd == nil {
		return
	}
	for _, pid := range s.Processes() {
		_ = syscall.Kill(pid, syscall.SIGKILL) // it may have ended
	}
	<-s.over
	s.cmd = nil
}

// Processes are the server's process and its children, each of which serves a connection or a task, where the system has /proc; else
// the first alone.
func (s *Server) Processes() []int {
	first := s.cmd.Process.Pid
	pids := []int{first}
	all, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil {
		return pids
	}
	for _, file := range all {
		data, err := os.ReadFile(file)
		if err != nil {
			continue // it has ended
		}
		fields := strings.Fields(string(data[bytes.LastIndexByte(data, ')')+1:])) // state, parent and so on, proc(5)
		pid, err := strconv.Atoi(filepath.Base(filepath.Dir(file)))
		if err == nil && len(fields) > 1 && fields[1] == strconv.Itoa(first) {
			pids = append(pids, pid)
		}
	}
	return pids
}

// URLAs is its address for another role.
func (s *Server) URLAs(role, database string) string {
	return fmt.Sprintf("postgres://%s@/%s?host=%s", role, database, s.dir)
}

// Owner and Serving are roles of whom the one owns the tables of a database, and the other serves from it.
const Owner, Serving = "owner", "serving"

// NewDatabase makes a database, as a copy of another or, where from is "", with nothing in it, and returns its addresses for both roles.
func (s *Server) NewDatabase(t testing.TB, name, from string) (owner, serving string) {
	t.Helper()
	if from == "" {
		from = "template0"
	}
	conn, err := pgx.Connect(t.Context(), s.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	for _, statement := range []string{
		"DO $$ BEGIN CREATE ROLE " + Owner + " LOGIN; CREATE ROLE " + Serving + " LOGIN; EXCEPTION WHEN duplicate_object OR unique_violation THEN END $$",
		"CREATE DATABASE " + name + " OWNER " + Owner + " TEMPLATE " + from,
	} {
		if _, err := conn.Exec(t.Context(), statement); err != nil {
			t.Fatal(err)
		}
	}
	return s.URLAs(Owner, name), s.URLAs(Serving, name)
}
