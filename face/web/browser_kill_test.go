package web_test

import (
	"bufio"
	"flag"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"secondpass/internal/browser"
	"secondpass/store/sql"
)

var kills = flag.Int("kills", 3, "how often the program is killed, or asked to end, in the middle of work")

// run starts the program's own server over a data folder and gives its address and how to kill it without warning.
func run(t *testing.T, dir string) (*book, func()) {
	t.Helper()
	cmd := exec.Command(program, "serve", "--no-browser", "--listen", "127.0.0.1:0", "--data", dir)
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	killed := false
	kill := func() {
		if !killed {
			killed = true
			cmd.Process.Kill() // SIGKILL, as kill -9
			cmd.Wait()
		}
	}
	t.Cleanup(kill)
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if _, address, ok := strings.Cut(lines.Text(), "http://"); ok {
			return at(t, dir, "http://"+address), kill
		}
	}
	t.Fatal("the server said no address")
	return nil, nil
}

// freeAddress is one of this machine at which nobody listens.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// runAt is run at an address, so that a page stays where it is when the server is killed and started again.
func runAt(t *testing.T, dir, address string) (kill func()) {
	t.Helper()
	cmd := exec.Command(program, "serve", "--no-browser", "--listen", address, "--data", dir)
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	if !bufio.NewScanner(out).Scan() {
		t.Fatal("the server says nothing")
	}
	kill = func() { cmd.Process.Kill(); cmd.Wait() }
	t.Cleanup(kill)
	return kill
}

func TestKilledServerLosesNothing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	b, kill := run(t, dir)
	p := b.see(browser.Desk, "/exercises")
	p.Follow(p.Named("Deal a rack"))
	step := p.Path()
	for range 2 {
		choose(p, 3)
		p.Follow("#go")
	}
	p.Follow(p.Named("Fork here"))
	fork := p.Path()
	choose(p, 3)
	p.Follow("#go")
	// What is on the page, and what the file of the exercise says.
	const rack = `[...document.querySelectorAll("h1, .rackline svg, .rack input, .last svg")].map(e => e.getAttribute("aria-label") ?? e.innerText).join(", ")`
	shown := browser.Eval[string](p, rack)
	_, kept := b.get(parent(step) + "/file")
	// While it computes and just after a form was sent is the worst moment.
	b.post(step+"/advice", map[string][]string{"act": {"go"}})
	p.Follow(p.Named("Undo"))
	kill()

	again, _ := run(t, dir)
	if _, text := again.get(parent(step) + "/file"); text == kept {
		t.Error("the undo that was answered before the kill is lost")
	}
	p.Go(again.address + fork)
	p.UntilText("h1", "Three to the left")
	choose(p, 3)
	p.Follow("#go")
	if got := browser.Eval[string](p, rack); !strings.HasPrefix(got, "Stop here, or go on?") || !strings.HasPrefix(shown, "Stop here, or go on?") {
		t.Errorf("after the restart the same choice leads to %q, before it led to %q", got, shown)
	}
	if _, text := again.get(parent(step) + "/file"); text != kept {
		t.Errorf("decided again, the file differs from the one before the kill:\n%.600s\n%.600s", text, kept)
	}
	p.Go(again.address + step)
	if n := p.Count(".ladder .done"); n != 2 {
		t.Errorf("after the restart route A has %d steps done, wanted 2", n)
	}
	if p.Count(".last .passed") != 3 {
		t.Error("after the restart the last pass is not shown")
	}
}

// While the server is gone the card editor does not say that it saves; when it is back, what was typed meanwhile is kept.
func TestEditorOfADeadServer(t *testing.T) {
	t.Parallel()
	dir, address := t.TempDir(), freeAddress(t)
	kill := runAt(t, dir, address)
	b := at(t, dir, "http://"+address)
	p := b.see(browser.Desk, "/cards")
	p.Type(`form.stack [name=name]`, "Own card")
	p.Follow(p.Named("Write the card"))
	p.UntilText("#check [role=status]", "Saved")
	kill()
	p.Click("#text")
	p.Press("#", "x")
	p.UntilText("#check [role=status]", "Not saved: the workbook does not answer")
	runAt(t, dir, address)
	p.Until("it is saved again", `!document.querySelector("#check").innerText.includes("Not saved")`)
	_, text := b.get("/cards/Own%20card/edit")
	if !strings.Contains(text, "#x") {
		t.Error("what was typed while the server was gone is not kept")
	}
}

// Killed, or asked to end, in the middle of forms from several windows, the program has kept each exercise that it has
// acknowledged, once, and of those under way each once or not at all; what it shows is whole.
func TestRandomKills(t *testing.T) {
	t.Parallel()
	const windows = 4
	dir := t.TempDir()
	acknowledged, sent, read := map[string]bool{}, map[string]bool{}, map[string]bool{}
	lots := rand.New(rand.NewPCG(1, 0))
	for round := range *kills {
		cmd := exec.Command(program, "serve", "--no-browser", "--listen", "127.0.0.1:0", "--data", dir)
		out, err := cmd.StdoutPipe()
		if err == nil {
			err = cmd.Start()
		}
		if err != nil {
			t.Fatal(err)
		}
		lines, address := bufio.NewScanner(out), ""
		for address == "" && lines.Scan() {
			_, address, _ = strings.Cut(lines.Text(), "http://")
		}
		var mu sync.Mutex
		var all sync.WaitGroup
		for window := range windows {
			all.Go(func() {
				client := &http.Client{Timeout: 20 * time.Second, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
				for n := 0; ; n++ {
					name := fmt.Sprintf("Exercise %d %d %d", round, window, n)
					mu.Lock()
					sent[name] = true
					mu.Unlock()
					answer, err := client.PostForm("http://"+address+"/exercises", url.Values{"act": {"deal"}, "seed": {strconv.Itoa(n)}, "name": {name}})
					if err != nil {
						return // it is gone
					}
					answer.Body.Close()
					if answer.StatusCode != http.StatusSeeOther {
						t.Errorf("%s: %d", name, answer.StatusCode)
						return
					}
					mu.Lock()
					acknowledged[name] = true
					mu.Unlock()
				}
			})
		}
		time.Sleep(time.Duration(50+lots.IntN(400)) * time.Millisecond)
		if lots.IntN(3) == 0 {
			cmd.Process.Signal(os.Interrupt)
		} else {
			cmd.Process.Kill()
		}
		all.Wait()
		cmd.Wait()
		s, err := sql.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		list, err := s.List(false)
		if err != nil {
			t.Fatal(err)
		}
		kept := map[string]bool{}
		for _, e := range list {
			if kept[e.Name] || e.ID != 1 && !sent[e.Name] { // 1 is the sample
				t.Errorf("%s is kept twice, or was never sent", e.Name)
			}
			kept[e.Name] = true
			if read[e.Name] && round+1 < *kills { // once when it is new, and all at the end
				continue
			}
			if _, err := s.Load(strconv.FormatInt(e.ID, 10)); err != nil {
				t.Errorf("%s: %v", e.Name, err)
			}
			read[e.Name] = true
		}
		for name := range acknowledged {
			if !kept[name] {
				t.Errorf("%s was acknowledged and is lost", name)
			}
		}
		s.Close()
	}
	t.Logf("%d ends; of %d exercises sent, %d were acknowledged", *kills, len(sent), len(acknowledged))
}
