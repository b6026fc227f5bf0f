package experiments

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strconv"
	"sync"
	"time"

	"secondpass/desk"
	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/store"
	"secondpass/work/queue"
)

// shelf is the results of experiments in the data folder, and the counting of new ones, which goes on when nobody
// watches.
type shelf struct {
	results store.Results
	long    *queue.Jobs

	mu sync.Mutex
	// lines is what was read of files before, as long as they do not change.
	lines map[string]keptLine
}

type keptLine struct {
	file store.ResultEntry
	line experimentLine
}

// read is a result as it was last kept.
func (sh *shelf) read(name string) (*experiment.Result, error) {
	r, err := sh.results.Read(name)
	if errors.Is(err, os.ErrNotExist) {
		return nil, page.NotFound("There is no result %s; it may have been deleted.", name)
	}
	if err != nil {
		return nil, page.Refused("%s.", wording.Capital(err.Error()))
	}
	return r, nil
}

func experimentKey(name string) string { return "experiment " + name }

// run plays a result further and keeps it while it does.
func (sh *shelf) run(name string, r *experiment.Result) error {
	return sh.long.KeepOn(experimentKey(name), func(ctx context.Context, publish func(any)) error {
		keep := func(now *experiment.Result) error {
			if err := sh.results.Write(name, now); err != nil {
				return fmt.Errorf("The result could not be kept: %w", err)
			}
			return nil
		}
		told, begun := queue.Seldom(publish), time.Now()
		played, err := desk.PlayExperiment(ctx, r, keep, func(now *experiment.Result) {
			told(func() any {
				look := lookAt(name, now)
				look.Pace = pace(now.Deals-r.Deals, now.Settings.Deals-now.Deals, time.Since(begun))
				return look
			})
		})
		publish(lookAt(name, played))
		return err
	})
}

// pace says how many deals a second are played, and how long those that are left take at that rate.
func pace(played, left int, took time.Duration) string {
	if played <= 0 || took < time.Second {
		return ""
	}
	rate := float64(played) / took.Seconds()
	rest := time.Duration(float64(left) / rate * float64(time.Second))
	text := fmt.Sprintf("%.0f deals a second", rate)
	if left > 0 {
		text += ", " + wording.TimeLeft(rest)
	}
	return text + "."
}

// experimentLine is a result in the list.
type experimentLine struct {
	Name, Path, Title, Asks, Count, When string
	// Verdicts are one for each comparison.
	Verdicts []string
	Running  bool
	// Trouble is why the file cannot be read.
	Trouble string
}

// list is what the list says of results.
func (sh *shelf) list(files []store.ResultEntry) []experimentLine {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	lines := make([]experimentLine, len(files))
	for i, f := range files {
		if k, known := sh.lines[f.Name]; known && k.file == f {
			lines[i] = k.line
		} else {
			lines[i] = sh.lineOf(f)
			sh.lines[f.Name] = keptLine{f, lines[i]}
		}
		lines[i].Running = sh.long.Now(experimentKey(f.Name)).Active()
	}
	return lines
}

func (sh *shelf) lineOf(f store.ResultEntry) experimentLine {
	line := experimentLine{Name: f.Name, Path: experimentPath(f.Name), Title: f.Name, When: f.Changed.Local().Format("2 Jan, 15:04")}
	r, err := sh.results.Read(f.Name)
	if err != nil {
		line.Trouble = "cannot be read: " + err.Error()
		return line
	}
	line.Title, line.Asks, line.Verdicts = r.Of().Title(), r.Of().Asks, verdictsNow(r)
	line.Count = fmt.Sprintf("%s of %s, card %s, seed %d", strconv.Itoa(r.Deals), wording.Plural(r.Settings.Deals, "deal"), r.Card.Name, r.Settings.Seed)
	return line
}
