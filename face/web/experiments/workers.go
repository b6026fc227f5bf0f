package experiments

import (
	"context"
	"net/http"
	"time"

	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/work/workers"
)

// workersPage is who does long work for others, and what is under way: here, and at the database of the workers.
type workersPage struct {
	// Named says that there is a database that long work is sent to; Error is why it cannot be looked at.
	Named   bool
	Error   string
	Members []workerLine
	Runs    []runLine
	// Here are the results that this workbook plays or has waiting.
	Here []experimentLine
}

type workerLine struct{ Host, What, Parts, Seen, Program, Build string }

type runLine struct {
	Kind, Begun, How string
	Done, Pieces     int
	Asked            bool
}

// SendsTo says that long work is sent to workers, and how one looks at them.
func (s *Area) SendsTo(look func(ctx context.Context) (*workers.Standing, error)) { s.workers = look }

// patience is how long a page waits for the database of the workers.
const patience = 3 * time.Second

func (s *Area) workersNow(r *http.Request) (p workersPage, err error) {
	all, err := s.shelf.results.List()
	if err != nil {
		return p, err
	}
	for _, line := range s.shelf.list(all) {
		if line.Running {
			p.Here = append(p.Here, line)
		}
	}
	if s.workers == nil {
		return p, nil
	}
	p.Named = true
	ctx, cancel := context.WithTimeout(r.Context(), patience)
	defer cancel()
	now, err := s.workers(ctx)
	if err != nil {
		p.Error = view.Sentence(err)
		return p, nil
	}
	for _, m := range now.Members {
		line := workerLine{Host: m.Host, What: "sends work", Seen: m.Seen.Local().Format(time.TimeOnly), Program: m.Program, Build: "build " + m.Build + ", proof " + m.Proof}
		if m.Works {
			line.What, line.Parts = "does "+wording.Plural(m.Slots, "part")+" at once", wording.Plural(int(m.Parts), "part")+" done"
		}
		p.Members = append(p.Members, line)
	}
	for _, run := range now.Runs {
		p.Runs = append(p.Runs, runLine{Kind: wording.Capital(run.Kind), Begun: run.Begun.Local().Format("2 Jan, 15:04"), How: wording.WorkStanding(run.Done, run.Pieces, run.Rate, run.Left),
			Done: run.Done, Pieces: run.Pieces, Asked: run.Asked})
	}
	return p, nil
}

func (s *Area) showWorkers(w http.ResponseWriter, r *http.Request) error {
	p, err := s.workersNow(r)
	if err != nil {
		return err
	}
	s.Render(w, http.StatusOK, "workers", page.Page{Title: "Long work", Section: "Experiments", Data: p})
	return nil
}

// liveWorkers is the same while one watches.
func (s *Area) liveWorkers(w http.ResponseWriter, r *http.Request) error {
	p, err := s.workersNow(r)
	if err != nil {
		return err
	}
	return s.part(w, "workers", "workers-now", p)
}
