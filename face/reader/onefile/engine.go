package onefile

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"

	"github.com/gofrs/flock"
)

// Engine is what a reader's page runs.
type Engine struct {
	// Packed is the WebAssembly, compressed as gzip does; Glue the Go tool's script that starts it, of the same version.
	Packed []byte
	Glue   []byte
}

// ErrNoEngine says that this program has no engine and cannot build one.
var ErrNoEngine = errors.New("this program carries no engine for readers' pages, and builds one only inside its own source: take a released program, or start it in the folder of the clone, with the Go tool")

// built keeps the engine in mind, once it is there.
var built struct {
	sync.Mutex
	engine *Engine
}

// EngineOf is the engine that the program carries, or else one that the Go tool builds from the source that the program is started
// in: says is told where that takes a minute. The built one is kept in the user's cache, and the Go tool builds it again where the
// source has changed.
func EngineOf(ctx context.Context, says func(string)) (*Engine, error) {
	if e := carried(); e != nil {
		return e, nil
	}
	built.Lock()
	defer built.Unlock()
	if built.engine != nil {
		return built.engine, nil
	}
	e, err := build(ctx, says)
	if err == nil {
		built.engine = e
	}
	return e, err
}

// clone is the folder of the source in which the program is started, or else in which it lies; "" for none.
func clone() string {
	if here, err := os.Getwd(); err == nil {
		if dir := source(here); dir != "" {
			return dir
		}
	}
	if program, err := os.Executable(); err == nil {
		return source(filepath.Dir(program))
	}
	return ""
}

// module is what go.mod calls the program.
const module = "module secondpass"

// source is the folder of the clone around a folder, "" where there is none.
func source(from string) string {
	for dir := from; ; dir = filepath.Dir(dir) {
		if mod, err := os.ReadFile(filepath.Join(dir, "go.mod")); err == nil && strings.HasPrefix(string(mod), module+"\n") {
			return dir
		}
		if dir == filepath.Dir(dir) {
			return ""
		}
	}
}

// Flags build the engine small: nothing is put in line but where games are played.
var Flags = []string{"-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-gcflags=all=-l", "-gcflags=secondpass/engine/...=", "-gcflags=secondpass/rules/...="}

func build(ctx context.Context, says func(string)) (*Engine, error) {
	dir := clone()
	if _, missing := exec.LookPath("go"); dir == "" || missing != nil {
		return nil, ErrNoEngine
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return nil, err
	}
	cache = filepath.Join(cache, "secondpass")
	if err := os.MkdirAll(cache, 0o755); err != nil {
		return nil, err
	}
	file := filepath.Join(cache, "engine.wasm")
	lock := flock.New(file + ".lock") // another program may be at it
	if err := lock.Lock(); err != nil {
		return nil, fmt.Errorf("the engine of readers' pages: %w", err)
	}
	defer lock.Unlock()
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) && says != nil {
		says("The engine of readers' pages is built, once; that takes a minute or two.")
	}
	if err := Build(ctx, dir, file); err != nil {
		return nil, err
	}
	wasm, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	packed, err := Pack(wasm)
	if err != nil {
		return nil, err
	}
	glue, err := glueOf(ctx, dir)
	return &Engine{packed, glue}, err
}

// Carry builds the engine into the folder from which a program of the build tag engine takes it.
func Carry(ctx context.Context) error {
	dir := clone()
	if dir == "" {
		return ErrNoEngine
	}
	into := filepath.Join(dir, "face", "reader", "onefile", "carried")
	if err := os.MkdirAll(into, 0o755); err != nil {
		return err
	}
	temp, err := os.MkdirTemp("", "engine")
	if err != nil {
		return err
	}
	defer os.RemoveAll(temp)
	file := filepath.Join(temp, "engine.wasm")
	if err := Build(ctx, dir, file); err != nil {
		return err
	}
	wasm, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	packed, err := Pack(wasm)
	if err != nil {
		return err
	}
	glue, err := glueOf(ctx, dir)
	if err != nil {
		return err
	}
	return errors.Join(os.WriteFile(filepath.Join(into, "engine.wasm.gz"), packed, 0o644), os.WriteFile(filepath.Join(into, "wasm_exec.js"), glue, 0o644))
}

// Build builds the engine from the source in a folder into a file. The Go tool leaves a file that is up to date as it is.
func Build(ctx context.Context, dir, file string) error {
	cmd := exec.CommandContext(ctx, "go", append(append([]string{"build"}, Flags...), "-o", file, "./face/reader/engine")...)
	cmd.Dir, cmd.Env = dir, append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOFLAGS=")
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("the engine of readers' pages is not built: %w: %s", err, strings.TrimSpace(string(out)))
	}
	return nil
}

// glueOf is the script that starts what the Go tool in use builds.
func glueOf(ctx context.Context, dir string) ([]byte, error) {
	cmd := exec.CommandContext(ctx, "go", "env", "GOROOT")
	cmd.Dir = dir
	root, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("the folder of the Go tool: %w", err)
	}
	return os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
}

// Pack compresses an engine, the same bytes each time.
func Pack(wasm []byte) ([]byte, error) {
	joined, err := Joined(wasm)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err == nil {
		_, err = w.Write(joined)
	}
	if err == nil {
		err = w.Close()
	}
	return out.Bytes(), err
}
