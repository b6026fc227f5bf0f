package view

import (
	"fmt"
	"html/template"
	"strconv"

	"secondpass/exercise"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// PlayMomentPage is one of the player's decisions in the play as it was: what lay open and was held, what was decided, and what
// happened then.
type PlayMomentPage struct {
	*playPage
	// Number is its place among the Of decisions of the play, from 1. Before and Next are the steps beside it, "" for none.
	Number, Of   int
	Before, Next string
	// Plan is the one of then. Decided is the decision, Then what happened up to the next one.
	Plan    string
	Decided playLine
	Then    []playLine
	Remark  Remark
	// Advice is what was asked for there, Asked whether it was.
	Advice  advicePart
	Asked   bool
	Picture string
}

// Title is the page's heading.
func (p *PlayMomentPage) Title() string { return fmt.Sprintf("Play %d: %s", p.Number, p.Heading) }

// NewPlayMomentPage is the player's decision number at, from 0, of a route, which is one of the play.
func NewPlayMomentPage(x Exercise, route *exercise.Route, at int) (*PlayMomentPage, error) {
	cut, done := route.Upto(at), route.Upto(at+1)
	then, err := x.Replay(&cut)
	if err != nil {
		return nil, err
	}
	after, err := x.Replay(&done)
	if err != nil {
		return nil, err
	}
	table, err := NewPlayPage(x, &cut, &then)
	if err != nil {
		return nil, err
	}
	passed := len(route.Decisions)
	p := &PlayMomentPage{playPage: table, Number: at - passed + 1, Of: route.Len() - passed, Plan: exercise.AimText(cut.Aim()), Remark: RemarkOf(x, route, at)}
	p.Heading, p.Before, p.Next = asItWasDue(p.Heading, table), MomentPath(x.ID, route.ID, at-1), MomentPath(x.ID, route.ID, at+1)
	if p.Number == 1 {
		p.Before = EndPath(x.ID, route, &then)
	}
	if p.Number == p.Of {
		p.Next = StepPath(x.ID, route.ID)
	}
	events, err := after.Game.Events(passed)
	if err != nil {
		return nil, err
	}
	for i := range events {
		if line := LineOf(x, after.Game, &events[i]); line.Number == at {
			p.Decided, p.Then = line, []playLine{}
		} else if p.Then != nil {
			p.Then = append(p.Then, line)
		}
	}
	choice := route.Choice(at)
	p.Rack = stripOf("Your rack then", RackAtPlay(then.Game, choice.Action))
	for i := range p.Near {
		p.Near[i].PinPath = ""
	}
	if kept := route.Note(at).Advice; kept != nil {
		m := &Moment{Exercise: x, Route: route, At: at, Trail: then, Taken: &choice}
		p.Advice, p.Asked = NewAdvicePart(m, RecalledAdvice(m)), true
	}
	p.Picture = StepPath(x.ID, route.ID) + "/picture?at=" + strconv.Itoa(at)
	return p, nil
}

// asItWasDue is what was due, for a heading of what is past.
func asItWasDue(heading string, p *playPage) string {
	if p.Window == nil {
		return "your turn"
	}
	return heading
}

// RackAtPlay is the rack at a decision of the play, with the tile that was drawn and the tile that then went marked.
func RackAtPlay(g *exercise.Game, a table.Action) []sheet.Tile {
	v := g.View()
	tiles := sheet.Tiles(v.Rack())
	mark := func(k tile.Kind, with func(*sheet.Tile)) {
		for i := len(tiles) - 1; i >= 0; i-- {
			if tiles[i].Kind == k {
				with(&tiles[i])
				return
			}
		}
	}
	if events, err := g.Events(0); err == nil && len(events) > 0 && events[len(events)-1].Kind == exercise.Draws {
		mark(events[len(events)-1].Tile, func(t *sheet.Tile) { t.Came = true })
	}
	if a.Kind == table.Discard || a.Kind == table.Exchange {
		mark(a.Tile, func(t *sheet.Tile) { t.Chosen = true })
	}
	return tiles
}

// stripOf is tiles with their marks on a page.
func stripOf(label string, tiles []sheet.Tile) template.HTML {
	faces := make([]Face, len(tiles))
	for i := range tiles {
		t := &tiles[i]
		f := Face{ID: sheet.TileID(t.Kind), Name: t.Kind.Name(), Gap: t.Gap}
		if t.Came {
			f.Marks, f.Name = append(f.Marks, "came"), f.Name+", just drawn"
		}
		if t.Chosen {
			f.Class, f.Marks, f.Name = "chosen", append(f.Marks, "chosen"), f.Name+", chosen"
		}
		faces[i] = f
	}
	return Strip(label, faces)
}

// PlayedText is a decision of the play in words, for a caption.
func PlayedText(g *exercise.Game, a table.Action) string {
	d, _ := g.View().Claimable()
	switch a.Kind {
	case table.Discard:
		return "Discards " + a.Tile.Name()
	case table.Decline:
		return "Lets " + d.Tile.Name() + " go"
	case table.Expose:
		return "Claims " + d.Tile.Name() + ": " + table.Exposure{Tile: a.Tile, Size: a.Size, Jokers: a.Jokers}.String()
	case table.Mahjong:
		return "Claims " + d.Tile.Name() + " for mahjong"
	case table.Exchange:
		return "Puts " + a.Tile.Name() + " for " + Whose(a.From, a.Seat, a.Seat) + " joker"
	}
	return wording.Capital(a.String())
}
