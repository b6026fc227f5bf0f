package web_test

import (
	"flag"
	"fmt"
	"net/http"
	"net/url"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

var load = flag.Bool("load", false, "measure how fast pages answer while a simulation runs")

// TestLoad asks for pages over loopback, one after the other as one reader does, while a simulation runs on the same
// cores, and prints how long the answers took. Times depend on the machine and on what else runs there, so it is no
// part of the usual tests.
func TestLoad(t *testing.T) {
	if !*load {
		t.Skip("only with -load: it measures time")
	}
	b, _ := run(t, t.TempDir()) // the server in a process of its own, as in use
	step := b.deal("seed", "7")
	b.stepOnce(step)
	paths := []string{"/exercises", parent(step), step, step + "/hands", "/exercises/1", step + "/advice", "/cards", "/help"}
	measure(b, "nothing else", paths, 200, func() {})
	for _, what := range []struct {
		name, path string
		form       url.Values
	}{
		{"an outlook of two routes", "/exercises/1/outlook", url.Values{"routes": {"0,1"}, "act": {"go"}}},
		{"advice on a pass", step + "/advice", url.Values{"at": {"1"}, "act": {"go"}}},
	} {
		watch := b.watch(what.path, what.form)
		measure(b, what.name, paths, 400, func() { b.post(what.path, what.form) })
		watch()
		what.form.Set("act", "stop")
		b.post(what.path, what.form)
	}
}

// watch keeps the live figures of a simulation open, as a reader's page does, until it is told to leave.
func (b *book) watch(path string, f url.Values) (leave func()) {
	b.post(path, f)
	r, err := http.Get(b.address + path + "/live?" + f.Encode())
	if err != nil || r.StatusCode != http.StatusOK {
		b.t.Fatalf("the live figures of %s: %v %v", path, r, err)
	}
	var events atomic.Int64
	go func() {
		buffer := make([]byte, 64<<10)
		for {
			n, err := r.Body.Read(buffer)
			events.Add(int64(strings.Count(string(buffer[:n]), "\n\n")))
			if err != nil {
				return
			}
		}
	}()
	return func() {
		r.Body.Close()
		fmt.Printf("    and %d live updates meanwhile\n", events.Load())
	}
}

// measure asks for the pages in turn and prints the times. keepOn is called now and then, so that what runs goes on.
func measure(b *book, meanwhile string, paths []string, requests int, keepOn func()) {
	b.t.Helper()
	var times []time.Duration
	for i := range requests {
		if i%50 == 0 {
			keepOn()
		}
		begin := time.Now()
		if code, text := b.get(paths[i%len(paths)]); code != http.StatusOK {
			b.t.Fatalf("%s: %d %s", paths[i%len(paths)], code, shorten(text))
		}
		times = append(times, time.Since(begin))
	}
	slices.Sort(times)
	at := func(share float64) time.Duration {
		return times[int(share*float64(len(times)-1))].Round(100 * time.Microsecond)
	}
	fmt.Printf("meanwhile %s: %d requests of %d pages one after the other on %d cores: median %v, 95th percentile %v, slowest %v\n",
		meanwhile, requests, len(paths), runtime.GOMAXPROCS(0), at(0.5), at(0.95), at(1))
}
