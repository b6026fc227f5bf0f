package handout

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"secondpass/engine/prepared"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/house"
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
	Ask, Where string
	Note, Kind string
	Rack       []htmlTile
	Discard    []htmlTile
	Choices    []htmlChoice
	Games      int
	Seed       uint64
}

type htmlTile struct {
	ID, Name string
	Gap      bool
}

type htmlChoice struct {
	Text      string
	Tiles     []htmlTile
	Right     bool
	Cost, Why string
}

// Write writes the drills of a lesson as one HTML file with everything in it: tiles, answers and reasons. It opens from
// a file, without a network, on a phone or a desk. A lesson without drills is an error.
func Write(w io.Writer, l *lesson.Lesson) error {
	p := page{Title: l.Title, Note: l.Note, Sprite: template.HTML(sheet.Sprite())}
	for i := range l.Items {
		if l.Items[i].Drill == nil {
			continue
		}
		d, err := htmlOf(&l.Items[i])
		if err != nil {
			return fmt.Errorf("item %d: %w", i+1, err)
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
	h := htmlDrill{Ask: wording.DrillQuestion(d), Where: where(i), Note: i.Note, Kind: wording.DrillKind(d.Kind), Games: d.Key.Games, Seed: d.Key.Seed}
	rack, err := d.Position.Rack(i.Card)
	if err != nil {
		return h, err
	}
	h.Rack = htmlTiles(sheet.Tiles(rack))
	if d.Position.InPlay() {
		state, err := d.Position.Table(prepared.Of(i.Card).Game(house.Usual))
		if err != nil {
			return h, err
		}
		v := state.View(d.Position.Seat)
		if discard, ok := v.Claimable(); ok {
			h.Discard = htmlTiles(sheet.List([]tile.Kind{discard.Tile}))
		}
	}
	reasons, err := d.Reasons(i.Card)
	if err != nil {
		return h, err
	}
	for n, c := range d.Choices {
		a := &d.Key.Answers[n]
		choice := htmlChoice{Text: wording.DrillChoice(c), Right: a.Right, Cost: costWords(a), Why: wording.DrillReason(&reasons[n]).Text()}
		if d.Ask() == drill.AskPass {
			choice.Tiles = htmlTiles(sheet.List(c.Action.Own.Tiles()))
		}
		h.Choices = append(h.Choices, choice)
	}
	return h, nil
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
		out[i] = htmlTile{sheet.TileID(t.Kind), t.Kind.Name(), t.Gap}
	}
	return out
}
