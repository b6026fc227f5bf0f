//go:build unix

package cli

import (
	"bufio"
	"bytes"
	"html"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"secondpass/face/cli/command"
	"secondpass/paper/wording"
)

// doubleClick starts the program without a command and without a terminal, as desktops do, and gives what it says, its status, and
// what it lets the browser show.
func doubleClick(t *testing.T, home string) (said, complained string, status int, shown string) {
	t.Helper()
	desktop := t.TempDir()
	pipe := filepath.Join(desktop, "shown")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"xdg-open", "open"} {
		if err := os.WriteFile(filepath.Join(desktop, name), []byte("#!/bin/sh\necho \"$1\" > '"+pipe+"'\n"), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	browser, err := os.OpenFile(pipe, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer browser.Close()
	cmd := exec.Command("secondpass")
	cmd.Env = append(os.Environ(), "PATH="+desktop+string(os.PathListSeparator)+os.Getenv("PATH"), "XDG_DATA_HOME="+home, "TMPDIR="+desktop)
	var out, trouble bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &trouble
	if err := cmd.Run(); cmd.ProcessState == nil {
		t.Fatal(err)
	}
	if err := browser.SetReadDeadline(time.Now().Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	shown, err = bufio.NewReader(browser).ReadString('\n')
	if err != nil {
		t.Fatalf("the browser shows nothing: %v\n%s%s", err, &out, &trouble)
	}
	return out.String(), trouble.String(), cmd.ProcessState.ExitCode(), strings.TrimSpace(shown)
}

// A second start without a command shows the workbook that is open, with its key where it has one.
func TestSecondStartShowsTheFirst(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	_, line := serveSaying(t, filepath.Join(home, "secondpass"))
	address := strings.TrimPrefix(line, "The workbook is open at ")
	said, complained, status, shown := doubleClick(t, home)
	if status != command.ExitDone || said != "The workbook is open already, at "+address+"\n" || complained != "" || shown != address {
		t.Errorf("the first: %q; status %d, said %q, complained %q, shown %q", line, status, said, complained, shown)
	}
}

// What keeps the workbook from opening is shown in the browser where nobody reads what a program says.
func TestWhyItDoesNotOpenIsShown(t *testing.T) {
	t.Parallel()
	refused := func(name, home, want string, wanted int) {
		t.Helper()
		_, complained, status, shown := doubleClick(t, home)
		page, err := os.ReadFile(shown)
		sentence := strings.TrimSpace(strings.TrimPrefix(complained, "secondpass: "))
		if status != wanted || err != nil || !strings.Contains(sentence, want) || !strings.Contains(html.UnescapeString(string(page)), "<b>"+wording.Capital(sentence)+".</b>") {
			t.Errorf("%s: status %d, %q, %v\n%s", name, status, complained, err, page)
		}
	}
	file := filepath.Join(t.TempDir(), "no <folder>")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	refused("no folder can be made", file, "cannot be made", command.ExitFailed)
	if l, err := net.Listen("tcp", "127.0.0.1:7520"); err == nil { // else another program has it, which does as well
		defer l.Close()
	}
	refused("the port is taken", t.TempDir(), "another program answers at 127.0.0.1:7520", command.ExitInput)
}
