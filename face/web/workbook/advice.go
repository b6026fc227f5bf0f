package workbook

import (
	"context"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/live"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
	"secondpass/store"
)

// adviceGames is the budget of the first piece of advice; each "go on" has four times as many.
const adviceGames = desk.AdviceGames

// advicePage is what playing on makes of the decisions open at one moment of a route.
type advicePage struct {
	ID        int64
	Name      string
	Route     view.RouteHead
	At        int
	Heading   string
	Rack      template.HTML
	Decided   bool // the route has gone on from here
	Step      string
	StepPath  string
	Live      advicePart
	SheetPath string
}

// advicePart is the part that changes while one watches.
type advicePart struct {
	ID   int64
	Path string
	At   int
	Seed uint64
	// House names unusual house rules.
	House string
	live.Shown
	Started     bool
	Count       string
	Axis        template.HTML
	Cands, Rest []cand
	Even        string
	EvenAfter   int // the place after which that is said
	Note        string
}

// cand is one decision with its figures.
type cand struct {
	Place       int
	In, Yours   bool
	Tiles       template.HTML
	Text        string
	Chance      view.Figure
	Behind      string
	BehindRange string
	Best        bool
	Early       bool // first so far, but not yet compared on fresh games
	Why         string
	Points      string
}

// moment is a route cut at a decision, as advice is asked for it.
type moment struct {
	x     *store.Saved
	route *exercise.Route
	at    int
	trail exercise.Trail
	// taken is what the route did here; nil where it waits.
	taken *exercise.Choice
}

func (s *Area) moment(r *http.Request) (*moment, error) {
	x, route, t, err := address.Route(s.store, r)
	if err != nil {
		return nil, err
	}
	m := &moment{x: x, route: route, at: route.Len(), trail: t}
	if text := r.FormValue("at"); text != "" {
		if m.at, err = strconv.Atoi(text); err != nil || m.at < 0 || m.at > route.Len() {
			return nil, page.NotFound("Route %s has no decision number %q.", route.Name, text)
		}
	}
	if m.at < route.Len() {
		cut := route.Upto(m.at)
		if m.trail, err = x.Replay(&cut); err != nil {
			return nil, err
		}
		c := route.Choice(m.at)
		m.taken = &c
	}
	if m.trail.Game == nil && m.trail.Now.Phase() == charleston.Over || m.trail.Game != nil && m.trail.Game.Over() {
		return nil, page.Refused("Nothing is to be decided here: the route has come to its end. Ask at one of its steps.")
	}
	return m, nil
}

func (m *moment) key() string {
	return fmt.Sprintf("advice %d %s %v", m.x.ID, routeKey(m.x.Exercise, m.route, m.at), m.named())
}

// named is what the user passed here, which is judged to the end whatever becomes of it.
func (m *moment) named() []charleston.Action {
	if m.taken == nil || m.taken.InPlay() {
		return nil
	}
	return []charleston.Action{m.taken.Decision.Action(m.x.Seat)}
}

// passed is the number of the route's decisions in the passing.
func (m *moment) passed() int { return len(m.route.Decisions) }

func (m *moment) path() string { return view.StepPath(m.x.ID, m.route.ID) }

func (s *Area) showAdvice(w http.ResponseWriter, r *http.Request) error {
	m, err := s.moment(r)
	if err != nil {
		return err
	}
	p := advicePage{ID: m.x.ID, Name: m.x.Exercise.Name, At: m.at, Decided: m.taken != nil, StepPath: m.path(), SheetPath: view.SheetPath(m.x.ID)}
	_, p.Route = view.HeadsOf(m.x.ID, m.x.Exercise, m.route.ID)
	if m.trail.Game != nil {
		v := m.trail.Game.View()
		p.Heading, p.Rack = "your discard", view.RackStrip("Rack", v.Rack())
		if d, waits := v.Claimable(); waits {
			p.Heading = fmt.Sprintf("%s discards %s", d.Seat.Name(), d.Tile.Name())
		}
		p.Step = fmt.Sprintf("Decision %d of the play, %s left in the wall", m.at-m.passed()+1, wording.Plural(v.WallLeft(), "tile"))
	} else {
		var due view.StepPage
		due.Due(&m.trail.Now)
		p.Heading, p.Rack = strings.ToLower(due.Heading[:1])+due.Heading[1:], view.RackStrip("Rack", m.trail.Now.Rack())
		p.Step = wording.Capital(wording.Step(m.trail.Now.Step()))
	}
	p.Live = s.advicePart(m, s.jobs.Now(m.key()))
	s.Render(w, http.StatusOK, "advice", page.Page{Title: "Advice: " + p.Heading, Section: "Exercises", Wide: true, Data: p})
	return nil
}

func (s *Area) startAdvice(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	m, err := s.moment(r)
	if err != nil {
		return err
	}
	if r.PostForm.Get("act") == "stop" {
		s.jobs.Halt(m.key())
	} else {
		counsel, err := s.ready.Counsel(m.x.Exercise)
		if err != nil {
			return err
		}
		s.jobs.Start(m.key(), func(round int, _ any) live.Work {
			return advise(counsel, m, advice.Budget{Games: adviceGames << (2 * min(round, 6))})
		})
	}
	return page.SeeOther(w, r, m.path()+"/advice?at="+strconv.Itoa(m.at))
}

func advise(counsel *advice.Counsel, m *moment, budget advice.Budget) live.Work {
	return func(ctx context.Context, publish func(any)) error {
		if m.trail.Game != nil {
			state := m.trail.Game.State()
			v, err := counsel.AdvisePlay(ctx, &state, m.x.Seat, budget, func(v advice.Verdict) { publish(&v) })
			if err == nil {
				publish(&v)
			}
			return err
		}
		a, err := counsel.Advise(ctx, m.trail.Now.View(), m.named(), budget, func(a advice.Advice) { publish(&a) })
		if err == nil {
			publish(&a)
		}
		return err
	}
}

func (s *Area) liveAdvice(w http.ResponseWriter, r *http.Request) error {
	m, err := s.moment(r)
	if err != nil {
		return err
	}
	j, err := s.jobs.Watched(m.key())
	if err != nil {
		return err
	}
	return page.Follow[live.Shown](w, r, j, func(now live.Shown) ([]byte, error) {
		return s.Text("advice", "advice-live", s.advicePart(m, now))
	})
}

func (s *Area) advicePart(m *moment, now live.Shown) advicePart {
	p := advicePart{ID: m.x.ID, House: wording.HouseRules(m.x.House), Path: m.path() + "/advice", At: m.at, Seed: m.x.Seed, Shown: now, Started: now.State != ""}
	var cands []cand
	switch found := now.Data.(type) {
	case *advice.Advice:
		cands = passCands(m, found, &p)
		p.Count = fmt.Sprintf("%s, %d short games, %d whole games of each finalist", wording.Plural(len(found.Candidates), "decision"), found.Games, found.Whole)
	case *advice.Verdict:
		cands = playCands(m, found, &p)
		p.Count = fmt.Sprintf("%s, %d whole games", wording.Plural(len(found.Judged), "decision"), found.Games)
	default:
		return p
	}
	// One that is shown to be worse may have a better figure than one that is not: the top group stands together.
	slices.SortStableFunc(cands, func(a, b cand) int { return view.Count(b.In) - view.Count(a.In) })
	for i, c := range cands {
		c.Place = i + 1
		if i < view.CandsShown || c.In || c.Yours {
			p.Cands = append(p.Cands, c)
		} else {
			p.Rest = append(p.Rest, c)
		}
	}
	top := 0
	for _, c := range p.Cands {
		top += view.Count(c.In)
	}
	if top > 1 {
		p.EvenAfter = top
		p.Even = fmt.Sprintf("Above: no difference shown among these %s. Any of them is a right answer.", wording.Numeral(top))
	}
	return p
}

func passCands(m *moment, a *advice.Advice, p *advicePart) []cand {
	var chances []stat.Interval[unit.Chance]
	for i := range a.Candidates {
		chances = append(chances, a.Candidates[i].Chance)
	}
	s := view.ChanceScale(chances)
	p.Axis = s.Axis()
	cands := make([]cand, len(a.Candidates))
	for i := range a.Candidates {
		o := &a.Candidates[i]
		c := &cands[i]
		*c = cand{Place: i + 1, In: o.Even, Yours: o.Named, Chance: view.ChanceFigure(s, o.Chance), Best: i == 0, Why: wording.Capital(wording.Why(m.x.Card, o)) + "."}
		c.Tiles, c.Text = candidateTiles(o, m.trail.Now.Step().Direction())
		if !o.Final {
			c.Chance.Range = fmt.Sprintf("after %s", wording.Plural(o.Chance.N, "game"))
		}
		c.behind(o.Behind)
		c.Early = i == 0 && !o.Final && len(a.Candidates) > 1
		if o.Points.N > 0 {
			c.Points = "Points a game " + view.Minus(wording.Points(o.Points))
		}
	}
	p.Note = biasNote(a)
	return cands
}

// behind fills in how far a candidate is behind the best.
func (c *cand) behind(i stat.Interval[unit.ChanceDifference]) {
	if i.N == 0 || c.Best {
		return
	}
	c.Behind = view.Minus(wording.Plus(-100*i.Value, 1))
	if i.Bounded() {
		c.BehindRange = view.Minus(fmt.Sprintf("%s to %s", wording.Plus(-100*i.High, 1), wording.Plus(-100*i.Low, 1)))
	}
}

// biasNote says how short games compare with whole ones.
func biasNote(a *advice.Advice) string {
	if a.Whole == 0 {
		return ""
	}
	text := fmt.Sprintf("Check: for the first, the estimate by short games was %s percentage points from %s%s", wording.ChancePoints(a.Bias), wording.Plural(a.Whole, "whole game"), wording.Shown(a.Bias))
	if a.Level > 0 {
		text += fmt.Sprintf("; the chances above are set to the level of the whole games (times %.2f)", a.Level)
	}
	return view.Minus(text) + "."
}

// candidateTiles is a decision as tiles, or in words where no tiles go.
func candidateTiles(o *advice.Candidate, d charleston.Direction) (template.HTML, string) {
	if o.Kind != charleston.Pass && o.Kind != charleston.Give {
		return "", wording.Capital(wording.Candidate(o))
	}
	blind := 0
	if o.Kind == charleston.Pass {
		blind = o.Count
	}
	faces := view.Plain(o.Own.Tiles())
	for range blind {
		faces = append(faces, view.Face{ID: "t-unseen", Name: "unseen tile", Gap: true})
	}
	return view.Strip(wording.Candidate(o), faces), ""
}

func playCands(m *moment, v *advice.Verdict, p *advicePart) []cand {
	var chances []stat.Interval[unit.Chance]
	for i := range v.Judged {
		chances = append(chances, v.Judged[i].Chance)
	}
	if len(chances) == 0 {
		return nil
	}
	s := view.ChanceScale(chances)
	p.Axis = s.Axis()
	cands := make([]cand, len(v.Judged))
	for i := range v.Judged {
		j := &v.Judged[i]
		cands[i] = cand{Place: i + 1, In: j.Even, Chance: view.ChanceFigure(s, j.Chance), Best: i == 0, Early: i == 0 && !j.Final && len(v.Judged) > 1,
			Yours: m.taken != nil && m.taken.Action == j.Action}
		cands[i].Text, cands[i].Tiles = actionWords(j.Action, m.x.Seat)
		cands[i].Why = m.whyPlay(j.Action)
		if !j.Final {
			cands[i].Chance.Range = fmt.Sprintf("after %s", wording.Plural(j.Chance.N, "game"))
		}
		cands[i].behind(j.Behind)
	}
	return cands
}

// whyPlay says what a decision of the play does to the nearest hand.
func (m *moment) whyPlay(a table.Action) string {
	hands := len(m.x.Card.Hands)
	nearest := func(s *table.State) string {
		near := exercise.NearestInPlay(s.View(m.x.Seat), page.Counts(hands), 1)
		if len(near) == 0 {
			return ""
		}
		return wording.Near(&near[0])
	}
	state := m.trail.Game.State()
	before := nearest(&state)
	var err error
	switch a.Kind {
	case table.Mahjong, table.Declare:
		return "Wins now."
	case table.Expose, table.Decline:
		// What others would answer is not known; this is what the own answer does where they let it go.
		var claims [charleston.Seats]table.Claim
		claims[a.Seat] = a.Claim()
		if a.Kind == table.Expose {
			err = state.Settle(claims)
		}
	default:
		err = state.Apply(a)
	}
	if err != nil {
		return ""
	}
	text := "Keeps " + before + "."
	if after := nearest(&state); after != before {
		text = wording.Capital(before) + " before, then " + after + "."
	}
	if a.Kind == table.Discard && a.Tile == tile.Joker {
		text += " A discarded joker is dead."
	}
	return text
}

// actionWords is a decision of the play of a seat in words, and the tiles that they speak of.
func actionWords(a table.Action, you charleston.Seat) (string, template.HTML) {
	switch a.Kind {
	case table.Discard:
		return "Discard", view.TileStrip(a.Tile)
	case table.Expose:
		return "Claim", view.ExposureStrip(table.Exposure{Tile: a.Tile, Size: a.Size, Jokers: a.Jokers})
	case table.Mahjong:
		return "Claim for mahjong", view.TileStrip(a.Tile)
	case table.Exchange:
		return "Exchange for " + view.Whose(a.From, a.Seat, you) + " joker", view.TileStrip(a.Tile)
	case table.Declare:
		return "Declare mahjong", ""
	}
	return "Let it go", ""
}
