package cli

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
)

// digits is a number with more digits than are compared.
var digits = regexp.MustCompile(`-?\d+\.\d{11,}(e-?\d+)?`)

var processors = flag.Bool("processors", false, "TestSameOnEveryProcessor: build the program for other processors and run it on emulators of them (Debian package qemu-user); takes half an hour")

// processorLines are commands whose answers rest on the fit, the players, levels and beliefs, intervals and drawn cards.
var processorLines = [][]string{
	{"fit", "3445b", "17c", "46689d", "FF", "J", "--json"},
	{"deal", "--seed", "4", "--two-plans", "--json"},
	{"compare", "--seed", "11", "--aim", "Runs", "--aim", "Evens", "--repeats", "20", "--json"},
	{"match", "--seats", "strong,nearest,flexible,thumb", "--deals", "16", "--json"},
	{"advise", "--rack", "228b 14699c 7d EW F J", "--step", "first-right", "--games", "400", "--json"},
	{"card", "compose", "--no-balance", "--seed", "3"},
}

// TestSameOnEveryProcessor runs the program as built for the oldest and a later level of amd64 and for arm64, on this machine and on
// emulators, one of which knows no AVX: every answer is the same to the byte, but for what comes after the eleventh digit of a number: the
// quantiles of intervals come from a library, which may multiply and add in one step.
func TestSameOnEveryProcessor(t *testing.T) {
	if !*processors {
		t.Skip("builds for other processors and emulates them: -processors does")
	}
	dir := t.TempDir()
	build := func(name string, env ...string) string {
		file := filepath.Join(dir, name)
		cmd := exec.Command("go", "build", "-o", file, "../../cmd/secondpass")
		cmd.Env = append(os.Environ(), env...)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", name, err, out)
		}
		return file
	}
	plain := build("amd64", "GOARCH=amd64", "GOAMD64=v1")
	machines := []struct {
		name string
		by   []string
		env  string
	}{
		{"amd64, best of this processor", []string{plain}, ""},
		{"amd64 without AVX-512", []string{plain}, "GODEBUG=cpu.avx512vbmi=off"},
		{"amd64 without AVX2", []string{plain}, "GODEBUG=cpu.avx512vbmi=off,cpu.avx2=off"},
		{"amd64 level 3", []string{build("amd64v3", "GOARCH=amd64", "GOAMD64=v3")}, ""},
		{"amd64 of 2008, emulated", []string{"qemu-x86_64", "-cpu", "Nehalem", plain}, ""},
		{"arm64, emulated", []string{"qemu-aarch64", build("arm64", "GOARCH=arm64")}, ""},
	}
	want := make([][]byte, len(processorLines))
	for _, m := range machines {
		// Levels and beliefs are worked out anew by each, and not found from the one before.
		home := t.TempDir()
		for i, line := range processorLines {
			args := append(append([]string{}, m.by...), append(line, "--data", filepath.Join(home, "data"), "--quiet")...)
			cmd := exec.Command(args[0], args[1:]...)
			cmd.Env = append(os.Environ(), "HOME="+home, "XDG_CACHE_HOME="+filepath.Join(home, "cache"), m.env)
			var complaint bytes.Buffer
			cmd.Stderr = &complaint
			out, err := cmd.Output()
			if err != nil {
				t.Errorf("%s: %v: %v\n%s", m.name, line, err, &complaint)
				continue
			}
			out = digits.ReplaceAllFunc(out, func(number []byte) []byte {
				x, _ := strconv.ParseFloat(string(number), 64) // it matched
				return strconv.AppendFloat(nil, x, 'g', 11, 64)
			})
			switch {
			case want[i] == nil:
				want[i] = out
			case !bytes.Equal(out, want[i]):
				t.Errorf("%s: %v answers\n%s\nwanted\n%s", m.name, line, out, want[i])
			}
		}
		t.Logf("%s: done", m.name)
	}
}
