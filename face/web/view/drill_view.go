package view

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
)

// DrillView is a drill as one who is to decide may see it: what the seat knows, and nothing of the key.
type DrillView struct {
	ID             int64
	Question, Seat string
	Step           string
	Rack           template.HTML
	Before         []passedStep
	// Table is what lies open, in play; nil in the passing.
	Table   *openTable
	Near    []NearHand
	Choices []drillChoice
	// Picks is the rack to choose any three tiles of, where a pass is asked for.
	Picks []Pick
}

// Free is an answer that a drill does not offer, as it was judged.
type Free struct {
	Drawing, Why template.HTML
	Cost         string
}

// FreeAnswer is what came of a try by an answer that the drill does not offer; nil where it is none of the drill.
func FreeAnswer(d *drill.Drill, c *card.Card, t *drill.Try) (*Free, error) {
	choice, err := d.Free(prepared.Of(c).Game(house.Usual), t.Answer)
	if err != nil || d.Ask() != drill.AskPass {
		return nil, nil
	}
	reason, err := d.ReasonOf(c, choice)
	if err != nil {
		return nil, err
	}
	f := &Free{Drawing: drawings(Plain(choice.Action.Own.Tiles())), Why: ReasonOf(wording.DrillReason(&reason)), Cost: "costs " + CostSentence(t.Cost) + "."}
	if t.Right {
		f.Cost = "right: " + CostSentence(t.Cost) + " behind the best of those offered."
	}
	return f, nil
}

// passedStep is a step that is over.
type passedStep struct {
	Name         string
	Passed, Came template.HTML
}

// openTable is what lies open in play, as one seat sees it.
type openTable struct {
	Seats    []seatRow
	Claimed  bool   // whether any discard was claimed
	From     string // who discarded last
	Tile     string
	Drawing  template.HTML
	WallLeft int
}

// drillChoice is one choice as a button shows it.
type drillChoice struct {
	Number  int
	Text    string
	Drawing template.HTML
}

// ViewDrill is a drill as a student sees it.
func ViewDrill(index *fit.Index, d *drill.Drill, c *card.Card) (*DrillView, error) {
	v := &DrillView{ID: d.ID, Question: wording.DrillQuestion(d), Seat: d.Position.Seat.Name(), Step: StepName(d.Position.StepKey())}
	for i := range d.Choices {
		v.Choices = append(v.Choices, viewDrillChoice(d, i))
	}
	if d.Position.InPlay() {
		return v, v.inPlay(d, c)
	}
	v.passing(&d.Position.View)
	if d.Ask() == drill.AskPass {
		v.Picks = Picks(d.Position.View.Rack, tile.Rack{}, Marks{})
	}
	all := index.Hands(d.Position.View.Rack)
	for i := range all[:min(nearShown, len(all))] {
		v.Near = append(v.Near, NearOf(&all[i], nil, false, i+1))
	}
	return v, nil
}

// ViewPassing is a moment of the passing as a drill shows one: the rack and what came before.
func ViewPassing(seen *charleston.View) *DrillView {
	v := &DrillView{Seat: seen.Seat.Name(), Step: StepName(seen.Step.Key())}
	v.passing(seen)
	return v
}

// passing fills in what was passed and what came.
func (v *DrillView) passing(p *charleston.View) {
	v.Rack = RackStrip("Your rack", p.Rack)
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		if p.Gave[step].Len() == 0 && p.Blind[step] == 0 {
			continue
		}
		v.Before = append(v.Before, passedStep{wording.Capital(step.String()), PassedStrip("Passed "+step.Direction().String(), p.Gave[step], p.Blind[step], step.Direction()),
			CameStrip("Came", p.Came[step])})
	}
}

// inPlay fills in what the seat sees of the table.
func (v *DrillView) inPlay(d *drill.Drill, c *card.Card) error {
	state, err := d.Position.Table(prepared.Of(c).Game(house.Usual))
	if err != nil {
		return err
	}
	seen := state.View(d.Position.Seat)
	v.Rack = RackStrip("Your rack", seen.Rack())
	var open playPage
	open.seats(seen)
	v.Table = &openTable{Seats: open.Seats, Claimed: open.Claimed, WallLeft: seen.WallLeft()}
	if discard, ok := seen.Claimable(); ok {
		f := Face{ID: sheet.TileID(discard.Tile), Name: discard.Tile.Name()}
		v.Table.From, v.Table.Tile, v.Table.Drawing = discard.Seat.Name(), discard.Tile.Name(), f.SVG("img")
	}
	near := exercise.NearestInPlay(seen, upTo(len(c.Hands)), nearShown)
	for i := range near {
		v.Near = append(v.Near, playHand(seen, &near[i], false))
	}
	return nil
}

// viewDrillChoice is a choice in tiles where it has some, and in words where they say more.
func viewDrillChoice(d *drill.Drill, i int) drillChoice {
	c := d.Choices[i]
	v := drillChoice{Number: i + 1, Text: wording.Capital(wording.DrillChoice(c))}
	switch {
	case c.Play.Kind == table.Expose:
		e := table.Exposure{Tile: c.Play.Tile, Size: c.Play.Size, Jokers: c.Play.Jokers}
		v.Text, v.Drawing = "Claim it and lay open", drawings(groupFaces(e.Tile, int(e.Naturals()), int(e.Jokers)))
	case c.Play.Kind == table.Discard:
		v.Text, v.Drawing = "Discard", drawings(Plain([]tile.Kind{c.Play.Tile}))
	case c.Play.Kind == table.Exchange:
		v.Text, v.Drawing = "Exchange for a joker of "+c.Play.From.Name(), drawings(Plain([]tile.Kind{c.Play.Tile}))
	case c.Action.Kind == charleston.Pass:
		faces := Plain(c.Action.Own.Tiles())
		for range c.Action.Count {
			faces = append(faces, Face{ID: sheet.UnseenID, Name: "unseen tile"})
		}
		v.Text, v.Drawing = "", drawings(faces)
		if c.Action.Count > 0 || d.Ask() == drill.AskBlind {
			v.Text = wording.Capital(wording.Numeral(c.Action.Count)) + " blind"
		}
		if c.Action.Count == 0 && d.Ask() == drill.AskBlind {
			v.Text = "None blind"
		}
	}
	return v
}

// keyRow is a choice with what the key says of it.
type keyRow struct {
	drillChoice
	Right, Best, Yours bool
	Chance             Figure
	Behind             string
	BehindRange        string
	Why                template.HTML
}

// KeyView is the answers of a drill, the best first.
type KeyView struct {
	Kind string
	// Chance is what the figures are.
	Chance string
	Axis   template.HTML
	Rows   []keyRow
	Right  int
	// Even is said below the last right answer where there are several.
	Even string
	Note string
}

// ViewKey is the answers with their reasons; yours is the place of the choice made, or -1.
func ViewKey(d *drill.Drill, c *card.Card, yours int) (*KeyView, error) {
	reasons, err := d.Reasons(c)
	if err != nil {
		return nil, err
	}
	var chances []stat.Interval[unit.Chance]
	for _, a := range d.Key.Answers {
		chances = append(chances, a.Chance)
	}
	scale := ScaleOf(100, chances...)
	k := &KeyView{Kind: wording.DrillKind(d.Kind), Chance: wording.Capital(wording.DrillChance(d)), Axis: scale.Axis(), Right: len(d.Key.Right())}
	order := upTo(len(d.Choices))
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(d.Key.Answers[a].Cost.Value, d.Key.Answers[b].Cost.Value) })
	for _, i := range order {
		a := &d.Key.Answers[i]
		row := keyRow{drillChoice: viewDrillChoice(d, i), Right: a.Right, Best: i == d.Key.Best(), Yours: i == yours,
			Chance: ChanceFigure(scale, a.Chance), Why: ReasonOf(wording.DrillReason(&reasons[i]))}
		if !row.Best {
			row.Behind, row.BehindRange = drillCost(a.Cost)
		}
		k.Rows = append(k.Rows, row)
	}
	if k.Right > 1 {
		k.Even = fmt.Sprintf("Above: none is shown to be worse than the best by more than %.0f percentage point. Each of these %s is a right answer.", 100*drill.Margin, wording.Numeral(k.Right))
	}
	k.Note = fmt.Sprintf("The %s against %s players, in per cent with 95 %% intervals; %s, the same for all; seed %d, key version %d, card %s.",
		wording.DrillChance(d), d.Key.Players, wording.DrillGames(d), d.Key.Seed, d.Key.Version, d.Key.Card)
	return k, nil
}

// drillCost is what an answer costs in percentage points, as a difference to the best, and its interval.
func drillCost(i stat.Interval[unit.ChanceDifference]) (value, span string) {
	value = Minus(wording.Plus(-100*i.Value, 1))
	if i.Bounded() {
		span = Minus(fmt.Sprintf("%s to %s", wording.Plus(-100*i.High, 1), wording.Plus(-100*i.Low, 1)))
	}
	return value, span
}

// CostSentence is what an answer costs, in words: "4.2 percentage points (3.1 to 5.3)".
func CostSentence(i stat.Interval[unit.ChanceDifference]) string {
	text := fmt.Sprintf("%.1f percentage points", 100*i.Value)
	if i.Bounded() {
		text += fmt.Sprintf(" (%.1f to %.1f)", 100*i.Low, 100*i.High)
	}
	return Minus(text)
}

// StepName is a step's key as people read it.
func StepName(key string) string {
	if key == "play" {
		return "in play"
	}
	return strings.ReplaceAll(key, "-", " ")
}
