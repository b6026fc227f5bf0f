//go:build unix

package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"secondpass/face/cli/command"
)

// session is a command at a terminal of its own.
type session struct {
	t        *testing.T
	name     string
	cmd      *exec.Cmd
	terminal *os.File
	mu       sync.Mutex
	shown    bytes.Buffer
	read     chan struct{} // closed when all that it printed is shown
	pressed  time.Time     // the last Ctrl-C
	worked   time.Duration // what it had worked by then
}

// atTerminal starts a program at a pseudo-terminal, over a data folder.
func atTerminal(t *testing.T, dir string, program ...string) *session {
	t.Helper()
	s := &session{t: t, name: strings.Join(program, " "), cmd: exec.Command(program[0], program[1:]...), read: make(chan struct{})}
	s.cmd.Env = append(os.Environ(), "XDG_DATA_HOME="+dir)
	s.cmd.Dir = dir
	terminal, err := pty.Start(s.cmd)
	if err != nil {
		t.Fatal(err)
	}
	s.terminal = terminal
	t.Cleanup(func() { s.cmd.Process.Kill(); terminal.Close() })
	go func() {
		defer close(s.read)
		readTerminal(terminal, func(part []byte) {
			s.mu.Lock()
			defer s.mu.Unlock()
			s.shown.Write(part)
		})
	}()
	return s
}

func (s *session) text() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.shown.String()
}

// until waits until something is shown.
func (s *session) until(what string) {
	s.t.Helper()
	for wait := time.Now().Add(5 * time.Minute); !strings.Contains(s.text(), what); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(wait) {
			s.t.Fatalf("%s: %q is not shown in\n%s", s.name, what, s.text())
		}
	}
}

func (s *session) typed(text string) {
	s.t.Helper()
	if _, err := io.WriteString(s.terminal, text); err != nil {
		s.t.Fatal(err)
	}
}

// interrupt presses Ctrl-C.
func (s *session) interrupt() {
	s.t.Helper()
	s.pressed, s.worked = time.Now(), workedBy(s.cmd.Process.Pid)
	s.typed("\x03")
}

// workedBy is how long the processors have worked for a process, 0 where the system does not tell.
func workedBy(process int) time.Duration {
	text, _ := os.ReadFile(fmt.Sprintf("/proc/%d/stat", process))
	_, fields, _ := strings.Cut(string(text), ") ") // the name before it may hold anything
	var ticks [2]int
	if f := strings.Fields(fields); len(f) > 12 {
		for i := range ticks {
			ticks[i], _ = strconv.Atoi(f[11+i]) // utime and stime of proc(5), at 100 a second
		}
	}
	return time.Duration(ticks[0]+ticks[1]) * time.Second / 100
}

// crowded says that the machine has had more to do in the last minute than it has processors.
func crowded() bool {
	text, _ := os.ReadFile("/proc/loadavg")
	var load float64
	fmt.Sscan(string(text), &load)
	return load > float64(runtime.NumCPU())
}

// ended waits for the end, and says the status as a shell does and how long it took from the last Ctrl-C on. Where other work
// keeps the machine busy, that is the command's own part of it.
func (s *session) ended() (status int, took time.Duration, shown string) {
	s.t.Helper()
	late := time.AfterFunc(time.Minute, func() { s.cmd.Process.Kill() })
	defer late.Stop()
	err := s.cmd.Wait()
	if took = time.Since(s.pressed); crowded() {
		took = min(took, s.cmd.ProcessState.UserTime()+s.cmd.ProcessState.SystemTime()-s.worked)
	}
	<-s.read
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		s.t.Fatal(err)
	}
	status = s.cmd.ProcessState.ExitCode()
	if by := s.cmd.ProcessState.Sys().(syscall.WaitStatus); by.Signaled() {
		status = 128 + int(by.Signal())
	}
	return status, took, s.text()
}

// soon is within how long a command ends after Ctrl-C.
const soon = 2 * time.Second

// stopped wants that a command, interrupted, ended by that, in time, and that it showed something.
func (s *session) stopped(shows ...string) {
	s.t.Helper()
	status, took, shown := s.ended()
	if status != command.ExitInterrupted || took > soon {
		s.t.Errorf("%s: status %d, %s after Ctrl-C\n%s", s.name, status, took, shown)
	}
	for _, text := range shows {
		if !strings.Contains(shown, text) {
			s.t.Errorf("%s: %q is not shown in\n%s", s.name, text, shown)
		}
	}
}

// One Ctrl-C leaves every prompt, and what was done before is kept.
func TestInterruptedPrompts(t *testing.T) {
	t.Parallel()
	rack := []string{"--rack", "228b 14699c 7d EW F J"}
	for _, c := range []struct {
		args  []string
		steps []string // what is waited for, and what is then typed, by turns; Ctrl-C at the end
		shows string
	}{
		{append([]string{"walk", "--seed", "5"}, rack...), []string{"> "}, `walk "Rack 228b`},
		{append([]string{"walk", "--incoming", "entered", "--name", "Came"}, rack...), []string{"> ", "14c 7d\n", "What came?"}, `walk "Came"`},
		{append([]string{"walk", "--seed", "5", "--name", "Advised"}, rack...), []string{"> ", "advise\n", "advise"}, `walk "Advised"`},
		{append([]string{"walk", "--seed", "5", "--name", "Reviewed"}, rack...), []string{"> ", "14c 7d\n", "> ", "review\n", "review"}, `walk "Reviewed"`},
		{[]string{"drill", "read"}, []string{"Your answer (or quit): "}, ""},
		{[]string{"drill", "read"}, []string{"Your answer (or quit): ", "Nonesuch\n", "quit.\r\nYour answer"}, "is not on the card"},
		{[]string{"fit", "-"}, []string{"", "123b\n", "error"}, ""},
		{[]string{"rules", "pass"}, []string{"", "{}\n", "error"}, ""},
		{[]string{"rules", "pay"}, []string{"", "{}\n", "error"}, ""},
	} {
		s := atTerminal(t, t.TempDir(), append([]string{"secondpass"}, c.args...)...)
		for i, step := range c.steps {
			if i%2 == 0 {
				s.until(step)
			} else {
				s.typed(step)
			}
		}
		s.interrupt()
		s.stopped(c.shows)
	}
}
