// Command yardstick sets the benchmarks of package fit beside a program in C that does the same work, in turns, on three
// cards: the practice card, and two that are drawn, of about 600 and about 3,000 variants. Run it in the top folder:
//
//	go run ./internal/yardstick FOLDER [ROUNDS]
//
// FOLDER has the C program's run.sh, which takes a program of ours, a card and a number of rounds and prints nanoseconds a
// rack. Both sides count with their fastest run: what else the machine does slows the others. Each set of kernels that the
// processor has is run.
//
//	go run ./internal/yardstick beside PROGRAM [ROUNDS]
//
// sets this tree beside an older program of it in what users wait for: games, an experiment, advice.
package main

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"secondpass/cardmaking/compose"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// works are the benchmarks and the names that the C program has for them.
var works = []struct{ ours, c string }{{"Away", "fit+min"}, {"Value", "value"}, {"Discards", "disc14v"}, {"Passes", "pass364v"}}

// levels are the settings under which the kernels are run.
var levels = []struct{ name, setting string }{{"all", ""}, {"without AVX-512", "cpu.avx512vbmi=off"}, {"Go alone", "cpu.avx512vbmi=off,cpu.avx2=off"}}

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "yardstick:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	rounds, old := 3, false
	if len(args) > 0 && args[0] == "beside" {
		old, args = true, args[1:]
	}
	if len(args) == 2 {
		n, err := strconv.Atoi(args[1])
		if err != nil || n < 1 {
			return fmt.Errorf("%q rounds; right would be a number from 1 on", args[1])
		}
		rounds, args = n, args[:1]
	}
	if len(args) != 1 {
		return fmt.Errorf("give the folder of run.sh, or beside and an older program, and how many rounds there should be")
	}
	dir, err := os.MkdirTemp("", "yardstick")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	program, tests := filepath.Join(dir, "secondpass"), filepath.Join(dir, "fit.test")
	if old {
		if out, err := exec.Command("go", "build", "-o", program, "./cmd/secondpass").CombinedOutput(); err != nil {
			return fmt.Errorf("go build: %v\n%s", err, out)
		}
		return beside(args[0], program, rounds)
	}
	for _, build := range [][]string{{"build", "-o", program, "./cmd/secondpass"}, {"test", "-c", "-o", tests, "./engine/fit"}} {
		if out, err := exec.Command("go", build...).CombinedOutput(); err != nil {
			return fmt.Errorf("go %s: %v\n%s", build[0], err, out)
		}
	}
	fmt.Printf("%s\n\n| card | work | kernels | ns a rack | C, best | ratio |\n| --- | --- | --- | --- | --- | --- |\n", processor())
	for _, text := range cards() {
		c, _, err := card.Read("drawn.card", text, tile.Usual)
		if err != nil {
			return err
		}
		file := filepath.Join(dir, "drawn.card")
		if err := os.WriteFile(file, text, 0o600); err != nil {
			return err
		}
		b := best{}
		for range rounds {
			if err := b.round(args[0], dir, program, tests, file); err != nil {
				return err
			}
		}
		for _, w := range works {
			for _, l := range levels {
				ours, theirs := b[l.name+w.ours], b[w.c+" best"]
				fmt.Printf("| %d variants | %s | %s | %.0f | %.0f | %.2f |\n", len(c.Variants), w.ours, l.name, ours, theirs, ours/theirs)
			}
		}
	}
	return nil
}

// cards are the texts of the cards. The widest has the hands of two drawn ones.
func cards() [][]byte {
	draw := func(seed uint64, o compose.Wish) string {
		text, _, err := compose.Draw(seed, o)
		if err != nil {
			panic(err) // the seeds are known to draw
		}
		return text
	}
	first, second := draw(1, compose.Wish{}), draw(2, compose.Wish{})
	_, hands, _ := strings.Cut(second, "\nsection ")
	return [][]byte{
		[]byte(card.Practice().Source),
		[]byte(draw(1, compose.Wish{Hands: 22, Sections: 4})),
		[]byte(first + "\nsection More " + strings.ReplaceAll(hands, "\nsection ", "\nsection More ")),
	}
}

// best is the fastest time of each benchmark, in nanoseconds.
type best map[string]float64

func (b best) take(name string, ns float64) {
	if old, there := b[name]; !there || ns < old {
		b[name] = ns
	}
}

// round runs both sides once.
func (b best) round(folder, dir, program, tests, file string) error {
	cmd := exec.Command("sh", filepath.Join(folder, "run.sh"), program, file, "1")
	cmd.Env = append(os.Environ(), "YARDSTICK_DIR="+dir)
	out, err := cmd.Output()
	if err != nil {
		return fmt.Errorf("run.sh: %w", err)
	}
	for line := range strings.Lines(string(out)) {
		if f := strings.Fields(line); len(f) > 2 {
			if ns, err := strconv.ParseFloat(f[2], 64); err == nil {
				b.take(f[0]+" "+f[1], ns)
			}
		}
	}
	for _, l := range levels {
		cmd := exec.Command(tests, "-test.run", "^$", "-test.bench", "^Benchmark(Away|Value|Discards|Passes)$", "-test.benchtime", "6ms", "-test.count", "12", "-card", file)
		cmd.Env = append(os.Environ(), "GODEBUG="+l.setting)
		out, err := cmd.CombinedOutput()
		if err != nil {
			return fmt.Errorf("benchmarks: %w\n%s", err, out)
		}
		for line := range strings.Lines(string(out)) {
			f := strings.Fields(line)
			if len(f) < 3 || !strings.HasPrefix(f[0], "Benchmark") {
				continue
			}
			name, _, _ := strings.Cut(strings.TrimPrefix(f[0], "Benchmark"), "-")
			if ns, err := strconv.ParseFloat(f[2], 64); err == nil {
				b.take(l.name+name, ns)
			}
		}
	}
	return nil
}

// processor is the kind of processor, where the system tells.
func processor() string {
	text, _ := os.ReadFile("/proc/cpuinfo")
	for s := bufio.NewScanner(bytes.NewReader(text)); s.Scan(); {
		if name, value, _ := strings.Cut(s.Text(), ":"); strings.TrimSpace(name) == "model name" {
			return strings.TrimSpace(value)
		}
	}
	return "processor not known"
}
