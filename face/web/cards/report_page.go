package cards

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"secondpass/engine/player"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/findings"
	"secondpass/paper/wording"
	"secondpass/research/cardreport"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/work/queue"
)

// routeReports is the card reports.
func (s *Area) routeReports(mux page.Routes) {
	mux.HandleFunc("GET /cards/{name}/report", s.Handle(s.showReport))
	mux.HandleFunc("POST /cards/{name}/report", s.Handle(s.steerReport))
	mux.HandleFunc("GET /cards/{name}/report/live", s.Handle(s.liveReport))
	mux.HandleFunc("GET /cards/{name}/report/plot", s.Handle(s.reportPlot))
	mux.HandleFunc("GET /cards/{name}/report/{file}", s.Handle(s.reportFile))
}

// firstReport is a first look: a part of what the command line takes, a few minutes.
var firstReport = cardreport.Wish{Deals: 20_000, Games: 2000, Aimed: 100, Seed: 1}

// The most that the page counts; the command line has no such bounds.
const mostReportDeals, mostReportGames, mostReportAimed = 10_000_000, 1_000_000, 100_000

// reported is what a report is of: a card, read for the set of the house rules.
type reported struct {
	*card.Card
	rules house.House
}

// settings is what a report counts.
func (c reported) settings(wish cardreport.Wish, tuning player.Tuning) cardreport.Settings {
	return cardreport.Settings{Card: c.Card, Tuning: tuning, House: c.rules, Seed: wish.Seed,
		Deals: wish.Deals, Games: wish.Games, Aimed: wish.Aimed}
}

// key names the counts that are kept, job the counting.
func (c reported) key() string {
	s := c.settings(cardreport.Wish{}, player.Tuning{})
	return s.Key()
}

func (c reported) job() string { return "report " + c.key() }

func (c reported) survey(k *cardreport.Counts) (*cardreport.Survey, error) {
	return cardreport.New(c.settings(k.Wish, k.Tuning))
}

// query tells reports of one card by different house rules apart in addresses, and more does where other fields stand
// before it; both are empty for the usual rules.
func (c reported) query() string {
	if f := view.HouseForm(c.rules); len(f) > 0 {
		return "?" + f.Encode()
	}
	return ""
}

func (c reported) more() template.URL {
	return template.URL(strings.Replace(c.query(), "?", "&", 1))
}

// reportsKept is how many reports are kept ready to be shown.
const reportsKept = 24

// keptReport is a report as it was last read.
type keptReport struct {
	changed time.Time
	report  *cardreport.Report
	wish    cardreport.Wish
}

// report is what was counted of a card so far, or nil.
func (s *Area) report(c reported) (*cardreport.Report, cardreport.Wish, error) {
	key := c.key()
	changed, err := s.reports.Changed(key)
	if err != nil || changed.IsZero() {
		return nil, firstReport, err
	}
	if known, ok := s.found.Get(key); ok && known.changed.Equal(changed) {
		return known.report, known.wish, nil
	}
	k, err := s.reports.Counts(key)
	if err != nil || k == nil {
		return nil, firstReport, err
	}
	survey, err := c.survey(k)
	if err != nil {
		return nil, firstReport, err
	}
	r := survey.Report(k.Tally)
	if r.Deals+r.Games+r.Aimed == 0 {
		return nil, k.Wish, nil
	}
	s.found.Add(key, keptReport{changed, r, k.Wish})
	return r, k.Wish, nil
}

// progress is how far a count has come.
type reportProgress struct {
	Stage    cardreport.Stage
	Done, Of int
}

// count goes on with a report; the desk keeps it while it does.
func (s *Area) count(c reported, k *cardreport.Counts) error {
	return s.long.KeepOn(c.job(), func(ctx context.Context, publish func(any)) error {
		told := queue.Seldom(publish)
		return s.desk.CountCard(ctx, c.settings(k.Wish, k.Tuning), k, true, func(stage cardreport.Stage, done, of int) {
			told(func() any { return &reportProgress{stage, done, of} })
		})
	})
}

// reportPage is what a card is like.
type reportPage struct {
	Name, Path, CardPath, Title string
	// Query stands behind the path where the house rules are not the usual ones, More where others follow it.
	Query      string
	More       template.URL
	Wish       cardreport.Wish
	HouseRules []view.HouseField
	Live       reportPart
	Error      string
	Report     *reportView
}

// reportPart is what changes while it is counted.
type reportPart struct {
	queue.Shown
	reportProgress
	Path, Query string
	Fresh       bool // it came to its end while one watched
	Stopped     bool
}

func reportPath(name string) string { return cardPath(name) + "/report" }

// reportCard is the card of the address by the house rules of a form; one with errors has no report.
func (s *Area) reportCard(r *http.Request, f url.Values) (c reported, err error) {
	name := r.PathValue("name")
	if _, _, err := s.cardText(name); err != nil {
		return c, err
	}
	if c.rules, err = view.ReadHouse(f); err != nil {
		return c, page.Refused("%s", view.Sentence(err))
	}
	set, err := c.rules.Set()
	if err == nil {
		c.Card, err = address.Card(s.desk, name, set)
	}
	if err != nil {
		return c, page.Refused("%s", view.Sentence(err))
	}
	if len(c.Hands) == 0 {
		return c, page.Refused("The card %s has no hands yet.", name)
	}
	return c, nil
}

func (s *Area) showReport(w http.ResponseWriter, r *http.Request) error {
	c, err := s.reportCard(r, r.URL.Query())
	if err != nil {
		return err
	}
	return s.renderReport(w, r, http.StatusOK, c, "")
}

func (s *Area) renderReport(w http.ResponseWriter, r *http.Request, code int, c reported, said string) error {
	name := r.PathValue("name")
	p := reportPage{Name: name, Path: reportPath(name), CardPath: cardPath(name), Title: c.Name, Error: said,
		Query: c.query(), More: c.more(), HouseRules: view.HouseFields(view.HouseForm(c.rules), "", house.All)}
	now := s.long.Now(c.job())
	found, wish, err := s.report(c)
	if err != nil {
		return err
	}
	p.Wish = wish
	p.Live = partOf(name, c, now)
	if found != nil && !now.Active() { // nothing is shown while it is counted: the intervals are for numbers fixed before
		p.Live.Stopped = found.Stopped
		p.Report = viewReport(found, p.Path, string(p.More))
	}
	s.Render(w, code, "report", page.Page{Title: "Report of " + p.Title, Section: "Cards", Data: p})
	return nil
}

func partOf(name string, c reported, now queue.Shown) reportPart {
	p := reportPart{Shown: now, Path: reportPath(name), Query: c.query()}
	if at, ok := now.Data.(*reportProgress); ok {
		p.reportProgress = *at
	}
	return p
}

// StageWords is the stage in words.
func (p reportPart) StageWords() string {
	switch p.Stage {
	case cardreport.ReadDeals:
		return "Stage 1 of 3, random deals"
	case cardreport.PlayGames:
		return "Stage 2 of 3, games of four strong players"
	case cardreport.PlayAims:
		return "Stage 3 of 3, games with an aim"
	}
	return "Getting ready"
}

// steerReport begins a report, goes on with it or stops it.
func (s *Area) steerReport(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	f := r.URL.Query() // where it is stopped or gone on with
	if r.PostForm.Get("act") == "new" {
		f = r.PostForm
	}
	c, err := s.reportCard(r, f)
	if err != nil {
		return err
	}
	back := reportPath(r.PathValue("name")) + c.query()
	key := c.job()
	switch {
	case r.PostForm.Get("act") == "stop":
		s.long.End(key)
		return page.SeeOther(w, r, back)
	case s.long.Now(key).Active():
		return page.SeeOther(w, r, back)
	}
	k, err := s.reports.Counts(c.key())
	if err != nil {
		return err
	}
	if r.PostForm.Get("act") != "go" || k == nil {
		wish, err := wishedReport(r)
		if err != nil {
			return s.renderReport(w, r, http.StatusUnprocessableEntity, c, view.Sentence(err))
		}
		tuning, err := s.desk.Tuning(c.Card)
		if err != nil {
			return err
		}
		k = &cardreport.Counts{Wish: wish, Tuning: tuning, Tally: &cardreport.Tally{}}
		if err := s.reports.SaveCounts(c.key(), k); err != nil {
			return err
		}
	}
	if err := s.count(c, k); err != nil {
		return err
	}
	return page.SeeOther(w, r, back)
}

func wishedReport(r *http.Request) (cardreport.Wish, error) {
	w := firstReport
	for _, one := range []struct {
		field, what string
		most        int
		into        *int
	}{{"deals", "random deals", mostReportDeals, &w.Deals}, {"games", "games", mostReportGames, &w.Games}, {"aimed", "games with each aim", mostReportAimed, &w.Aimed}} {
		n, err := strconv.Atoi(strings.ReplaceAll(strings.TrimSpace(r.PostForm.Get(one.field)), ",", ""))
		if err != nil || n < 0 || n > one.most {
			return w, fmt.Errorf("the number of %s %q: a whole number from 0 to %d is right", one.what, r.PostForm.Get(one.field), one.most)
		}
		*one.into = n
	}
	if w.Deals+w.Games+w.Aimed == 0 {
		return w, errors.New("all three numbers are 0, so there is nothing to count")
	}
	var err error
	w.Seed, err = page.SeedOf(r.PostForm.Get("seed"))
	return w, err
}

func (s *Area) liveReport(w http.ResponseWriter, r *http.Request) error {
	c, err := s.reportCard(r, r.URL.Query())
	if err != nil {
		return err
	}
	j, err := s.long.Watched(c.job())
	if err != nil {
		return err
	}
	return page.Follow[queue.Shown](w, r, j, func(now queue.Shown) ([]byte, error) {
		p := partOf(r.PathValue("name"), c, now)
		p.Fresh = !now.Active()
		return s.Text("report", "report-live", p)
	})
}

// reportOf is the report of the address, which must have been counted.
func (s *Area) reportOf(r *http.Request) (*cardreport.Report, *card.Card, error) {
	c, err := s.reportCard(r, r.URL.Query())
	if err != nil {
		return nil, nil, err
	}
	found, _, err := s.report(c)
	if err == nil && found == nil {
		return nil, nil, page.NotFound("There is no report of %s yet. Start it on its page.", c.Name)
	}
	return found, c.Card, err
}

func (s *Area) reportPlot(w http.ResponseWriter, r *http.Request) error {
	found, _, err := s.reportOf(r)
	if err != nil {
		return err
	}
	return page.SendPlot(w, r, findings.ReportPlots(found), "report "+found.Card)
}

// reportFile is the report as JSON, or on paper.
func (s *Area) reportFile(w http.ResponseWriter, r *http.Request) error {
	found, on, err := s.reportOf(r)
	if err != nil {
		return err
	}
	switch r.PathValue("file") {
	case "report.json":
		var b bytes.Buffer
		if err := page.WriteIndented(&b, found); err != nil {
			return err
		}
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		w.Header().Set("Content-Disposition", page.Attachment("report "+found.Card, ".json"))
		_, err = w.Write(b.Bytes())
		return err
	case "report.pdf":
		paper, err := page.PaperOf(r)
		if err != nil {
			return err
		}
		return page.SendPaper(w, r, findings.ReportDocument(found, on, paper), "report "+found.Card)
	}
	return page.NotFound("A report has no %s; it has report.json and report.pdf.", r.PathValue("file"))
}

// reportView is a report as its page shows it.
type reportView struct {
	Count                             string
	DealsCap, GamesCap, AimsCap       string
	Sections, Hands                   []cardStanding
	Scales, HandScales                string
	Wall                              string
	Aims                              []aimRow
	AimScale                          string
	Restrictions                      [][]string
	RestrictionsHead                  []string
	Signs                             []sectionSigns
	SignsNote                         string
	Neighbours                        []neighbourRow
	Maps                              []view.PlotView
	Kinds                             []kindRow
	Steps                             [][]string
	StepsHead                         []string
	Plots                             map[string]view.PlotView
	HasDeals, HasGames, HasAims, Both bool
}

// cardStanding is a section or hand with its figures; Part begins a new section.
type cardStanding struct {
	Name, Part          string
	Away, Near, Won     view.Figure
	Level, Turns, Eight string
}

type aimRow struct {
	Name         string
	Wins, Points view.Figure
}

type sectionSigns struct {
	Name, NearAll, WonAll string
	Near, Won             []signRow
}

type signRow struct {
	Name, Lift, Share string
	Tiles             template.HTML
}

type neighbourRow struct{ Name, List string }

type kindRow struct {
	Name, Hands, Variants, Tiles, Still, Kept string
	Strip                                     template.HTML
}

func viewReport(r *cardreport.Report, path, more string) *reportView {
	v := &reportView{
		Count: findings.ReportCount(r) + " " + wording.PointsCaution, DealsCap: findings.DealsCaption(r), GamesCap: findings.GamesCaption(r), AimsCap: findings.AimsCaption(r),
		Restrictions: findings.Restrictions(r), RestrictionsHead: findings.RestrictionsHead, SignsNote: findings.SignsNote,
		HasDeals: r.Deals > 0, HasGames: r.Games > 0, HasAims: r.Aimed > 0, Both: r.Deals+r.Games > 0, Plots: map[string]view.PlotView{},
	}
	for _, p := range findings.ReportPlots(r) {
		plot := view.DrawPlot(p, path)
		plot.Path += more
		v.Plots[p.Key] = plot
	}
	v.standings(r)
	v.aims(r)
	for i := range r.Sections {
		s := &r.Sections[i]
		v.Signs = append(v.Signs, sectionSigns{Name: s.Name, NearAll: wording.Share(s.AllNearest), WonAll: wording.Share(s.AllWon), Near: signRows(s.Nearer), Won: signRows(s.Wins)})
		if wide := findings.SectionMap(r, s.Name, 0); wide != nil {
			v.Maps = append(v.Maps, view.PlotView{Name: s.Name, Wide: template.HTML(wide.InlineSVG())})
		}
	}
	for h := range r.Hands {
		v.Neighbours = append(v.Neighbours, neighbourRow{r.Hands[h].Name, findings.Neighbours(&r.Hands[h])})
	}
	v.kinds(r)
	if v.HasGames {
		v.Steps, v.StepsHead = findings.StepRows(r), findings.StepsHead
		v.Wall = wording.Share(r.Wall)
	}
	return v
}
