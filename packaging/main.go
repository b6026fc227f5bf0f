// Command packaging builds a release: for each system an archive with the program, its manual, completions and licences, Debian
// packages, a list of contents (CycloneDX) and checksums. It is a module of its own, so that what packs the program is no part of
// it.
//
//	./release [-o dist] [-only linux/amd64,...]
//
// All times in it are that of the commit: two runs give the same bytes.
package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

// targets are the systems that a release is for.
var targets = []string{"darwin/amd64", "darwin/arm64", "linux/amd64", "linux/arm64", "windows/amd64", "windows/arm64"}

// release is what is built, and where.
type release struct {
	root, out, temp string
	version         string
	at              time.Time
}

func main() {
	out := flag.String("o", "dist", "folder to write to")
	only := flag.String("only", "", "systems to build for, as linux/amd64,windows/arm64; without it all")
	flag.Parse()
	if err := run(*out, *only); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

func run(out, only string) error {
	root, err := filepath.Abs("..")
	if err != nil {
		return err
	}
	if !filepath.IsAbs(out) {
		out = filepath.Join(root, out)
	}
	r := &release{root: root, out: out}
	wanted := targets
	if only != "" {
		wanted = strings.Split(only, ",")
		for _, t := range wanted {
			if !slices.Contains(targets, t) {
				return fmt.Errorf("no release is made for %q; %s are right", t, strings.Join(targets, ", "))
			}
		}
	}
	if err := r.identify(); err != nil {
		return err
	}
	if r.temp, err = os.MkdirTemp("", "release"); err != nil {
		return err
	}
	defer os.RemoveAll(r.temp)
	if err := errors.Join(os.RemoveAll(out), os.MkdirAll(out, 0o755)); err != nil {
		return err
	}
	r.say("the engine of readers' pages")
	if _, err := r.run(nil, "go", "run", "./internal/carry"); err != nil {
		return err
	}
	common, err := r.common()
	if err != nil {
		return err
	}
	for _, t := range wanted {
		if err := r.pack(t, common); err != nil {
			return fmt.Errorf("%s: %w", t, err)
		}
	}
	return r.sums()
}

func (r *release) say(what string) { fmt.Fprintln(os.Stderr, "release:", what) }

// run runs a tool in the root of the source and gives what it prints.
func (r *release) run(env []string, name string, args ...string) ([]byte, error) {
	cmd := exec.Command(name, args...)
	cmd.Dir, cmd.Env = r.root, append(os.Environ(), env...)
	var failed bytes.Buffer
	cmd.Stderr = &failed
	data, err := cmd.Output()
	if err != nil {
		err = fmt.Errorf("%s %s: %w: %s", name, strings.Join(args, " "), err, strings.TrimSpace(failed.String()))
	}
	return data, err
}

// identify finds the version and the time of the commit; what is not committed is in no release.
func (r *release) identify() error {
	changed, err := r.run(nil, "git", "status", "--porcelain")
	if err != nil {
		return err
	}
	if len(bytes.TrimSpace(changed)) > 0 {
		return fmt.Errorf("what a release is made of is committed; this is not:\n%s", changed)
	}
	version, err := r.run(nil, "git", "describe", "--tags", "--always")
	if err != nil {
		return err
	}
	stamp, err := r.run(nil, "git", "log", "-1", "--format=%ct")
	if err != nil {
		return err
	}
	seconds, err := strconv.ParseInt(strings.TrimSpace(string(stamp)), 10, 64)
	r.version, r.at = strings.TrimPrefix(strings.TrimSpace(string(version)), "v"), time.Unix(seconds, 0).UTC()
	return err
}

// build builds the program for a system and gives the file.
func (r *release) build(target string) (string, error) {
	r.say(target)
	system, processor, _ := strings.Cut(target, "/")
	file := filepath.Join(r.temp, system+"-"+processor)
	_, err := r.run([]string{"GOOS=" + system, "GOARCH=" + processor, "CGO_ENABLED=0", "GOFLAGS="},
		"go", "build", "-trimpath", "-buildvcs=true", "-tags=engine", "-ldflags=-s -w -buildid=", "-o", file, "./cmd/secondpass")
	return file, err
}

// common is what all archives hold beside the program: read me, licences, list of contents, manual and completions.
func (r *release) common() ([]entry, error) {
	modules, err := r.modules()
	if err != nil {
		return nil, err
	}
	all, err := r.licences(modules)
	if err != nil {
		return nil, err
	}
	bom, err := r.contents(modules)
	if err != nil {
		return nil, err
	}
	all = append(all, entry{name: "sbom.cdx.json", data: bom})
	for _, name := range []string{"README.md", "LICENSE", "CHANGELOG.md"} {
		data, err := os.ReadFile(filepath.Join(r.root, name))
		if err != nil {
			return nil, err
		}
		all = append(all, entry{name: name, data: data})
	}
	host, err := r.build(runtime.GOOS + "/" + runtime.GOARCH)
	if err != nil {
		return nil, err
	}
	for _, made := range []struct {
		name string
		args []string
	}{{manual, []string{"man"}}, {"completions/secondpass.bash", []string{"completion", "bash"}}, {"completions/_secondpass", []string{"completion", "zsh"}}, {"completions/secondpass.fish", []string{"completion", "fish"}}} {
		data, err := r.run(nil, host, made.args...)
		if err != nil {
			return nil, err
		}
		all = append(all, entry{name: made.name, data: data})
	}
	slices.SortFunc(all, func(a, b entry) int { return strings.Compare(a.name, b.name) })
	return all, nil
}

// sums writes the checksums of all files of the release, as sha256sum does and checks.
func (r *release) sums() error {
	files, err := os.ReadDir(r.out)
	if err != nil {
		return err
	}
	var text strings.Builder
	for _, f := range files {
		data, err := os.ReadFile(filepath.Join(r.out, f.Name()))
		if err != nil {
			return err
		}
		fmt.Fprintf(&text, "%x  %s\n", sha256.Sum256(data), f.Name())
	}
	return os.WriteFile(filepath.Join(r.out, "SHA256SUMS"), []byte(text.String()), 0o644)
}
