//go:build unix

package cli

import (
	"bufio"
	"errors"
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"secondpass/store/folder"
	"secondpass/store/sql"
)

// serve starts a server over a data folder and waits until it says where it answers.
func serve(t *testing.T, dir string) *exec.Cmd {
	t.Helper()
	cmd, _ := serveSaying(t, dir)
	return cmd
}

// serveSaying is that with more flags, and the first line that the server says.
func serveSaying(t *testing.T, dir string, flags ...string) (*exec.Cmd, string) {
	t.Helper()
	return startSaying(t, append([]string{"serve", "--no-browser", "--listen", "127.0.0.1:0", "--data", dir}, flags...)...)
}

// startSaying starts a command that goes on, and waits for the first line that it says.
func startSaying(t *testing.T, line ...string) (*exec.Cmd, string) {
	t.Helper()
	cmd := exec.Command("secondpass", line...)
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill() })
	said := bufio.NewScanner(out)
	if !said.Scan() {
		t.Fatal("the server says nothing")
	}
	return cmd, said.Text()
}

// What a server tells programs is as its schema says.
func TestServeAnswers(t *testing.T) {
	s, err := schemaOf(docs, answering()["serve"])
	if err != nil {
		t.Fatal(err)
	}
	cmd, said := serveSaying(t, filepath.Join(t.TempDir(), "data"), "--json")
	if n, err := validate(s, []byte(said)); err != nil || n != 1 || !strings.HasPrefix(said, `{"address":"http://127.0.0.1:`) {
		t.Errorf("%s: %v", said, err)
	}
	if err := errors.Join(cmd.Process.Signal(syscall.SIGTERM), cmd.Wait()); err != nil {
		t.Error(err)
	}
}

// However a server is asked to end, it ends in order, and the data file alone holds everything. A second server of the
// folder says where the first is; commands beside it work.
func TestServersEnd(t *testing.T) {
	t.Parallel()
	for _, s := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP, syscall.SIGINT} {
		if signal.Ignored(s) {
			continue // begun under nohup, say, whose whole point it is that a server then goes on
		}
		dir := filepath.Join(t.TempDir(), "data")
		cmd := serve(t, dir)
		if out, err := exec.Command("secondpass", "serve", "--no-browser", "--listen", "127.0.0.1:0", "--data", dir).CombinedOutput(); err == nil || !strings.Contains(string(out), "served already, at http://127.0.0.1:") {
			t.Errorf("%v: a second server: %v\n%s", s, err, out)
		}
		if out, err := exec.Command("secondpass", "student", "add", "Ana", "--data", dir).CombinedOutput(); err != nil {
			t.Errorf("%v: a command beside the server: %v\n%s", s, err, out)
		}
		if err := cmd.Process.Signal(s); err != nil {
			t.Fatal(err)
		}
		if err := cmd.Wait(); err != nil {
			t.Errorf("after %v the server ends with %v", s, err)
		}
		data, err := os.ReadFile(filepath.Join(dir, sql.FileName))
		if err != nil {
			t.Fatal(err)
		}
		alone := t.TempDir()
		if err := os.WriteFile(filepath.Join(alone, sql.FileName), data, 0o600); err != nil {
			t.Fatal(err)
		}
		kept, err := sql.Open(alone)
		if err != nil {
			t.Fatal(err)
		}
		if st, err := kept.Student("Ana"); err != nil || st.Name != "Ana" {
			t.Errorf("after %v the data file alone holds %v, %v", s, st, err)
		}
		kept.Close()
		if _, err := os.Stat(filepath.Join(dir, sql.FileName+"-wal")); err == nil {
			t.Errorf("after %v a log is left", s)
		}
	}
}

// A snapshot is restored from the page: the workbook ends, begins again at its address with what was in the snapshot, and ends in order.
func TestRestoreFromThePage(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	cmd, said := serveSaying(t, dir)
	address := said[strings.Index(said, "http://"):]
	ask := func(path string, f url.Values) string {
		t.Helper()
		r, err := http.NewRequest("POST", address+path, strings.NewReader(f.Encode()))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", address)
		answer, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	ask("/backups", nil)
	list, err := folder.ListSnapshots(dir)
	if err != nil || len(list) == 0 {
		t.Fatal(list, err)
	}
	ask("/practice", url.Values{"act": {"add"}, "name": {"Late"}}) // after the snapshot
	wish := url.Values{"snapshot": {list[0].Name}}
	if text := ask("/backups/restore", wish); !strings.Contains(text, "Leave all as it is") {
		t.Fatalf("it is not asked first:\n%s", text)
	}
	wish.Set("sure", "yes")
	if text := ask("/backups/restore", wish); !strings.Contains(text, "begins again") {
		t.Fatalf("nothing is restored:\n%s", text)
	}
	text := ""
	for range 6000 { // only bounds a test that hangs
		answer, err := http.Get(address + "/practice")
		if err == nil {
			data, _ := io.ReadAll(answer.Body)
			answer.Body.Close()
			if text = string(data); !strings.Contains(text, "Late") && answer.StatusCode == http.StatusOK {
				break
			}
		}
		time.Sleep(50 * time.Millisecond) // it is away for a moment
	}
	if aside, _ := filepath.Glob(filepath.Join(dir, "before-restore-*")); strings.Contains(text, "Late") || text == "" || len(aside) != 1 {
		t.Errorf("what is there is not the snapshot's, or what was there is gone (%v):\n%.300s", aside, text)
	}
	if err := errors.Join(cmd.Process.Signal(syscall.SIGTERM), cmd.Wait()); err != nil {
		t.Error(err)
	}
}
