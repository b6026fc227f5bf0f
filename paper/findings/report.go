package findings

import (
	"fmt"
	"math"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/paper/draw"
	"secondpass/paper/wording"
	"secondpass/research/cardreport"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// ReportPlots are the charts of a card report that it has figures for.
func ReportPlots(r *cardreport.Report) []Plot {
	var plots []Plot
	add := func(there bool, key, name string, draw func(width float64) *draw.Scene) {
		if there {
			plots = append(plots, Plot{key, name, key == "away" || key == "passes", draw})
		}
	}
	add(r.Deals > 0, "away", "How near random deals start", func(w float64) *draw.Scene { return awayGrid(r, w).Scene() })
	add(r.Games > 0, "wins", "What games are won with", func(w float64) *draw.Scene { return winsOf(r, w).Scene() })
	add(r.Aimed > 0, "aimed", "What it is worth to aim at a section", func(w float64) *draw.Scene { return aimed(r, w).Scene() })
	add(true, "wanted", "Kinds that the card wants", func(w float64) *draw.Scene { return wanted(r, w).Scene() })
	add(r.Games > 0, "kept", "Kinds that are kept", func(w float64) *draw.Scene { return kept(r, w).Scene() })
	add(r.Games > 0, "passes", "What is passed", func(w float64) *draw.Scene { return passes(r, w).Scene() })
	return plots
}

// DealsCaption, GamesCaption and AimsCaption say what stands behind the figures of each stage.
func DealsCaption(r *cardreport.Report) string {
	return fmt.Sprintf("%s of 13 tiles, card %s, seed %d. 95 %% intervals.%s", wording.Plural(r.Deals, "random deal"), r.Card, r.Seed, wording.ByHouse(r.House))
}

// GamesCaption is that of the games of four strong players.
func GamesCaption(r *cardreport.Report) string {
	return fmt.Sprintf("%s of four strong players, card %s, seed %d. 95 %% intervals.%s", wording.Plural(r.Games, "game"), r.Card, r.Seed, wording.ByHouse(r.House))
}

// AimsCaption is that of the games with an aim.
func AimsCaption(r *cardreport.Report) string {
	return fmt.Sprintf("%s with each aim, one strong player against three who are free, card %s, seed %d. 95 %% intervals.%s", wording.Plural(r.Aimed, "game"), r.Card, r.Seed, wording.ByHouse(r.House))
}

// awayGrid is the distribution of away by section, in per cent of deals.
func awayGrid(r *cardreport.Report, width float64) draw.HeatGrid {
	low, high := card.HandTiles, 0
	for i := range r.Sections {
		for away, n := range r.Sections[i].Away.Counts {
			if n > 0 {
				low, high = min(low, away), max(high, away)
			}
		}
	}
	g := draw.HeatGrid{
		ChartFrame: draw.ChartFrame{Title: "How near random deals start", Caption: DealsCaption(r) + widest(r), Width: width},
		Across:     "tiles away", Down: "section", Unit: "% of deals",
	}
	for away := low; away <= high; away++ {
		g.Columns = append(g.Columns, fmt.Sprint(away))
	}
	for i := range r.Sections {
		s := &r.Sections[i]
		var row []float64
		for away := low; away <= high; away++ {
			row = append(row, 100*float64(s.Away.Share(away).Value))
		}
		g.Rows, g.Values = append(g.Rows, s.Name), append(g.Values, row)
	}
	return g
}

// widest says how wide the intervals of the distribution of away are at most.
func widest(r *cardreport.Report) string {
	half := 0.
	for i := range r.Sections {
		for away := range r.Sections[i].Away.Counts {
			s := r.Sections[i].Away.Share(away).Plain()
			half = max(half, s.High-s.Value, s.Value-s.Low)
		}
	}
	return fmt.Sprintf(" Each share within %.1f percentage points.", 100*half)
}

// winsOf is the share of games won with each hand.
func winsOf(r *cardreport.Report, width float64) draw.DotPlot {
	p := draw.DotPlot{
		ChartFrame: draw.ChartFrame{Title: "What games are won with", Caption: GamesCaption(r), Width: width},
		Axis:       "% of games",
	}
	for h := range r.Hands {
		p.Rows = append(p.Rows, draw.DotRow{Label: r.Hands[h].Name, Values: []draw.Span{span(r.Hands[h].Won, 100)}, Words: minus(wording.Share(r.Hands[h].Won))})
	}
	return p
}

// aimed is points a game by section aimed at, beside that without an aim.
func aimed(r *cardreport.Report, width float64) draw.DotPlot {
	p := draw.DotPlot{
		ChartFrame: draw.ChartFrame{Title: "Net points a game when a section is aimed at", Caption: AimsCaption(r), Width: width},
		Axis:       "net points a game", Zero: true,
	}
	row := func(label string, i stat.Interval[unit.NetPoints]) {
		p.Rows = append(p.Rows, draw.DotRow{Label: label, Values: []draw.Span{span(i, 1)}, Words: minus(wording.Points(i))})
	}
	for i := range r.Sections {
		if a := r.Sections[i].Aimed; a != nil {
			row(r.Sections[i].Name, a.Points)
		}
	}
	if r.Games > 0 {
		row("without an aim", r.Free.Points)
	}
	return p
}

// wanted is the tiles of each kind in a complete hand.
func wanted(r *cardreport.Report, width float64) draw.BarChart {
	c := draw.BarChart{
		ChartFrame: draw.ChartFrame{Title: "Kinds that the card wants", Width: width,
			Caption: fmt.Sprintf("Card %s, every hand counting alike. Worked out from the card, not simulated: no games, no seed, no interval.", r.Card)},
		Axis: "tiles in a complete hand, mean",
	}
	for i := range r.Kinds[:tile.Joker] {
		k := &r.Kinds[i]
		c.Bars = append(c.Bars, draw.Bar{Label: tile.Kind(i).Name(), Span: draw.Span{Value: k.Tiles, Low: k.Tiles, High: k.Tiles}, Words: fmt.Sprintf("%.2f", k.Tiles)})
	}
	return c
}

// kept is how much of each kind strong players still hold at the end of the passing, and how much of that they keep.
func kept(r *cardreport.Report, width float64) draw.DotPlot {
	p := draw.DotPlot{
		ChartFrame: draw.ChartFrame{Title: "Kinds that are kept", Caption: GamesCaption(r), Width: width},
		Axis:       "%", Low: 0, High: 100,
		Series: []string{"of those dealt, held when the passing is over", "of those held then, kept by the nearest hand"},
	}
	for i := range r.Kinds {
		k := &r.Kinds[i]
		p.Rows = append(p.Rows, draw.DotRow{Label: tile.Kind(i).Name(), Values: []draw.Span{span(k.Still, 100), span(k.Kept, 100)},
			Words: fmt.Sprintf("%.0f, %.0f", 100*k.Still.Value, 100*k.Kept.Value)})
	}
	return p
}

// passes is what is passed by step and kind, in per cent of the tiles of the kind held.
func passes(r *cardreport.Report, width float64) draw.HeatGrid {
	half := 0.
	g := draw.HeatGrid{
		ChartFrame: draw.ChartFrame{Title: "What four strong players pass", Width: width},
		Across:     "step", Down: "kind", Unit: "% of the tiles of the kind held", Digits: 0,
	}
	for i := range r.Steps {
		g.Columns = append(g.Columns, StepName(i))
	}
	for k := range tile.Joker {
		g.Rows = append(g.Rows, k.Name())
		var row []float64
		for i := range r.Steps {
			v := math.NaN()
			if p := r.Steps[i].Passed[k].Plain(); p.N > 0 {
				v = 100 * p.Value
				half = max(half, 100*(p.High-p.Value), 100*(p.Value-p.Low))
			}
			row = append(row, v)
		}
		g.Values = append(g.Values, row)
	}
	g.Caption = GamesCaption(r) + fmt.Sprintf(" Each share within %.1f percentage points.", half)
	return g
}

// StepName is step number i, from 0, in words.
func StepName(i int) string { return wording.Step(charleston.Step(i + 1)) }

// SectionMap is how many tiles the hands of a section share, a grid of both ways; nil for a section of one hand.
func SectionMap(r *cardreport.Report, section string, width float64) *draw.Scene {
	var hands []int
	for h := range r.Hands {
		if r.Hands[h].Section == section {
			hands = append(hands, h)
		}
	}
	if len(hands) < 2 {
		return nil
	}
	g := draw.HeatGrid{
		ChartFrame: draw.ChartFrame{Title: "Tiles shared within " + section, Width: width,
			Caption: fmt.Sprintf("Card %s. Tiles of a complete hand that serve the other one as well, 0 to 14. Worked out from the card, not simulated: no games, no seed, no interval.", r.Card)},
		Across: "hand", Down: "hand", Unit: "tiles", Digits: 1, Low: 0, High: card.HandTiles,
	}
	for _, a := range hands {
		g.Rows, g.Columns = append(g.Rows, r.Hands[a].Name), append(g.Columns, r.Hands[a].Name)
		var row []float64
		for _, b := range hands {
			v := r.Shared[a][b]
			if a == b {
				v = math.NaN()
			}
			row = append(row, v)
		}
		g.Values = append(g.Values, row)
	}
	return g.Scene()
}

// SignTiles are tiles that show what a sign is about, none where it is said better in words alone.
func SignTiles(h cardreport.Holding) []tile.Kind {
	var kinds []tile.Kind
	switch h.Measure {
	case cardreport.Copies:
		for range h.Least {
			kinds = append(kinds, tile.Kind(h.Of))
		}
	case cardreport.RankCopies:
		for range h.Least {
			kinds = append(kinds, tile.Ranked(h.Of, tile.Bams))
		}
	case cardreport.RankTiles, cardreport.RankSuits:
		for i := range h.Least {
			kinds = append(kinds, tile.Ranked(h.Of, tile.Suit(i%tile.Suits)))
		}
	case cardreport.WindKinds:
		for i := range h.Least {
			kinds = append(kinds, tile.North+tile.Kind(i))
		}
	case cardreport.DragonKinds:
		for i := range h.Least {
			kinds = append(kinds, tile.Suit(i%tile.Suits).Dragon())
		}
	}
	return kinds
}

// Lift is how many times as often a section comes with a sign, in words; one that is not confirmed says so.
func Lift(s *cardreport.Sign) string {
	switch {
	case !s.Lift.Bounded():
		return "too few racks"
	case s.Lift.Holds(1):
		return wording.Mean(s.Lift) + ", not confirmed"
	}
	return wording.Mean(s.Lift)
}
