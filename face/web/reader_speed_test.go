package web_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/face/reader"
	"secondpass/internal/browser"
	"secondpass/store/files"
)

var readerSpeed = flag.Bool("readerspeed", false, "measure a reader's page beside the program")

// mostMemory is how much of it a reader's page may take while it judges, in MB: the browser's process of the page with all workers.
const mostMemory = 300

// A reader's page beside the program: size, start, first look, judgement and memory, both on all cores, as the table of docs/performance.md has them. Figures
// are printed; but for size and memory nothing is claimed of a machine that does something else meanwhile.
func TestReaderSpeed(t *testing.T) {
	if !*readerSpeed {
		t.Skip("run with -readerspeed")
	}
	program := filepath.Join(t.TempDir(), "secondpass")
	if out, err := exec.Command("go", "build", "-o", program, "secondpass/cmd/secondpass").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	b := open(t)
	step := b.deal("seed", "11", "name", "Speed")
	_, page := b.get(parent(step) + "/reader-page")
	file := filepath.Join(t.TempDir(), "speed.html")
	if err := os.WriteFile(file, []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
	p := browser.Open(t, browser.Desk, "file://"+file)
	p.Until("the engine is there", `"ready" in document.documentElement.dataset`)
	ready := browser.Eval[float64](p, `performance.now() / 1000`)
	rack := browser.Eval[float64](p, `performance.getEntriesByName("first-contentful-paint")[0].startTime / 1000`)
	p.Click("details.closed summary")
	p.Click(`details.closed a.btn`)
	p.UntilText("h1", "Advice")
	begun := time.Now()
	p.Click(`#advice button[value=go]`)
	p.Until("the first look", `document.querySelector("#advice table.cands")`)
	look := time.Since(begun)
	memory, pages := 0., renderers(t)
	for !browser.Eval[bool](p, `document.querySelector("#advice form.live")?.innerText.includes("Go on") ?? false`) {
		memory = max(memory, rendered(pages))
		time.Sleep(200 * time.Millisecond) // looking takes time of the processor from what is measured
	}
	inPage := time.Since(begun)
	crowded := 0. // on a machine of many cores
	browser.Eval[int](p, `(Object.defineProperty(navigator, "hardwareConcurrency", { value: 16 }), 0)`)
	p.Click(`#advice button[value=go]`)
	p.Until("it goes on", `document.querySelector("#advice button[value=stop]")`)
	for range 75 {
		crowded = max(crowded, rendered(pages))
		time.Sleep(200 * time.Millisecond)
	}
	browser.Eval[int](p, `(document.querySelector("#advice button[value=stop]")?.click(), 0)`) // it may have come to its end

	native, games := judgedHere(t, b, step)
	size, err := os.Stat(program)
	if err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	if out, err := exec.Command(program, "version").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	start := time.Since(began)
	cmd := exec.Command(program, "--data", b.dir, "advise", number(step), "--games", strconv.Itoa(reader.UsualGames))
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	resident := float64(cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss) / 1024
	t.Logf("| | program | page |\n| --- | --- | --- |\n| size | %.1f MB | %.2f MB |\n| start | %.2f s | rack seen after %.1f s, engine ready after %.1f s |\n| first look | | %.1f s |\n"+
		"| advice on the first pass, %d games | %.1f s, %.0f games a second | %.1f s, %.0f games a second |\n| most memory | %.0f MB | %.0f MB; with as many workers as it ever has %.0f MB |",
		float64(size.Size())/1e6, float64(len(page))/1e6, start.Seconds(), rack, ready, look.Seconds(), games, native.Seconds(), float64(games)/native.Seconds(), inPage.Seconds(), float64(games)/inPage.Seconds(), resident, memory, crowded)
	if most := max(memory, crowded); most > mostMemory || memory == 0 {
		t.Errorf("the page takes %.0f MB; %d are the most", most, mostMemory)
	}
}

// judgedHere judges the same decision in this program, with what the page has with it, and says how long it took and how many games, short ones
// and whole ones, were played.
func judgedHere(t *testing.T, b *book, step string) (time.Duration, int) {
	t.Helper()
	given := stored(b, number(step))
	d := &desk.Desk{Files: files.In(t.TempDir(), nil)}
	counsel, err := d.Counsel(given, desk.Judge{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := counsel.Shown(context.Background()); err != nil {
		t.Fatal(err)
	}
	fresh := given.Fresh()
	trail, err := fresh.Replay(fresh.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	begun := time.Now()
	a, err := counsel.Advise(context.Background(), trail.Now.View(), nil, advice.Budget{Games: reader.UsualGames}, nil)
	if err != nil {
		t.Fatal(err)
	}
	played := a.Games
	for i := range a.Candidates {
		if a.Candidates[i].Final {
			played += a.Whole
		}
	}
	return time.Since(begun), played
}

// renderers are the folders under /proc of the browser's processes of pages (Linux).
func renderers(t *testing.T) []string {
	t.Helper()
	parents := map[int]int{}
	var pages []int
	all, err := filepath.Glob("/proc/[0-9]*")
	if err != nil {
		t.Fatal(err)
	}
	for _, dir := range all {
		pid, _ := strconv.Atoi(filepath.Base(dir))
		stat, err := os.ReadFile(dir + "/stat")
		if err != nil {
			continue // it has ended
		}
		_, rest, _ := strings.Cut(string(stat), ") ")
		var state string
		var parent int
		if _, err := fmt.Sscan(rest, &state, &parent); err == nil {
			parents[pid] = parent
		}
		if line, err := os.ReadFile(dir + "/cmdline"); err == nil && strings.Contains(string(line), "--type=renderer") {
			pages = append(pages, pid)
		}
	}
	var own []string
	for _, pid := range pages {
		ours := pid
		for ours > 1 && ours != os.Getpid() {
			ours = parents[ours]
		}
		if ours == os.Getpid() {
			own = append(own, fmt.Sprintf("/proc/%d", pid))
		}
	}
	return own
}

// rendered is the memory that the largest of some processes takes, which is that of the page with its workers, in MB: each page of memory
// counted in the share that a process has of it (Pss).
func rendered(processes []string) (most float64) {
	for _, dir := range processes {
		text, err := os.ReadFile(dir + "/smaps_rollup")
		if err != nil {
			continue // it has ended
		}
		for line := range strings.Lines(string(text)) {
			var kilobytes float64
			if _, err := fmt.Sscanf(line, "Pss: %f kB", &kilobytes); err == nil {
				most = max(most, kilobytes/1024)
			}
		}
	}
	return most
}
