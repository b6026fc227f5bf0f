package handout

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"

	"secondpass/exercise"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

//go:embed drills.html
var drillsHTML string

var drillsPage = template.Must(template.New("drills").Parse(drillsHTML))

// page is the set of drills in one file.
type page struct {
	Title, Note string
	Sprite      template.HTML
	Drills      []htmlDrill
}

type htmlDrill struct {
	Number     int
	Mark       string // by which an answer that comes back is known
	Ask, Where string
	Note, Kind string
	Rack       []htmlTile
	// Before is the steps that are over, in play Open what lies open by seat, Lying the discards.
	Before  []htmlPassed
	Open    []htmlOpen
	Lying   []htmlTile
	Discard []htmlTile
	From    string
	Wall    int
	InPlay  bool
	Near    []htmlHand
	Choices []htmlChoice
	// Free is what every pass costs, as the script reads it, and FreeGames by how many games; "" where only the choices are answers.
	Free      template.JS
	FreeGames int
	Games     int
	Seed      uint64
}

type htmlTile struct {
	ID, Name     string
	Code         string
	Gap, Missing bool
}

type htmlPassed struct {
	Step         string
	Passed, Came []htmlTile
}

type htmlOpen struct {
	Seat  string
	Tiles []htmlTile
}

type htmlHand struct {
	Name  string
	Away  int
	Tiles []htmlTile
}

type htmlChoice struct {
	Text      string
	Answer    string  // as a record keeps it
	Points    float64 // what it costs, in percentage points
	Own       string  // the tiles of a pass, each by its code
	Tiles     []htmlTile
	Right     bool
	Cost, Why string
	Hand      *htmlHand
}

// Passes is what every legal pass at an item's drill costs, in the order of [drill.Drill.AllPasses]; nil where that is not known. Nil
// itself knows of none.
type Passes func(*lesson.Item) []drill.Answer

// Write writes the drills of a lesson as one HTML file with everything in it: tiles, answers and reasons, and of drills whose passes
// are known what any three tiles cost. It opens from a file, without a network, on a phone or a desk. A lesson without drills is an error.
func Write(w io.Writer, l *lesson.Lesson, passes Passes) error {
	p := page{Title: l.Title, Note: l.Note, Sprite: template.HTML(sheet.Sprite())}
	for i := range l.Items {
		if l.Items[i].Drill == nil {
			continue
		}
		d, err := htmlOf(&l.Items[i])
		if err != nil {
			return fmt.Errorf("item %d: %w", i+1, err)
		}
		if passes != nil {
			if err := d.anyPass(&l.Items[i], passes(&l.Items[i])); err != nil {
				return fmt.Errorf("item %d: %w", i+1, err)
			}
		}
		d.Number = len(p.Drills) + 1
		p.Drills = append(p.Drills, d)
	}
	if len(p.Drills) == 0 {
		return fmt.Errorf("the lesson %q has no drills; put some in first", l.Title)
	}
	return drillsPage.Execute(w, p)
}

func htmlOf(i *lesson.Item) (htmlDrill, error) {
	d := i.Drill
	h := htmlDrill{Mark: d.Mark(), Ask: wording.DrillQuestion(d), Note: i.Note, Kind: wording.Capital(wording.DrillKind(d.Kind)), Games: d.Key.Games, Seed: d.Key.Seed}
	board, err := i.Board()
	if err != nil {
		return h, err
	}
	h.Where = where(i, board)
	h.show(board)
	reasons, err := d.Reasons(i.Card)
	if err != nil {
		return h, err
	}
	for n, c := range d.Choices {
		a := &d.Key.Answers[n]
		choice := htmlChoice{Text: wording.DrillChoice(c), Answer: c.String(), Points: points(a), Right: a.Right, Cost: costWords(a)}
		why := wording.DrillReason(&reasons[n])
		choice.Why = why.Text()
		if hand := why.Shown(); hand != nil {
			choice.Hand = &htmlHand{hand.OnCard().Name, hand.Away, htmlTiles(sheet.HandTiles(hand))}
		}
		if d.Ask() == drill.AskPass {
			choice.Own = codes(c.Action.Own)
			choice.Tiles = htmlTiles(sheet.List(c.Action.Own.Tiles()))
		}
		h.Choices = append(h.Choices, choice)
	}
	return h, nil
}

// anyPass fills in what every pass costs.
func (h *htmlDrill) anyPass(i *lesson.Item, answers []drill.Answer) error {
	all := i.Drill.AllPasses()
	if len(answers) == 0 || len(answers) != len(all) {
		return nil
	}
	free := map[string][3]any{}
	for n := range all {
		reason, err := i.Drill.ReasonOf(i.Card, all[n])
		if err != nil {
			return err
		}
		h.FreeGames = answers[n].Cost.N
		verdict := "✕ Not this one. "
		if answers[n].Right {
			verdict = "✓ Right. "
		}
		free[codes(all[n].Action.Own)] = [3]any{answers[n].Right, verdict + freeCost(&answers[n]) + "\n" + wording.DrillReason(&reason).Text(), points(&answers[n])}
	}
	text, err := json.Marshal(free) // sorted by its keys, with < and > escaped
	h.Free = template.JS(text)
	return err
}

// points is what an answer costs in percentage points, to a tenth as it is shown; one that is better than all offered costs nothing.
func points(a *drill.Answer) float64 {
	return math.Round(1000*max(0, float64(a.Cost.Value))) / 10
}

// freeCost is what an answer costs beside the best of those offered.
func freeCost(a *drill.Answer) string {
	points := strings.ReplaceAll(wording.ChancePoints(a.Cost), "-", "−")
	if a.Cost.Value <= 0 {
		return "It costs nothing beside the best of those offered: " + points + " percentage points."
	}
	return "It costs " + points + " percentage points of the chance to win."
}

// codes is tiles one by one, as the script puts those together that are chosen.
func codes(p charleston.Parcel) string {
	var list []string
	for _, k := range p.Tiles() {
		list = append(list, k.String())
	}
	return strings.Join(list, " ")
}

// costWords is what an answer throws away, in a sentence.
func costWords(a *drill.Answer) string {
	if a.Cost.Value <= 0 {
		return "The best the games found."
	}
	if a.Right {
		return fmt.Sprintf("Not shown to be worse than the best by more than one percentage point: %s percentage points.", strings.ReplaceAll(wording.ChancePoints(a.Cost), "-", "−"))
	}
	return fmt.Sprintf("It costs %s percentage points of the chance to win.", strings.ReplaceAll(wording.ChancePoints(a.Cost), "-", "−"))
}

func htmlTiles(tiles []sheet.Tile) []htmlTile {
	out := make([]htmlTile, len(tiles))
	for i, t := range tiles {
		out[i] = htmlTile{sheet.TileID(t.Kind), t.Kind.Name(), t.Kind.String(), t.Gap, t.Missing}
		switch {
		case t.Unseen:
			out[i].ID, out[i].Name = sheet.UnseenID, "unseen tile"
		case t.Missing:
			out[i].Name += ", missing"
		}
	}
	return out
}

// show fills in the position.
func (h *htmlDrill) show(b *exercise.Board) {
	h.Rack = htmlTiles(sheet.Tiles(b.Rack))
	for i := range b.Before {
		p := &b.Before[i]
		h.Before = append(h.Before, htmlPassed{wording.Capital(p.Step.String()), htmlTiles(sheet.PassedTiles(p)), htmlTiles(sheet.List(p.Came.Tiles()))})
	}
	for i := range b.Near {
		r := &b.Near[i]
		h.Near = append(h.Near, htmlHand{r.OnCard().Name, r.Away, htmlTiles(sheet.HandTiles(r))})
	}
	t := b.Table
	if t == nil {
		return
	}
	h.InPlay, h.Wall, h.Lying = true, t.Wall, htmlTiles(sheet.List(t.Lying))
	for seat := range charleston.Seat(charleston.Seats) {
		if groups := t.Open[seat]; len(groups) > 0 {
			h.Open = append(h.Open, htmlOpen{seat.Name(), htmlTiles(sheet.OpenTiles(groups))})
		}
	}
	if t.Waiting {
		h.From, h.Discard = t.From.Name(), htmlTiles(sheet.List([]tile.Kind{t.Discard}))
	}
}
