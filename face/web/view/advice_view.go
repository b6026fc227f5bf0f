package view

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
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
}

// advicePart is the part that changes while one watches.
type advicePart struct {
	ID   int64
	Path string
	At   int
	Seed uint64
	// House names unusual house rules.
	House string
	queue.Shown
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
	Chance      Figure
	Behind      string
	BehindRange string
	Best        bool
	Early       bool // first so far, but not yet compared on fresh games
	Why         string
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
}

// Named is what the user passed here, which is judged to the end whatever becomes of it.
func (m *Moment) Named() []charleston.Action {
	if m.Taken == nil || m.Taken.InPlay() {
		return nil
	}
	return []charleston.Action{m.Taken.Decision.Action(m.Exercise.Seat)}
}

// passed is the number of the route's decisions in the passing.
func (m *Moment) passed() int { return len(m.Route.Decisions) }

func (m *Moment) Path() string { return StepPath(m.Exercise.ID, m.Route.ID) }

func NewAdvicePage(m *Moment) advicePage {
	p := advicePage{ID: m.Exercise.ID, Name: m.Exercise.Exercise.Name, At: m.At, Decided: m.Taken != nil, StepPath: m.Path(), SheetPath: SheetPath(m.Exercise.ID)}
	_, p.Route = HeadsOf(m.Exercise.ID, m.Exercise.Exercise, m.Route.ID)
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
	slices.SortStableFunc(cands, func(a, b cand) int { return Count(b.In) - Count(a.In) })
	for i, c := range cands {
		c.Place = i + 1
		if i < CandsShown || c.In || c.Yours {
			p.Cands = append(p.Cands, c)
		} else {
			p.Rest = append(p.Rest, c)
		}
	}
	top := 0
	for _, c := range p.Cands {
		top += Count(c.In)
	}
	if top > 1 {
		p.EvenAfter = top
		p.Even = fmt.Sprintf("Above: no difference shown among these %s. Any of them is a right answer.", wording.Numeral(top))
	}
	return p
}

func passCands(m *Moment, a *advice.Advice, p *advicePart) []cand {
	var chances []stat.Interval[unit.Chance]
	for i := range a.Candidates {
		chances = append(chances, a.Candidates[i].Chance)
	}
	s := ChanceScale(chances)
	p.Axis = s.Axis()
	cands := make([]cand, len(a.Candidates))
	for i := range a.Candidates {
		o := &a.Candidates[i]
		c := &cands[i]
		*c = cand{Place: i + 1, In: o.Even, Yours: o.Named, Chance: ChanceFigure(s, o.Chance), Best: i == 0, Why: wording.Capital(wording.Why(m.Exercise.Card, o)) + "."}
		c.Tiles, c.Text = candidateTiles(o, m.Trail.Now.Step().Direction())
		if !o.Final {
			c.Chance.Range = fmt.Sprintf("after %s", wording.Plural(o.Chance.N, "game"))
		}
		c.behind(o.Behind)
		c.Early = i == 0 && !o.Final && len(a.Candidates) > 1
		if o.Points.N > 0 {
			c.Points = "Points a game " + Minus(wording.Points(o.Points))
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
	c.Behind = Minus(wording.Plus(-100*i.Value, 1))
	if i.Bounded() {
		c.BehindRange = Minus(fmt.Sprintf("%s to %s", wording.Plus(-100*i.High, 1), wording.Plus(-100*i.Low, 1)))
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
	return Minus(text) + "."
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

func playCands(m *Moment, v *advice.Verdict, p *advicePart) []cand {
	var chances []stat.Interval[unit.Chance]
	for i := range v.Judged {
		chances = append(chances, v.Judged[i].Chance)
	}
	if len(chances) == 0 {
		return nil
	}
	s := ChanceScale(chances)
	p.Axis = s.Axis()
	cands := make([]cand, len(v.Judged))
	for i := range v.Judged {
		j := &v.Judged[i]
		cands[i] = cand{Place: i + 1, In: j.Even, Chance: ChanceFigure(s, j.Chance), Best: i == 0, Early: i == 0 && !j.Final && len(v.Judged) > 1,
			Yours: m.Taken != nil && m.Taken.Action == j.Action}
		cands[i].Text, cands[i].Tiles = actionWords(j.Action, m.Exercise.Seat)
		cands[i].Why = m.whyPlay(j.Action)
		if !j.Final {
			cands[i].Chance.Range = fmt.Sprintf("after %s", wording.Plural(j.Chance.N, "game"))
		}
		cands[i].behind(j.Behind)
	}
	return cands
}

// whyPlay says what a decision of the play does to the nearest hand.
func (m *Moment) whyPlay(a table.Action) string {
	hands := len(m.Exercise.Card.Hands)
	nearest := func(s *table.State) string {
		near := exercise.NearestInPlay(s.View(m.Exercise.Seat), Counts(hands), 1)
		if len(near) == 0 {
			return ""
		}
		return wording.Near(&near[0])
	}
	state := m.Trail.Game.State()
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
