package command

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
)

// Versions is what this program is and how it was built.
type Versions struct {
	// Version is that of the program: a release, or one that names its commit.
	Version string `json:"version"`
	// Commit is the commit it was built from, with Changed where files had changed since; "" where the build does not say.
	Commit  string `json:"commit"`
	Changed bool   `json:"changed"`
	Time    string `json:"time"`
	// Go is the version of the compiler.
	Go string `json:"go"`
	// System and Processor are what it runs on, as in linux and amd64; Level is the least processor of that kind that it was
	// built for, as in v1.
	System    string `json:"system"`
	Processor string `json:"processor"`
	Level     string `json:"level"`
}

// Version is read from what the compiler has put into the program.
func Version() Versions {
	v := Versions{Version: "(unknown)", Go: runtime.Version(), System: runtime.GOOS, Processor: runtime.GOARCH}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return v
	}
	if info.Main.Version != "" {
		v.Version = info.Main.Version
	}
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			v.Commit = s.Value
		case "vcs.modified":
			v.Changed = s.Value == "true"
		case "vcs.time":
			v.Time = s.Value
		case "GO" + strings.ToUpper(runtime.GOARCH): // GOAMD64, GOARM64 and the like
			v.Level = s.Value
		}
	}
	return v
}

// String is that in a few lines.
func (v Versions) String() string {
	commit := v.Commit
	switch {
	case commit == "":
		commit = "unknown: it was built outside of the repository"
	case v.Changed:
		commit += ", with changes"
	}
	if v.Time != "" {
		commit += ", " + v.Time
	}
	level := v.Level
	if level == "" {
		level = "unknown"
	}
	return fmt.Sprintf("secondpass %s\ncommit     %s\ncompiler   %s\nprocessor  %s/%s, level %s\n", v.Version, commit, v.Go, v.System, v.Processor, level)
}
