package view

import (
	"cmp"
	"fmt"
	"html/template"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/work/queue"
)

// advicePage is what playing on makes of the decisions open at one moment of a route.
type advicePage struct {
	ID        int64
	Name      string
	Route     RouteHead
	At        int
	Heading   string
	Rack      template.HTML
	Decided   bool // the route has gone on from here
	Step      string
	StepPath  string
	Live      advicePart
	SheetPath string
	// Namable says that a pass of one's own can be judged, BlindToo with blind tiles; Own and Blind are the one that is.
	Namable, BlindToo bool
	Own               string
	Blind             int
	Refusal           string
}

// advicePart is the part that changes while one watches.
type advicePart struct {
	ID   int64
	Path string
	At   int
	// Query names the moment and a pass of one's own; Own and Blind are that pass.
	Query, Own string
	Blind      int
	Seed       uint64
	// House names unusual house rules.
	House string
	queue.Shown
	Started     bool
	Count       string
	Axis        template.HTML
	Cands, Rest []cand
	What        string // what is judged, as in "Pass"
	Even        string
	EvenAfter   int // the place after which that is said
}

// cand is one decision with its figures.
type cand struct {
	Place       int
	In, Yours   bool
	Tiles       template.HTML
	Text        string
	Final       bool
	Chance      Figure // of a final one
	Early       string // how far one came that is not final
	Behind      string // against the best; "" where no difference is shown
	BehindRange string
	Best        bool
	Why         template.HTML
	Points      string
}

// Moment is a route cut at a decision, as advice is asked for it.
type Moment struct {
	Exercise Exercise
	Route    *exercise.Route
	At       int
	Trail    exercise.Trail
	// Taken is what the route did here; nil where it waits.
	Taken *exercise.Choice
	// Own is a pass of the user's own that is to be judged too; nil for none.
	Own *charleston.Action
}

// Named is what the user passed here or asks about, which is judged to the end whatever becomes of it.
func (m *Moment) Named() []charleston.Action {
	var named []charleston.Action
	if m.Taken != nil && !m.Taken.InPlay() {
		named = append(named, m.Taken.Decision.Action(m.Exercise.Seat))
	}
	if m.Own != nil && !slices.Contains(named, *m.Own) {
		named = append(named, *m.Own)
	}
	return named
}

// AdviceQuery is the query of a page's address that names the moment, and the user's own pass.
func (m *Moment) AdviceQuery() string {
	q := url.Values{"at": {strconv.Itoa(m.At)}}
	if m.Own != nil {
		q.Set("own", m.Own.Own.String())
		q.Set("blind", strconv.Itoa(m.Own.Count))
	}
	return q.Encode()
}

// namable says whether a pass of the user's own can be judged at the moment, and whether it may hold blind tiles.
func (m *Moment) namable() (pass, blind bool) {
	if m.Trail.Game != nil {
		return false, false
	}
	v := m.Trail.Now.View()
	switch v.Phase {
	case charleston.Giving:
		return true, false
	case charleston.Passing:
		return true, v.Rules.Blind && v.Step.BlindAllowed()
	}
	return false, false
}

// passed is the number of the route's decisions in the passing.
func (m *Moment) passed() int { return len(m.Route.Decisions) }

func (m *Moment) Path() string { return StepPath(m.Exercise.ID, m.Route.ID) }

func NewAdvicePage(m *Moment) advicePage {
	p := advicePage{ID: m.Exercise.ID, Name: m.Exercise.Exercise.Name, At: m.At, Decided: m.Taken != nil, StepPath: m.Path(), SheetPath: SheetPath(m.Exercise.ID)}
	_, p.Route = HeadsOf(m.Exercise.ID, m.Exercise.Exercise, m.Route.ID)
	p.Namable, p.BlindToo = m.namable()
	if m.Own != nil {
		p.Own, p.Blind = m.Own.Own.String(), m.Own.Count
	}
	if m.Trail.Game != nil {
		v := m.Trail.Game.View()
		p.Heading, p.Rack = "your discard", RackStrip("Rack", v.Rack())
		if d, waits := v.Claimable(); waits {
			p.Heading = fmt.Sprintf("%s discards %s", d.Seat.Name(), d.Tile.Name())
		}
		p.Step = fmt.Sprintf("Decision %d of the play, %s left in the wall", m.At-m.passed()+1, wording.Plural(v.WallLeft(), "tile"))
	} else {
		var due StepPage
		due.Due(&m.Trail.Now)
		p.Heading, p.Rack = strings.ToLower(due.Heading[:1])+due.Heading[1:], RackStrip("Rack", m.Trail.Now.Rack())
		p.Step = wording.Capital(wording.Step(m.Trail.Now.Step()))
	}
	return p
}

func NewAdvicePart(m *Moment, now queue.Shown) advicePart {
	p := advicePart{ID: m.Exercise.ID, House: wording.HouseRules(m.Exercise.House), Path: m.Path() + "/advice", At: m.At, Seed: m.Exercise.Seed, Shown: now, Started: now.State != ""}
	p.Query = m.AdviceQuery()
	if m.Own != nil {
		p.Own, p.Blind = m.Own.Own.String(), m.Own.Count
	}
	var cands []cand
	var all []*advice.Standing
	var noun wording.Noun
	switch found := now.Data.(type) {
	case *advice.Advice:
		all = wording.Standings(found)
		cands = passCands(m, found)
		p.Count = wording.AdvicePlayed(found)
		noun = wording.Passed(found)
	case *advice.Verdict:
		all = wording.StandingsOf(found)
		cands = playCands(m, found)
		p.Count = wording.VerdictPlayed(found)
		noun = wording.Chosen(found)
	default:
		return p
	}
	p.What, p.Even = wording.Capital(string(noun)), wording.EvenText(noun, all)
	var chances []stat.Interval[unit.Chance]
	for _, s := range all {
		if s.Final {
			chances = append(chances, s.Chance)
		}
	}
	scale := ChanceScale(chances)
	if len(chances) > 0 {
		p.Axis = scale.Axis()
	}
	for i, s := range all {
		cands[i].stand(s, scale)
		cands[i].Best = i == 0 && s.Final
	}
	// One that is shown to be worse may have a better figure than one that is not: those marked stand together.
	slices.SortStableFunc(cands, func(a, b cand) int {
		return cmp.Or(Count(b.Final)-Count(a.Final), Count(b.In)-Count(a.In))
	})
	for i, c := range cands {
		if c.Place = i + 1; i < CandsShown || c.Final || c.Yours {
			p.Cands = append(p.Cands, c)
		} else {
			p.Rest = append(p.Rest, c)
		}
		if c.In && c.Final {
			p.EvenAfter = c.Place
		}
	}
	return p
}

// stand fills in what the games made of a candidate.
func (c *cand) stand(s *advice.Standing, scale Scale[unit.Chance]) {
	if c.In, c.Final = s.Even, s.Final; !s.Final {
		c.Early = wording.Capital(wording.Early(s))
		return
	}
	c.Chance = ChanceFigure(scale, s.Chance)
	c.behind(s.Behind)
	c.Points = "Net points a game " + Minus(wording.Points(s.Value.Net()))
}

func passCands(m *Moment, a *advice.Advice) []cand {
	cands := make([]cand, len(a.Candidates))
	for i := range a.Candidates {
		o := &a.Candidates[i]
		cands[i] = cand{Yours: o.Named, Why: ReasonOf(wording.Why(a, i))}
		cands[i].Tiles, cands[i].Text = candidateTiles(o, m.Trail.Now.Step().Direction())
	}
	return cands
}

// behind fills in how far a candidate is behind the best.
func (c *cand) behind(i stat.Interval[unit.ChanceDifference]) {
	if i.N == 0 {
		return
	}
	if i.Low > 0 {
		c.Behind = Minus(wording.Plus(-100*i.Value, 1))
	}
	c.BehindRange = Minus(fmt.Sprintf("%s to %s", wording.Plus(-100*i.High, 1), wording.Plus(-100*i.Low, 1)))
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
	faces := Plain(o.Own.Tiles())
	for range blind {
		faces = append(faces, Face{ID: "t-unseen", Name: "unseen tile", Gap: true})
	}
	return Strip(wording.Candidate(o), faces), ""
}

func playCands(m *Moment, v *advice.Verdict) []cand {
	cands := make([]cand, len(v.Judged))
	reasons := m.playReasons(v)
	for i := range v.Judged {
		a := v.Judged[i].Action
		cands[i] = cand{Yours: m.Taken != nil && m.Taken.Action == a, Why: reasons[i]}
		cands[i].Text, cands[i].Tiles = actionWords(a, m.Exercise.Seat)
	}
	return cands
}

// playReasons says what sets each decision of the play apart.
func (m *Moment) playReasons(v *advice.Verdict) []template.HTML {
	reasons := make([]template.HTML, len(v.Judged))
	actions := make([]table.Action, len(v.Judged))
	for i := range actions {
		actions[i] = v.Judged[i].Action
	}
	facts, err := advice.FactsOfPlay(m.Trail.Game.State(), m.Exercise.Seat, actions)
	if err != nil {
		return reasons // the figures stand without them
	}
	for i := range v.Judged {
		if against := v.Against(i); against >= 0 {
			text, _ := actionWords(actions[against], m.Exercise.Seat)
			if actions[against].Kind == table.Discard {
				text += " " + actions[against].Tile.String()
			}
			reasons[i] = ReasonOf(wording.Reason(advice.Contrast(&facts[i], &facts[against]), strings.ToLower(text[:1])+text[1:]))
		}
	}
	return reasons
}

// actionWords is a decision of the play of a seat in words, and the tiles that they speak of.
func actionWords(a table.Action, you charleston.Seat) (string, template.HTML) {
	switch a.Kind {
	case table.Discard:
		return "Discard", TileStrip(a.Tile)
	case table.Expose:
		return "Claim", ExposureStrip(table.Exposure{Tile: a.Tile, Size: a.Size, Jokers: a.Jokers})
	case table.Mahjong:
		return "Claim for mahjong", TileStrip(a.Tile)
	case table.Exchange:
		return "Exchange for " + Whose(a.From, a.Seat, you) + " joker", TileStrip(a.Tile)
	case table.Declare:
		return "Declare mahjong", ""
	}
	return "Let it go", ""
}
