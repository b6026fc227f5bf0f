package cards

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/research/cardreport"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// reportPrinter prints a card report.
type reportPrinter struct {
	w    io.Writer
	r    *cardreport.Report
	card *card.Card
	// shown are the hands to print.
	shown []int
}

// plusMinus is a number that is printed with the wider half of its 95 % interval: "21.3±0.3".
func plusMinus[U unit.Unit](one stat.Interval[U], scale float64, digits int) string {
	i := one.Plain()
	if i.N == 0 {
		return "-"
	}
	text := fmt.Sprintf("%.*f", digits, scale*i.Value)
	if !i.Bounded() {
		return text + "±?"
	}
	return fmt.Sprintf("%s±%.*f", text, digits, scale*max(i.High-i.Value, i.Value-i.Low))
}

// percent is a share in per cent.
func percent[U unit.Chance | unit.ChanceDifference](i stat.Interval[U]) string {
	return plusMinus(i, 100, 1)
}

// unlessShown puts a ~ in front of a difference that is not shown.
func unlessShown[U unit.Unit](i *stat.Interval[U], text string) string {
	if i.Holds(0) {
		return "~" + text
	}
	return text
}

func (p *reportPrinter) line(format string, args ...any) {
	fmt.Fprintln(p.w, strings.TrimRight(fmt.Sprintf(format, args...), " "))
}

func (p *reportPrinter) text(format string, args ...any) {
	fmt.Fprintln(p.w, command.Wrap(p.w, fmt.Sprintf(format, args...), 0))
}

// sections are those of the hands shown.
func (p *reportPrinter) sections() []int {
	var list []int
	for _, h := range p.shown {
		if s := p.card.Hands[h].Section; !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	return list
}

func (p *reportPrinter) print(detail bool) {
	r := p.r
	p.text("Card %s: %s in %s. Seed %d; ± is the wider half of the 95 %% interval.%s", r.Card,
		wording.Plural(len(r.Hands), "hand"), wording.Plural(len(r.Sections), "section"), r.Seed, wording.ByHouse(r.House))
	stopped := ""
	if r.Stopped {
		stopped = " Interrupted."
	}
	p.text("%s of 13 tiles, %s of four strong players, %s with each aim.%s", wording.Plural(r.Deals, "random deal"),
		wording.Plural(r.Games, "game"), wording.Plural(r.Aimed, "game"), stopped)
	p.text("%s", wording.PointsCaution)
	p.standings()
	p.aims()
	p.restrictions()
	if detail {
		for _, h := range p.shown {
			p.detail(&r.Hands[h].Figures)
		}
	}
	p.neighbours()
	p.signs()
	if !detail {
		p.kinds()
		p.steps()
	}
}

// each adds a row for the sections shown, then for the hands; a row may be nil.
func (p *reportPrinter) each(t *command.Table, row func(f *cardreport.Figures) []string) {
	added := false
	add := func(f *cardreport.Figures) {
		if cells := row(f); cells != nil {
			t.Row(append([]string{command.Clip(f.Name, nameColumns)}, cells...)...)
			added = true
		}
	}
	for _, s := range p.sections() {
		add(&p.r.Sections[s].Figures)
	}
	if added {
		t.Line(0, "")
	}
	for _, h := range p.shown {
		add(&p.r.Hands[h].Figures)
	}
}

// nameColumns is what the name of a hand gets.
const nameColumns = 20

func (p *reportPrinter) standings() {
	if p.r.Deals+p.r.Games == 0 {
		return
	}
	p.line("\nFrom the deal, and in play")
	p.text("Away is tiles away at the deal, with the middle eight of ten deals; nearest and level are the deals, in %%, to which it is the nearest, and to which nothing is nearer; won is the games, in %%, that somebody wins with it, and turns the discards before.")
	t := command.NewTable(nameColumns+1, 11, 7, 10, 10, 10)
	t.Row("", "away", "80 %", "nearest", "level", "won", "turns")
	p.each(t, func(f *cardreport.Figures) []string {
		spread := "-"
		if f.Away.Counts.Count() > 0 {
			spread = fmt.Sprintf("%d-%d", f.Away.Counts.Percentile(10), f.Away.Counts.Percentile(90))
		}
		return []string{plusMinus(f.Away.Mean, 1, 2), spread, percent(f.Nearest), percent(f.Among), percent(f.Won), plusMinus(f.Turns.Mean, 1, 1)}
	})
	if p.r.Games > 0 {
		t.Row("nobody (wall game)", "", "", "", "", percent(p.r.Wall))
	}
	p.line("")
	t.Print(p.w)
}

func (p *reportPrinter) aims() {
	if p.r.Aimed == 0 {
		return
	}
	p.line("\nOne strong player steers for it and nothing else, against three who are free")
	t := command.NewTable(nameColumns+1, 27)
	t.Row("", "wins", "net points")
	p.each(t, func(f *cardreport.Figures) []string {
		if f.Aimed == nil {
			return nil
		}
		return []string{wording.Share(f.Aimed.Wins), wording.Points(f.Aimed.Points)}
	})
	if p.r.Games > 0 {
		t.Row("without an aim", wording.Share(p.r.Free.Wins), wording.Points(p.r.Free.Points))
	}
	p.line("")
	t.Print(p.w)
}

func (p *reportPrinter) restrictions() {
	t, rows := command.NewTable(nameColumns+1, 11, 23), 0
	row := func(name, what string, r *cardreport.Restriction) {
		if r == nil || r.Wins == nil && r.Away == nil {
			return
		}
		if rows == 0 {
			p.line("\nWhat it costs to be concealed, or to take no jokers")
			p.text("The hand on a card that lifts it, less the hand as written, on the same deals: wins (percentage points) and net points a game of a player who aims at it, and tiles nearer at the deal. ~ is no difference shown.")
			t.Row("", "", "wins", "net points")
		}
		rows++
		wins, points := "-", "-"
		if r.Wins != nil {
			wins, points = unlessShown(r.Wins, wording.ChancePoints(*r.Wins)), unlessShown(r.Points, wording.Points(*r.Points))
		}
		t.Row(command.Clip(name, nameColumns), what, wins, points)
		if r.Away != nil {
			t.Line(nameColumns+1, "tiles nearer %s", unlessShown(r.Away, wording.Signed(*r.Away)))
		}
	}
	for _, h := range p.shown {
		hand := &p.r.Hands[h]
		row(hand.Name, "concealed", hand.Concealed)
		row(hand.Name, "no jokers", hand.Jokerless)
	}
	if rows > 0 {
		p.line("")
		t.Print(p.w)
	}
}

// turnsBin is the number of discards that one bar stands for.
const turnsBin = 10

// detail draws the two distributions of a hand.
func (p *reportPrinter) detail(f *cardreport.Figures) {
	if f.Away.Counts.Count() > 0 {
		p.line("\n%s: tiles away at the deal, %% of deals", f.Name)
		for away := range f.Away.Counts {
			p.bar(fmt.Sprint(away), f.Away.Share(away))
		}
	}
	if n := f.Turns.Counts.Count(); n > 0 {
		p.line("\n%s: discards before the win, %% of %s", f.Name, wording.Plural(n, "win"))
		for from := 0; from < len(f.Turns.Counts); from += turnsBin {
			p.bar(fmt.Sprintf("%d-%d", from, from+turnsBin-1), f.Turns.Between(from, from+turnsBin-1))
		}
	}
}

func (p *reportPrinter) bar(label string, i stat.Interval[unit.Chance]) {
	if i.Value > 0 {
		most := min(40, command.Columns(p.w)-34)
		p.line("%7s  %-24s %s", label, wording.Share(i), strings.Repeat("#", int(float64(most)*float64(i.Value)+0.5)))
	}
}

func (p *reportPrinter) neighbours() {
	p.text("\nNeighbours: hands that share most tiles, 0 to 14 (worked out, not simulated)\n")
	for _, h := range p.shown {
		hand := &p.r.Hands[h]
		var list []string
		for _, n := range hand.Neighbours {
			// A name and its number stay on one line.
			list = append(list, strings.ReplaceAll(fmt.Sprintf("%s %.1f", n.Name, n.Shared), " ", "\u00a0"))
		}
		rest := command.Wrap(p.w, wording.OrNone(strings.Join(list, ", ")), nameColumns+1)
		p.line("%-*s %s", nameColumns, command.Clip(hand.Name, nameColumns), strings.ReplaceAll(rest, "\u00a0", " "))
	}
}

func (p *reportPrinter) signs() {
	if p.r.Deals+p.r.Games == 0 {
		return
	}
	p.line("\nIf you hold this, look here")
	p.text("How many times as often as over all deals. Found on one half of the deals, measured on the other; each interval is for itself.")
	for _, i := range p.sections() {
		s := &p.r.Sections[i]
		p.signsOf(fmt.Sprintf("%s is the nearest at %s %% of deals", s.Name, percent(s.AllNearest)), s.Nearer, s.AllNearest)
		p.signsOf(fmt.Sprintf("%s is won with by %s %% of seats", s.Name, percent(s.AllWon)), s.Wins, s.AllWon)
	}
}

func (p *reportPrinter) signsOf(title string, signs []cardreport.Sign, all stat.Interval[unit.Chance]) {
	if all.N == 0 {
		return
	}
	p.text("\n%s", title)
	t := command.NewTable(35, 23)
	for _, s := range signs {
		lift := "-"
		if s.Lift.Bounded() {
			lift = wording.Mean(s.Lift)
		}
		if s.Lift.Holds(1) {
			lift = "~" + lift
		}
		t.Row("  "+command.Clip(s.Name, 32), lift, fmt.Sprintf("%s %% of %d", percent(s.Share), s.Racks))
	}
	t.Print(p.w)
	if len(signs) == 0 {
		p.line("  no sign found")
	}
}

func (p *reportPrinter) kinds() {
	p.line("\nThe kinds of tile")
	p.text("Hands and variants that use it, in %%, and tiles in a complete hand, of the card, every hand counting alike. Of the tiles that strong players are dealt, those they still hold when the passing is over; of those held then, the ones that the nearest hand keeps, both in %%.")
	p.line("\n%-4s %6s %9s %6s   %-10s %s", "", "hands", "variants", "tiles", "still", "kept")
	for _, k := range p.r.Kinds {
		p.line("%-4s %6.1f %9.1f %6.2f   %-10s %s", k.Kind, 100*k.Hands, 100*k.Variants, k.Tiles, percent(k.Still), percent(k.Kept))
	}
	naturals := slices.Clone(p.r.Kinds[:tile.Joker])
	slices.SortStableFunc(naturals, func(a, b cardreport.Kind) int { return cmp.Compare(b.Tiles, a.Tiles) })
	p.line("")
	p.line("Wanted most:  %s", command.Wrap(p.w, kindNames(naturals[:6]), 14))
	slices.Reverse(naturals)
	p.line("Wanted least: %s", command.Wrap(p.w, kindNames(naturals[:6]), 14))
}

func kindNames(kinds []cardreport.Kind) string {
	names := make([]string, len(kinds))
	for i, k := range kinds {
		names[i] = fmt.Sprintf("%s %.2f", k.Kind, k.Tiles)
	}
	return strings.Join(names, ", ")
}

func (p *reportPrinter) steps() {
	if p.r.Games == 0 {
		return
	}
	p.line("\nWhat four strong players pass")
	p.text("Of the tiles of a kind held at a step, those chosen to be passed, in %%; then the games, in %%, in which the step took place, the tiles chosen in all, and those handed on unseen a game.")
	widths := []int{7}
	for range len(p.r.Steps) - 1 {
		widths = append(widths, 10)
	}
	t := command.NewTable(widths...)
	cells := func(label string, cell func(s *cardreport.Step) string) {
		row := []string{label}
		for i := range p.r.Steps {
			row = append(row, cell(&p.r.Steps[i]))
		}
		t.Row(row...)
	}
	step := 0
	cells("", func(s *cardreport.Step) string { step++; return fmt.Sprintf("%d %s", step, s.Direction) })
	for k := range tile.Joker {
		cells(k.String(), func(s *cardreport.Step) string { return percent(s.Passed[k]) })
	}
	t.Line(0, "")
	cells("taken", func(s *cardreport.Step) string { return percent(s.Taken) })
	cells("tiles", func(s *cardreport.Step) string { return fmt.Sprint(s.Tiles) })
	cells("blind", func(s *cardreport.Step) string { return plusMinus(s.Blind, 1, 2) })
	p.line("")
	t.Print(p.w)
}
