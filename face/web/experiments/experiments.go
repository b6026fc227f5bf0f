package experiments

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"strconv"
	"strings"

	"secondpass/desk"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/work/queue"
	"secondpass/work/workers"
)

//go:embed templates
var templates embed.FS

// Area is the pages of experiments: the list, a question of one's own, a result.
type Area struct {
	*page.Pages
	cards store.Cards
	desk  *desk.Desk
	shelf *shelf
	drawn *drawnCards
	// workers looks at the database that long work is sent to; nil where there is none.
	workers func(ctx context.Context) (*workers.Standing, error)
}

// pages are the templates of the area.
var pages = page.Read(page.Folder(templates, "templates"), view.Parts())

// New makes the pages. long counts results, one after the other.
func New(site *page.Site, d *desk.Desk, long *queue.Jobs) (*Area, error) {
	p, err := site.Pages(pages)
	return &Area{p, d.Files.Cards, d, &shelf{results: d.Files.Results, long: long, lines: map[string]keptLine{}}, &drawnCards{cards: map[string]*card.Card{}}, nil}, err
}

// Route is the experiments: results, ready-made questions and one's own.
func (s *Area) Route(mux page.Routes) {
	mux.HandleFunc("/studies", leadOn("/studies", "/experiments"))
	mux.HandleFunc("/studies/", leadOn("/studies", "/experiments"))
	mux.HandleFunc("GET /experiments", s.Handle(s.listExperiments))
	mux.HandleFunc("POST /experiments", s.Handle(s.startExperiment))
	mux.HandleFunc("GET /workers", s.Handle(s.showWorkers))
	mux.HandleFunc("GET /workers/now", s.Handle(s.liveWorkers))
	mux.HandleFunc("GET /experiments/new", s.Handle(s.newExperiment))
	mux.HandleFunc("POST /experiments/preview", s.Handle(s.previewExperiment))
	mux.HandleFunc("POST /experiments/check", s.Handle(s.checkExperiment))
	mux.HandleFunc("GET /experiments/{name}", s.Handle(s.showExperiment))
	mux.HandleFunc("POST /experiments/{name}", s.Handle(s.steerExperiment))
	mux.HandleFunc("GET /experiments/{name}/live", s.Handle(s.liveExperiment))
	mux.HandleFunc("GET /experiments/{name}/file", s.Handle(s.experimentFile))
	mux.HandleFunc("GET /experiments/{name}/plot", s.Handle(s.experimentPlot))
	mux.HandleFunc("GET /experiments/{name}/series", s.Handle(s.liveSeries))
	mux.HandleFunc("POST /experiments/{name}/series", s.Handle(s.steerSeries))
	mux.HandleFunc("POST /experiments/{name}/delete", s.Handle(s.deleteExperiment))
	mux.HandleFunc("POST /experiments/{name}/restore", s.Handle(s.restoreExperiment))
}

// leadOn sends what asks for an address of earlier programs to what it is called now, the method kept.
func leadOn(earlier, now string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		to := *r.URL
		to.Scheme, to.Host, to.Path = "", "", now+strings.TrimPrefix(to.Path, earlier)
		if to.RawPath != "" {
			to.RawPath = now + strings.TrimPrefix(to.RawPath, earlier)
		}
		http.Redirect(w, r, to.String(), http.StatusPermanentRedirect)
	}
}

func experimentPath(name string) string { return "/experiments/" + url.PathEscape(name) }

// readyLine is a ready-made experiment with its question.
type readyLine struct{ Name, Title, Asks string }

type experimentsPage struct {
	Results []experimentLine
	Part    page.Part
	Ready   []readyLine
	Cards   []string
	Deals   int
	Seed    string
	Error   string
}

// firstLook is how many deals a ready-made experiment is begun with: enough to see how it goes, in a minute or so.
const firstLook = 20_000

func (s *Area) listExperiments(w http.ResponseWriter, r *http.Request) error {
	return s.showExperiments(w, r, http.StatusOK, experimentsPage{Deals: firstLook, Seed: "1"})
}

func (s *Area) showExperiments(w http.ResponseWriter, r *http.Request, code int, p experimentsPage) error {
	all, err := s.shelf.results.List()
	if err != nil {
		return err
	}
	shown, part := page.PartOf(r, all)
	p.Results, p.Part = s.shelf.list(shown), part.ByTime()
	if p.Cards, err = s.cardNames(); err != nil {
		return err
	}
	p.Ready = readyLines()
	out := page.Page{Title: "Experiments", Section: "Experiments", Data: p}
	if name := r.FormValue("deleted"); name != "" {
		out.Said, out.Undo = fmt.Sprintf("The result %s is deleted.", name), experimentPath(name)+"/restore"
	}
	s.Render(w, code, "experiments", out)
	return nil
}

// cardNames is the practice card and the user's own.
func (s *Area) cardNames() ([]string, error) {
	names, err := s.cards.List()
	return append([]string{card.Practice().Name}, names...), err
}

// readyLines is the ready-made experiments, read for the practice card.
func readyLines() []readyLine {
	var lines []readyLine
	for _, one := range experiment.ReadyMade() {
		line := readyLine{Name: one.Name, Title: one.Name}
		if q, _, err := experiment.Read(one.Name, []byte(one.Text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil }); err == nil {
			line.Title, line.Asks = q.Name, q.Asks
		}
		lines = append(lines, line)
	}
	for _, one := range experiment.ReadySeries() {
		line := readyLine{Name: one.Name, Title: one.Name}
		// The cards that it names are drawn when it is run; name and question need none of them.
		if all, err := experiment.ReadSeries(one.Name, []byte(one.Text), func(string, tile.Set) (*card.Card, error) { return card.Practice(), nil }); err == nil {
			line.Title, line.Asks = all.Name, fmt.Sprintf("%s A series of %d experiments.", all.Asks, len(all.Cells))
		}
		lines = append(lines, line)
	}
	return lines
}

// startExperiment begins a result: of a ready-made experiment, of a text, or of what was chosen, as the form says.
func (s *Area) startExperiment(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	f := r.PostForm
	switch {
	case f.Get("ready") != "":
		return s.startReady(w, r)
	case f.Has("text"):
		return s.startPasted(w, r)
	}
	return s.startComposed(w, r)
}

func (s *Area) startReady(w http.ResponseWriter, r *http.Request) error {
	f := r.PostForm
	ready, err := findReady(f.Get("ready"))
	if err != nil {
		return err
	}
	refuse := func(text string) error {
		return s.showExperiments(w, r, http.StatusUnprocessableEntity, experimentsPage{Deals: firstLook, Seed: f.Get("seed"), Error: text})
	}
	deals, err := dealsOf(f.Get("deals"))
	if err != nil {
		return refuse(view.Sentence(err))
	}
	if experiment.IsSeries([]byte(ready.Text)) {
		all, err := s.readSeries(ready.Text, f.Get("card"))
		if err != nil {
			return refuse(view.Sentence(err))
		}
		return s.beginSeries(w, r, all, deals, refuse)
	}
	q, c, err := s.readExperiment(ready.Name+experiment.Ext, ready.Text, f.Get("card"))
	if err != nil {
		return refuse(view.Sentence(err))
	}
	return s.begin(w, r, q, c, deals, refuse)
}

// findReady is a ready-made experiment or series.
func findReady(name string) (experiment.Ready, error) {
	if series, err := experiment.FindReadySeries(name); err == nil {
		return series, nil
	}
	ready, err := experiment.FindReady(name)
	if err != nil {
		err = page.NotFound("%s.", wording.Capital(err.Error()))
	}
	return ready, err
}

// begin makes the result of an experiment, keeps it, and starts it.
func (s *Area) begin(w http.ResponseWriter, r *http.Request, q *experiment.Experiment, c *card.Card, deals int, refuse func(string) error) error {
	seed, err := page.SeedOf(r.PostForm.Get("seed"))
	if err != nil {
		return refuse(view.Sentence(err))
	}
	result, err := s.desk.StartExperiment(q, c, seed, deals)
	if err != nil {
		return refuse(view.Sentence(err))
	}
	name := s.shelf.results.FreeName(q.Name, seed)
	if err := s.shelf.results.Write(name, result); err != nil {
		return err
	}
	if err := s.shelf.run(name, result); err != nil {
		return err
	}
	return page.SeeOther(w, r, experimentPath(name))
}

// readExperiment reads an experiment for a card by name.
func (s *Area) readExperiment(file, text, cardName string) (*experiment.Experiment, *card.Card, error) {
	return experiment.Read(file, []byte(text), func(set tile.Set) (*card.Card, error) { return address.Card(s.desk, cardName, set) })
}

// mostDeals is the most deals of an experiment, as its file allows.
const mostDeals = 100_000_000

func dealsOf(text string) (int, error) {
	n, err := strconv.Atoi(strings.ReplaceAll(strings.TrimSpace(text), ",", ""))
	if err != nil || n < 1 || n > mostDeals {
		return 0, fmt.Errorf("the number of deals %q: a whole number from 1 to %d is right", text, mostDeals)
	}
	return n, nil
}

// steerExperiment stops a result, goes on with it, or asks for more deals.
func (s *Area) steerExperiment(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	name := r.PathValue("name")
	if r.PostForm.Get("act") == "stop" {
		if _, err := s.shelf.read(name); err != nil {
			return err
		}
		s.shelf.long.End(experimentKey(name))
		return page.SeeOther(w, r, experimentPath(name))
	}
	result, err := s.shelf.read(name)
	if err != nil {
		return err
	}
	if s.shelf.long.Now(experimentKey(name)).Active() {
		return page.SeeOther(w, r, experimentPath(name)) // it goes on already
	}
	if r.PostForm.Get("act") == "more" {
		deals, err := dealsOf(r.PostForm.Get("deals"))
		if err == nil {
			err = result.Extend(deals)
		}
		if err != nil {
			return s.renderExperiment(w, http.StatusUnprocessableEntity, name, result, view.Sentence(err))
		}
		if err := s.shelf.results.Write(name, result); err != nil {
			return err
		}
	}
	if err := s.shelf.run(name, result); err != nil {
		return err
	}
	return page.SeeOther(w, r, experimentPath(name))
}

func (s *Area) deleteExperiment(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	s.shelf.long.End(experimentKey(name))
	if err := s.shelf.results.Delete(name); errors.Is(err, os.ErrNotExist) {
		return page.NotFound("There is no result %s; it may have been deleted.", name)
	} else if err != nil {
		return err
	}
	return page.SeeOther(w, r, "/experiments?deleted="+url.QueryEscape(name))
}

func (s *Area) restoreExperiment(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	if err := s.shelf.results.Restore(name); errors.Is(err, os.ErrNotExist) {
		return page.NotFound("There is no deleted result %s.", name)
	} else if err != nil {
		return err
	}
	return page.SeeOther(w, r, experimentPath(name))
}
