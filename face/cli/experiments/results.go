package experiments

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/store"
	"secondpass/store/files"
)

// resultPlace is where a result is kept: in a file that the user names, or by its name in the data folder. The file - is
// standard output, which is given the result once it has been played.
type resultPlace struct {
	file    string
	results store.Results
	name    string
}

func (p resultPlace) String() string {
	if p.file != "" {
		return p.file
	}
	return p.results.Where(p.name)
}

func (p resultPlace) taken() bool {
	if p.file != "" {
		return p.file != command.Std && command.FileExists(p.file)
	}
	_, err := p.results.Read(p.name)
	return !errors.Is(err, os.ErrNotExist)
}

func (p resultPlace) read() (*experiment.Result, error) {
	if p.file == "" {
		return p.results.Read(p.name)
	}
	data, err := os.ReadFile(p.file)
	if err != nil {
		return nil, fmt.Errorf("result %q cannot be read: %w", p.file, err)
	}
	return experiment.ReadResult(p.file, data)
}

// save puts a result in the place of the last one, so that there is a whole one at any time.
func (p resultPlace) save(r *experiment.Result) (err error) {
	if p.file == command.Std {
		return nil
	}
	if p.file != "" {
		err = files.Export(p.file, r.Bytes())
	} else {
		err = p.results.Write(p.name, r)
	}
	if err != nil {
		return fmt.Errorf("the result could not be kept: %w", err)
	}
	return nil
}

// findResult is a result file or, where there is none, the result that the data folder keeps under a name, in capitals or not.
func findResult(g *command.Globals, ref string) (resultPlace, *experiment.Result, error) {
	place := resultPlace{file: ref}
	if ref == command.Std {
		data, err := g.ReadInput(ref, "a result")
		if err != nil {
			return place, nil, err
		}
		r, err := experiment.ReadResult("standard input", data)
		return place, r, err
	}
	if !command.FileExists(ref) {
		kept := g.Files().Results
		list, err := kept.List()
		if err != nil {
			return place, nil, command.Failed(err)
		}
		for _, e := range list {
			if strings.EqualFold(e.Name, ref) && (place.file != "" || e.Name == ref) {
				place = resultPlace{results: kept, name: e.Name}
			}
		}
		if place.file != "" {
			return place, nil, fmt.Errorf("no result %q; a result file is right, or the name of one that secondpass experiment list shows", ref)
		}
	}
	r, err := place.read()
	return place, r, err
}

type experimentListCmd struct{}

// listedResult is a result that the data folder keeps.
type listedResult struct {
	// Name is what experiment show and the like take.
	Name    string `json:"name"`
	Changed string `json:"changed"`
	File    string `json:"file"`
	// Damaged says why it cannot be read; the rest is missing then.
	Damaged    string `json:"damaged,omitempty"`
	Experiment string `json:"experiment,omitempty"`
	Card       string `json:"card,omitempty"`
	Seed       uint64 `json:"seed,omitempty"`
	// Deals is how many are played of so many.
	Deals int `json:"deals"`
	Of    int `json:"of"`
	// Ended is why no more are played, Verdicts what they show: one for each comparison, with what is compared where there are several.
	Ended    string   `json:"ended,omitempty"`
	Verdicts []string `json:"verdicts,omitempty"`
}

// Run lists the results.
func (c *experimentListCmd) Run(g *command.Globals) error {
	kept := g.Files().Results
	entries, err := kept.List()
	if err != nil {
		return command.Failed(err)
	}
	list := []listedResult{}
	for _, e := range entries {
		one := listedResult{Name: e.Name, Changed: e.Changed.UTC().Format(time.RFC3339), File: kept.Where(e.Name)}
		if r, err := kept.Read(e.Name); err != nil {
			one.Damaged = err.Error()
		} else {
			one.Experiment, one.Card, one.Seed = r.Of().Title(), r.Card.Name, r.Settings.Seed
			one.Deals, one.Of, one.Ended, one.Verdicts = r.Deals, r.Settings.Deals, string(r.Ended), wording.ExperimentVerdicts(r.Findings())
		}
		list = append(list, one)
	}
	if g.JSON {
		return g.Answer(list)
	}
	if len(list) == 0 {
		g.Remark("No result yet. secondpass experiment run plays an experiment.")
	}
	for i, one := range list {
		text := fmt.Sprintf("%s, %s of %d (%s): %s", one.Experiment, wording.Plural(one.Deals, "deal"), one.Of, one.Ended, strings.Join(one.Verdicts, "; "))
		if one.Damaged != "" {
			text = "it cannot be read: " + one.Damaged
		}
		fmt.Fprintf(g.Stdout, "%s  %s\n  %s\n", entries[i].Changed.Local().Format("2006-01-02 15:04"), one.Name, command.Wrap(g.Stdout, text, 2))
	}
	return nil
}
