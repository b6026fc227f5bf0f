package liveclass

import (
	"encoding/json"
	"fmt"
	"html/template"
	"strings"

	"secondpass/face/web/view"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/teach/class"
)

// questionHeading is what a round asks, in a few words.
func questionHeading(q *class.Question) string {
	if q.Heading != "" {
		return q.Heading
	}
	if q.Phase == 0 {
		return "A vote that cannot be read"
	}
	where := "to the " + q.Step.Direction().String()
	if q.Step.Direction() == charleston.Across {
		where = "across"
	}
	switch q.Phase {
	case charleston.Passing:
		return "Three " + where
	case charleston.Voting:
		return "Stop here, or go on?"
	case charleston.Naming:
		return "Courtesy: how many across?"
	}
	return "Courtesy: " + wording.Numeral(q.Need) + " across"
}

// asks is what a student is to do, in a sentence.
func asks(q *class.Question) string {
	if q.Chooses() {
		return "Choose one answer."
	}
	switch q.Phase {
	case charleston.Passing, charleston.Giving:
		return "Choose " + wording.Numeral(q.Need) + "."
	case charleston.Voting:
		return "Any seat may stop now."
	}
	return "The smaller of the two numbers is exchanged."
}

// yours names what a student has chosen.
func yours(q *class.Question) string {
	if q.Chooses() {
		return "Your answer"
	}
	switch q.Phase {
	case charleston.Passing, charleston.Giving:
		return "Your " + wording.Numeral(q.Need)
	case charleston.Voting:
		return "Your answer"
	}
	return "Your number"
}

// plansShown is how many of the nearest hands stand below a question; others are pinned on the card.
const plansShown = 3

// questionForm is a question as a student answers it.
type questionForm struct {
	Heading, Asks, Kind, Yours string
	Direction                  string
	Need                       int
	Blind                      bool
	Picks                      []view.Pick
	Rack                       template.HTML
	Plans                      []string
	Options                    []string
	// Position is what else is seen of a drill or an item of a lesson; nil in a class on an exercise.
	Position *view.DrillView
	// Alone says that it is a student's own step, which goes on when the student says so.
	Alone bool
	Go    string
	Place string // "Step 2 of 7"
	Came  template.HTML
}

func formOf(q *class.Question) questionForm {
	f := questionForm{Heading: questionHeading(q), Asks: asks(q), Yours: yours(q), Need: q.Need, Blind: q.Blind, Plans: q.Plans[:min(plansShown, len(q.Plans))],
		Direction: q.Step.Direction().String(), Place: wording.Capital(wording.Step(q.Step))}
	if q.Chooses() {
		f.Kind, f.Rack, f.Go, f.Options = "option", view.RackStrip("Your rack", q.Rack), "That is my answer", q.Options
		if f.Place = ""; q.Step > 0 {
			f.Place = wording.Capital(wording.Step(q.Step))
		}
		return f
	}
	switch q.Phase {
	case charleston.Passing, charleston.Giving:
		f.Kind, f.Picks = "tiles", view.Picks(q.Rack, tile.Rack{}, view.Marks{})
		f.Go = "Pass these " + wording.Numeral(q.Need)
	case charleston.Voting:
		f.Kind, f.Rack, f.Go = "vote", view.RackStrip("Your rack", q.Rack), "That is my answer"
	default:
		f.Kind, f.Rack, f.Go = "number", view.RackStrip("Your rack", q.Rack), "Offer that many"
	}
	return f
}

// choiceView is a choice as tiles, or in words where no tiles go.
type choiceView struct {
	Tiles template.HTML
	Text  string
}

func viewChoice(q *class.Question, c class.Choice) choiceView {
	if q.Chooses() {
		return choiceView{Text: optionText(q, c)}
	}
	words := wording.Action(q.Action(c, charleston.East))
	if q.Phase != charleston.Passing && q.Phase != charleston.Giving {
		return choiceView{Text: wording.Capital(words)}
	}
	faces := view.Plain(c.Own.Tiles())
	for range c.Count {
		faces = append(faces, view.Face{ID: sheet.UnseenID, Name: "unseen tile", Gap: true})
	}
	return choiceView{Tiles: view.Strip(words, faces), Text: words}
}

// optionText is the option chosen, in words.
func optionText(q *class.Question, c class.Choice) string {
	if c.Option < 1 || c.Option > len(q.Options) {
		return "no answer"
	}
	return q.Options[c.Option-1]
}

// spreadRow is one choice of the class with how many made it and what it costs.
type spreadRow struct {
	choiceView
	N           int // of the choice in the list
	Key         string
	Count       int
	Share       string // of the greatest count, in per cent
	Names       string
	Cost, Range string
	Why         template.HTML
	Best, Even  bool
	Ticked      bool
}

// spreadView is the answers of a counted round, grouped.
type spreadView struct {
	Answered, Joined int
	Rows             []spreadRow
	Plans            []class.PlanCount
	// Judged says that costs are known, Open that nothing or not all that is to be known of them is; Others are good choices that
	// nobody made.
	Judged   bool
	Open     bool
	Others   []spreadRow
	Games    string
	Followed []choiceView
	Routes   []string
}

// choiceKey is a choice as text that forms and scripts hand on.
func choiceKey(c class.Choice) string {
	b, err := json.Marshal(c.Bare())
	if err != nil {
		return "" // a choice is plain text and numbers
	}
	return string(b)
}

// viewSpread is the spread of a round with what is known of its costs; j is that, or nil.
func viewSpread(c *class.Class, r *class.Round, j *class.Judgement) spreadView {
	v := spreadView{Joined: r.Asked(c.Students), Judged: j != nil, Open: !j.Over()}
	v.Answered, _ = r.Answered()
	groups := r.Spread()
	for i, g := range groups {
		row := rowOf(r, g.Choice, len(g.Students), len(groups[0].Students))
		row.N = i
		var names []string
		for _, id := range g.Students {
			if st, err := c.Student(id); err == nil {
				names = append(names, st.Name)
			}
		}
		row.Names = strings.Join(names, ", ")
		row.judge(j, g.Choice)
		v.Rows = append(v.Rows, row)
	}
	if j != nil {
		v.Games = gamesOf(j)
		for _, cost := range j.Costs {
			if !cost.Even || hasGroup(groups, cost.Choice) {
				continue
			}
			row := rowOf(r, cost.Choice, 0, 1)
			row.N = len(v.Rows) + len(v.Others)
			row.judge(j, cost.Choice)
			v.Others = append(v.Others, row)
		}
	}
	for _, p := range r.Plans() {
		if p.N > 0 && len(r.Question.Plans) > 0 {
			v.Plans = append(v.Plans, p)
		}
	}
	for _, f := range r.Follows {
		v.Followed = append(v.Followed, viewChoice(&r.Question, f.Choice))
		v.Routes = append(v.Routes, f.Route)
	}
	return v
}

// gamesOf says by which games a judgement is.
func gamesOf(j *class.Judgement) string {
	if len(j.Costs) > 0 && j.Costs[0].Keyed {
		return fmt.Sprintf("By the %d games of the drill's key, seed %d; right is what costs a percentage point or less", j.Games, j.Seed)
	}
	text := fmt.Sprintf("%d short games, then %d whole games of each that was played to the end, seed %d", j.Games, j.Whole, j.Seed)
	if j.Stopped {
		text += "; stopped before all were played, so that which is best is not said"
	}
	return text
}

func hasGroup(groups []class.Group, c class.Choice) bool {
	for _, g := range groups {
		if g.Choice == c {
			return true
		}
	}
	return false
}

func rowOf(r *class.Round, c class.Choice, n, most int) spreadRow {
	row := spreadRow{choiceView: viewChoice(&r.Question, c), Key: choiceKey(c), Count: n, Share: share(n, most)}
	for _, f := range r.Follows {
		row.Ticked = row.Ticked || f.Choice == c
	}
	return row
}

// share is a count as a length from 0; the count stands beside it in figures.
func share(n, most int) string { return fmt.Sprintf("%.1f%%", 100*float64(n)/float64(max(most, 1))) }

// judge fills in what a choice costs.
func (row *spreadRow) judge(j *class.Judgement, c class.Choice) {
	cost, ok := j.Of(c)
	if !ok {
		if j != nil {
			row.Cost = "not judged"
		}
		return
	}
	row.Best, row.Even, row.Why = cost.Best, cost.Even, reasonShown(cost.Reason)
	row.Cost, row.Range = costText(cost)
}

// reasonShown is a reason with its hand drawn.
func reasonShown(r *class.Reason) template.HTML {
	if r == nil {
		return ""
	}
	text := template.HTMLEscapeString(r.Text)
	var faces []view.Face
	for g, group := range r.Groups {
		kinds, err := tile.ParseList(group.Kind)
		if err != nil || len(kinds) != 1 {
			return template.HTML(text) // kept by a later program
		}
		for i := range group.Size {
			f := view.Face{ID: sheet.TileID(kinds[0]), Name: kinds[0].Name() + ", held", Gap: g > 0 && i == 0}
			if i >= group.Held {
				f.Class, f.Name = "ghost", kinds[0].Name()+", missing"
			}
			faces = append(faces, f)
		}
	}
	if len(faces) > 0 {
		text += `<div class="reason">` + string(view.Strip(r.Hand+": held and missing tiles", faces)) + `</div>`
	}
	return template.HTML(text)
}

// costText is what a choice loses against the best, in percentage points.
func costText(cost class.Cost) (text, interval string) {
	switch {
	case !cost.Final:
		return "not played to the end", ""
	case cost.Best:
		return "best", ""
	case cost.Keyed && cost.Even:
		return "right", behindRange(cost)
	case cost.Keyed:
		return fmt.Sprintf("costs %.1f", 100*cost.Behind.Value), behindRange(cost)
	case cost.Even:
		return "no difference from the best shown", behindRange(cost)
	case cost.Behind.Low > 0:
		return fmt.Sprintf("costs %.1f", 100*cost.Behind.Value), behindRange(cost)
	}
	return "not told apart from the best", behindRange(cost)
}

// behindRange is the interval of a cost.
func behindRange(cost class.Cost) string {
	if cost.Behind.N == 0 || !cost.Behind.Bounded() {
		return ""
	}
	return view.RangeText(100*cost.Behind.Low, 100*cost.Behind.High, true)
}

// ownResult tells a student what the own choice cost.
func ownResult(r *class.Round, student int) string {
	vote, ok := r.Votes[student]
	if !ok || !r.Question.Complete(vote.Choice) {
		if ok && vote.Choice.Bare() != (class.Choice{}) {
			return "Your choice was not finished at the close and does not count."
		}
		return "You did not answer this one."
	}
	cost, ok := r.Judgement.Of(vote.Choice)
	what := map[charleston.Phase]string{charleston.Passing: "Your pass", charleston.Giving: "Your pass", charleston.Voting: "Your answer", charleston.Naming: "Your number"}[r.Question.Phase]
	if r.Question.Chooses() {
		what = "Your answer"
	}
	switch {
	case r.Judgement == nil:
		return ""
	case !ok:
		return what + " was not judged: too few chose it."
	case !cost.Final:
		return what + " was not played to the end: what it costs is not known."
	case cost.Best:
		return what + " is the best that was found."
	case cost.Keyed && cost.Even:
		return what + " is right."
	case cost.Keyed:
		return fmt.Sprintf("%s cost %.1f games in a hundred (%s).", what, 100*cost.Behind.Value, behindRange(cost))
	case cost.Even:
		return what + " cost nothing that could be shown."
	case cost.Behind.Low > 0:
		return fmt.Sprintf("%s cost %.1f games in a hundred (%s).", what, 100*cost.Behind.Value, behindRange(cost))
	}
	return what + " was not told apart from the best."
}
