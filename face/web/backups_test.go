package web_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"secondpass/internal/browser"
	"secondpass/store/folder"
	"secondpass/store/sql"
)

// What the page of backups gives away can be restored, elsewhere too; what is damaged it calls so.
func TestBackupsPage(t *testing.T) {
	t.Parallel()
	b := open(t)
	b.deal("seed", "7", "name", "To be kept")
	if _, text := b.get("/help"); !strings.Contains(text, `href="/backups"`) {
		t.Error("the help leads to no backups")
	}
	if _, text := b.get("/backups"); !strings.Contains(text, "There is none yet") || !strings.Contains(text, b.dir) {
		t.Errorf("before any snapshot:\n%s", shorten(text))
	}
	if to := b.post("/backups", nil); to != "/backups?made=1" {
		t.Errorf("made: %s", to)
	}
	list, err := folder.ListSnapshots(b.dir)
	if err != nil || len(list) != 1 {
		t.Fatal(list, err)
	}
	name := list[0].Name
	for _, path := range []string{"/backups/now/file", "/backups/snapshots/" + url.PathEscape(name) + "/file"} {
		code, data := b.get(path)
		file, elsewhere := filepath.Join(t.TempDir(), "taken.zip"), t.TempDir()
		if err := os.WriteFile(file, []byte(data), 0o600); err != nil || code != http.StatusOK {
			t.Fatalf("%s: %d, %v", path, code, err)
		}
		if _, err := folder.Restore(elsewhere, file, time.Now()); err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		s, err := sql.Open(elsewhere)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Load("To be kept"); err != nil {
			t.Errorf("%s: %v", path, err)
		}
		s.Close()
	}
	check := func(f url.Values, want string) {
		t.Helper()
		code, text := b.send("POST", "/backups/check", f.Encode())
		if code != http.StatusOK || !strings.Contains(text, want) {
			t.Errorf("%v: %d, wanted %q\n%s", f, code, want, shorten(text))
		}
	}
	check(nil, "Everything is sound")
	check(nil, "exercise: 2")
	check(url.Values{"snapshot": {name}}, "Everything is sound")
	path := filepath.Join(b.dir, folder.SnapshotFolder, name)
	whole, err := os.ReadFile(path)
	if err == nil {
		err = os.WriteFile(path, whole[:len(whole)/2], 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	check(url.Values{"snapshot": {name}}, "1 thing damaged")
	for _, odd := range []string{"nothing.zip", "../secondpass.db", ".."} {
		if code, _ := b.send("POST", "/backups/check", url.Values{"snapshot": {odd}}.Encode()); code != http.StatusNotFound {
			t.Errorf("check %s: %d", odd, code)
		}
		if code, _ := b.get("/backups/snapshots/" + url.PathEscape(odd) + "/file"); code != http.StatusNotFound {
			t.Errorf("get %s: %d", odd, code)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(b.dir, "saving-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// An open page says that the workbook is gone, in words that are read out, and that it is back; nobody has to load it again,
// and nothing that is typed is lost. One that stops the workbook leaves a page that says so.
func TestBarWhileTheWorkbookIsGone(t *testing.T) {
	t.Parallel()
	dir, address := t.TempDir(), freeAddress(t)
	kill := runAt(t, dir, address)
	p := at(t, dir, "http://"+address).see(browser.Desk, "/cards")
	p.Type(`form.stack [name=name]`, "Half a na")
	kill()
	p.UntilText("#trouble[role=status]", "The workbook does not answer")
	if *pictures != "" {
		p.Picture(filepath.Join(*pictures, "gone.png"))
		p.As(browser.Phone)
		p.Picture(filepath.Join(*pictures, "gone-phone.png"))
		p.As(browser.Desk)
	}
	runAt(t, dir, address)
	p.UntilText("#trouble", "The workbook answers again")
	p.Until("the bar goes", `document.querySelector("#trouble").textContent === ""`)
	if name := browser.Eval[string](p, `document.querySelector("form.stack [name=name]").value`); name != "Half a na" {
		t.Errorf("what was typed is now %q", name)
	}
	p.Go("http://" + address + "/stop")
	p.Click("form[action='/stop'] button")
	p.UntilText("h1", "The workbook is stopped")
	judge(t, p, "stopped") // a page that needs nobody any more
}
