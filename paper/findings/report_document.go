package findings

import (
	"fmt"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/paper/draw"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/research/cardreport"
	"secondpass/rules/card"
)

// ReportDocument is the report of a card for paper: two pages for people, then all figures with their charts.
func ReportDocument(r *cardreport.Report, c *card.Card, paper draw.PaperSize) *draw.Document {
	d := draw.NewDocument("Card report: "+r.Card, fmt.Sprintf("Card report: %s, seed %d", r.Card, r.Seed), paper, false)
	d.Heading("Card report: " + r.Card)
	d.Paragraph(ReportCount(r))
	b := documentBuilder{d, r}
	b.people(c)
	b.standings()
	b.aims()
	b.signs()
	b.neighbours()
	b.kinds()
	b.passes()
	return d
}

// ReportCount says in a sentence or two what a report counts.
func ReportCount(r *cardreport.Report) string {
	stopped := ""
	if r.Stopped {
		stopped = " The count was stopped before its end."
	}
	return fmt.Sprintf("%s in %s. %s of 13 tiles, %s of four strong players, %s with each aim, seed %d.%s%s",
		capital(wording.Plural(len(r.Hands), "hand")), wording.Plural(len(r.Sections), "section"),
		capital(wording.Plural(r.Deals, "random deal")), wording.Plural(r.Games, "game"), wording.Plural(r.Aimed, "game"), r.Seed, wording.ByHouse(r.House), stopped)
}

type documentBuilder struct {
	*draw.Document
	r *cardreport.Report
}

// lead adds a paragraph that leads to what follows.
func (b documentBuilder) lead(text string) {
	b.Paragraph(text)
	b.Keep()
}

// table adds a table with which the caption below it stays.
func (b documentBuilder) table(t draw.Table) {
	b.Table(t)
	b.Keep()
}

// share is a share in per cent with its interval, for tables.
func share(i stat.Interval[unit.Chance]) string {
	if i.N == 0 {
		return ""
	}
	return minus(wording.Share(i))
}

func mean[U unit.Tiles | unit.Count](i stat.Interval[U]) string {
	if i.N == 0 {
		return ""
	}
	return minus(wording.Mean(i))
}

// turns are told to one place: they have wide intervals.
func turns(i stat.Interval[unit.Count]) string {
	if i.N == 0 {
		return ""
	}
	return minus(wording.MeanTo(i, 1))
}

func standingRow(f *cardreport.Figures) []string {
	return []string{f.Name, mean(f.Away.Mean), share(f.Nearest), share(f.Among), share(f.Won), turns(f.Turns.Mean)}
}

func (b documentBuilder) standings() {
	if b.r.Deals+b.r.Games == 0 {
		return
	}
	b.Subheading("From the deal, and in play")
	b.lead("Away is tiles away at the deal. Nearest is the deals to which it is the nearest, level those to which nothing is nearer. Won is the games that somebody wins with it, turns the discards before.")
	head := []string{"", "away", "nearest", "level", "won", "turns"}
	t := draw.Table{Head: head, Right: []int{1, 2, 3, 4, 5}}
	for i := range b.r.Sections {
		t.Rows = append(t.Rows, standingRow(&b.r.Sections[i].Figures))
	}
	b.table(t)
	if b.r.Games > 0 {
		b.Caption("Nobody wins in " + share(b.r.Wall) + " of the games.")
	}
	b.caption()
	if b.r.Deals > 0 {
		draw.AddRows(b.Document, awayGrid(b.r, b.RowsWidth()))
	}
	t.Rows = nil
	for h := range b.r.Hands {
		t.Rows = append(t.Rows, standingRow(&b.r.Hands[h].Figures))
	}
	b.Subheading("By hand")
	b.table(t)
	b.caption()
	if b.r.Games > 0 {
		draw.AddRows(b.Document, winsOf(b.r, b.RowsWidth()))
	}
}

// caption says what stands behind the figures of both stages.
func (b documentBuilder) caption() {
	b.Caption(DealsCaption(b.r) + " " + GamesCaption(b.r))
}

func (b documentBuilder) aims() {
	if b.r.Aimed == 0 {
		return
	}
	b.Subheading("One strong player steers for it and nothing else")
	t := draw.Table{Head: []string{"", "wins", "net points"}, Right: []int{1, 2}}
	row := func(f *cardreport.Figures) {
		if f.Aimed != nil {
			t.Rows = append(t.Rows, []string{f.Name, share(f.Aimed.Wins), minus(wording.Points(f.Aimed.Points))})
		}
	}
	for i := range b.r.Sections {
		row(&b.r.Sections[i].Figures)
	}
	for h := range b.r.Hands {
		row(&b.r.Hands[h].Figures)
	}
	if b.r.Games > 0 {
		t.Rows = append(t.Rows, []string{"without an aim", share(b.r.Free.Wins), minus(wording.Points(b.r.Free.Points))})
	}
	draw.AddRows(b.Document, aimed(b.r, b.RowsWidth()))
	b.table(t)
	b.Caption(AimsCaption(b.r))
	b.restrictions()
}

// Restrictions are the rows of what it costs hands to be concealed, or to take no jokers: hand, which, wins, points, tiles.
func Restrictions(r *cardreport.Report) [][]string {
	var rows [][]string
	for h := range r.Hands {
		hand := &r.Hands[h]
		for _, one := range []struct {
			what string
			*cardreport.Restriction
		}{{"concealed", hand.Concealed}, {"no jokers", hand.Jokerless}} {
			if one.Restriction == nil || one.Wins == nil && one.Away == nil {
				continue
			}
			row := []string{hand.Name, one.what, "", "", ""}
			if one.Wins != nil {
				row[2], row[3] = minus(wording.ChancePoints(*one.Wins))+wording.Shown(*one.Wins), minus(wording.Points(*one.Points))+wording.Shown(*one.Points)
			}
			if one.Away != nil {
				row[4] = minus(wording.Signed(*one.Away))
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// RestrictionsHead names the columns of Restrictions.
var RestrictionsHead = []string{"hand", "", "wins, percentage points", "net points", "tiles nearer at the deal"}

func (b documentBuilder) restrictions() {
	rows := Restrictions(b.r)
	if len(rows) == 0 {
		return
	}
	b.Subheading("What it costs to be concealed, or to take no jokers")
	b.lead("The hand on a card that lifts it, less the hand as written, on the same deals.")
	b.table(draw.Table{Head: RestrictionsHead, Rows: rows, Right: []int{2, 3, 4}})
	b.Caption(AimsCaption(b.r))
}

func (b documentBuilder) signs() {
	if b.r.Deals+b.r.Games == 0 {
		return
	}
	b.Subheading("If you hold this, look here")
	b.lead(SignsNote)
	for i := range b.r.Sections {
		s := &b.r.Sections[i]
		b.Together(func() {
			b.Strong(s.Name)
			b.signsOf("to be the nearest", s.Nearer, s.AllNearest)
			b.signsOf("to win with", s.Wins, s.AllWon)
		})
	}
	b.Keep()
	b.caption()
}

// SignsNote says how signs are found.
const SignsNote = "How many times as often the section comes as over all deals. Found on one half of the deals, measured on the other; each interval is for itself."

func (b documentBuilder) signsOf(what string, signs []cardreport.Sign, all stat.Interval[unit.Chance]) {
	if all.N == 0 {
		return
	}
	if len(signs) == 0 {
		b.Caption(fmt.Sprintf("%s: no sign found; of all racks %.1f %%.", capital(what), 100*all.Value))
		return
	}
	t := draw.Table{Head: []string{what, "times as often", fmt.Sprintf("share of racks; of all: %.1f %%", 100*all.Value), "racks"}, Right: []int{1, 2, 3}}
	for i := range signs {
		s := &signs[i]
		t.Rows = append(t.Rows, []string{s.Name, Lift(s), share(s.Share), fmt.Sprint(s.Racks)})
	}
	if tiles := SignTiles(signs[0].Holding); len(tiles) > 0 {
		sheet.AddStrip(b.Document, sheet.List(tiles), sheet.PrintTile)
	}
	b.Table(t)
}

// Neighbours are the hands that share most with a hand, in words.
func Neighbours(h *cardreport.Hand) string { return neighbours(h.Neighbours) }

func neighbours(list []cardreport.Neighbour) string {
	var parts []string
	for _, n := range list {
		parts = append(parts, fmt.Sprintf("%s (%.1f)", n.Name, n.Shared))
	}
	return wording.OrNone(strings.Join(parts, ", "))
}

func (b documentBuilder) neighbours() {
	b.Subheading("Neighbours: hands that share most tiles")
	b.lead("Of 14 tiles. Worked out from the card, not simulated.")
	t := draw.Table{Head: []string{"hand", "best neighbours, with the tiles shared"}}
	for h := range b.r.Hands {
		t.Rows = append(t.Rows, []string{b.r.Hands[h].Name, Neighbours(&b.r.Hands[h])})
	}
	b.Table(t)
}

func (b documentBuilder) kinds() {
	// The charts have headings of their own; one more would stand on a page alone.
	draw.AddRows(b.Document, wanted(b.r, b.RowsWidth()))
	if b.r.Games > 0 {
		draw.AddRows(b.Document, kept(b.r, b.RowsWidth()))
	}
}

func (b documentBuilder) passes() {
	if b.r.Games == 0 {
		return
	}
	draw.AddRows(b.Document, passes(b.r, b.RowsWidth()))
	t := draw.Table{Head: StepsHead, Rows: StepRows(b.r), Right: []int{1, 2, 3}}
	b.table(t)
	b.Caption(GamesCaption(b.r))
}

// StepsHead names the columns of StepRows.
var StepsHead = []string{"step", "took place, % of games", "tiles chosen", "unseen a game", "between whom"}

var seatNames = []string{"East", "South", "West", "North"}

// StepRows is the steps: how often they took place, how many tiles went, and between whom.
func StepRows(r *cardreport.Report) [][]string {
	var rows [][]string
	for i := range r.Steps {
		s := &r.Steps[i]
		var parts []string
		for seat := range s.Gave {
			parts = append(parts, fmt.Sprintf("%s gave %d, got %d", seatNames[seat], total(s.Gave[seat]), total(s.Came[seat])))
		}
		rows = append(rows, []string{StepName(i), share(s.Taken), fmt.Sprint(s.Tiles), mean(s.Blind), s.Direction + ": " + strings.Join(parts, "; ")})
	}
	return rows
}

func total(counts []int64) int64 {
	n := int64(0)
	for _, c := range counts {
		n += c
	}
	return n
}
