package experiment

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"strings"
)

//go:embed ready/*.experiment ready/series/*.experiment
var readyFiles embed.FS

// Ext is the ending of experiment files.
const Ext = ".experiment"

// Ready is a ready-made experiment.
type Ready struct{ Name, Text string }

// ReadyMade lists the ready-made experiments by name: one or more for every fact of the trade that the rules list.
func ReadyMade() []Ready { return readyIn("ready") }

// ReadySeries lists the ready-made series by name, see [ReadSeries].
func ReadySeries() []Ready { return readyIn("ready/series") }

func readyIn(folder string) []Ready {
	entries, err := fs.ReadDir(readyFiles, folder)
	if err != nil {
		panic(err) // they are built in
	}
	var all []Ready
	for _, e := range entries {
		if e.IsDir() {
			continue
		}
		text, err := readyFiles.ReadFile(path.Join(folder, e.Name()))
		if err != nil {
			panic(err)
		}
		all = append(all, Ready{strings.TrimSuffix(e.Name(), Ext), string(text)})
	}
	return all
}

// FindReady is the ready-made experiment of a name, FindReadySeries the ready-made series.
func FindReady(name string) (Ready, error)       { return find(name, ReadyMade()) }
func FindReadySeries(name string) (Ready, error) { return find(name, ReadySeries()) }

func find(name string, all []Ready) (Ready, error) {
	var names []string
	for _, r := range all {
		if r.Name == name {
			return r, nil
		}
		names = append(names, r.Name)
	}
	return Ready{}, fmt.Errorf("no ready-made experiment is called %q; there are %s", name, strings.Join(names, ", "))
}
