package cards

import (
	"fmt"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/web/view"
	"secondpass/paper/findings"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/research/cardreport"
	"secondpass/rules/tile"
)

// standingScales are the scales that a table of sections or hands is drawn on.
type standingScales struct {
	away      view.Scale[unit.Tiles]
	near, won view.Scale[unit.Chance]
}

func scalesOf(all []*cardreport.Figures) standingScales {
	var away []stat.Interval[unit.Tiles]
	var near, won []stat.Interval[unit.Chance]
	for _, f := range all {
		if f.Away.Mean.N > 0 {
			away = append(away, f.Away.Mean)
		}
		near, won = append(near, f.Nearest), append(won, f.Won)
	}
	return standingScales{view.ScaleOf(1, away...), view.ScaleOf(100, near...), view.ScaleOf(100, won...)}
}

func (s standingScales) words() string {
	return fmt.Sprintf("Away: %s. Nearest: %s %%. Won: %s %%.", s.away.Words(), s.near.Words(), s.won.Words())
}

func (s standingScales) row(f *cardreport.Figures) cardStanding {
	row := cardStanding{Name: f.Name, Away: s.away.On(f.Away.Mean, 2, ""), Near: s.near.On(f.Nearest, 1, " %"), Won: s.won.On(f.Won, 1, " %")}
	if f.Away.Counts.Count() > 0 {
		row.Eight = fmt.Sprintf("%d to %d", f.Away.Counts.Percentile(10), f.Away.Counts.Percentile(90))
		row.Level = wording.Share(f.Among)
	}
	if f.Turns.Mean.N > 0 {
		row.Turns = view.Minus(wording.Mean(f.Turns.Mean))
	}
	return row
}

// standings fills in sections and hands, each on scales of their own.
func (v *reportView) standings(r *cardreport.Report) {
	var sections, hands []*cardreport.Figures
	for i := range r.Sections {
		sections = append(sections, &r.Sections[i].Figures)
	}
	for h := range r.Hands {
		hands = append(hands, &r.Hands[h].Figures)
	}
	scales := scalesOf(sections)
	v.Scales = scales.words()
	for _, f := range sections {
		v.Sections = append(v.Sections, scales.row(f))
	}
	scales = scalesOf(hands)
	v.HandScales = scales.words()
	last := ""
	for h, f := range hands {
		row := scales.row(f)
		if r.Hands[h].Section != last {
			last = r.Hands[h].Section
			row.Part = last
		}
		v.Hands = append(v.Hands, row)
	}
}

// aims fills in what it is worth to aim at sections and hands.
func (v *reportView) aims(r *cardreport.Report) {
	var names []string
	var wins []stat.Interval[unit.Chance]
	var points []stat.Interval[unit.NetPoints]
	add := func(name string, a *cardreport.Result) {
		if a != nil && a.Points.N > 0 {
			names, wins, points = append(names, name), append(wins, a.Wins), append(points, a.Points)
		}
	}
	if r.Games > 0 {
		add("without an aim", &r.Free)
	}
	for i := range r.Sections {
		add(r.Sections[i].Name, r.Sections[i].Aimed)
	}
	for h := range r.Hands {
		add(r.Hands[h].Name, r.Hands[h].Aimed)
	}
	w, p := view.ScaleOf(100, wins...), view.ScaleOf(1, points...)
	v.AimScale = fmt.Sprintf("Wins: %s %%. Points: %s.", w.Words(), p.Words())
	for i, name := range names {
		v.Aims = append(v.Aims, aimRow{name, w.On(wins[i], 1, " %"), p.On(points[i], 1, "")})
	}
}

func signRows(signs []cardreport.Sign) []signRow {
	var rows []signRow
	for i := range signs {
		s := &signs[i]
		row := signRow{Name: s.Name, Lift: findings.Lift(s), Share: fmt.Sprintf("%s of %s", wording.Share(s.Share), wording.Plural(s.Racks, "rack"))}
		if kinds := findings.SignTiles(s.Holding); len(kinds) > 0 {
			row.Tiles = view.Strip(s.Name, view.Plain(kinds))
		}
		rows = append(rows, row)
	}
	return rows
}

// kinds fills in how much each kind is wanted.
func (v *reportView) kinds(r *cardreport.Report) {
	share := func(i stat.Interval[unit.Chance]) string {
		if i.N == 0 {
			return ""
		}
		return wording.Share(i)
	}
	for k := range r.Kinds {
		one := &r.Kinds[k]
		kind := tile.Kind(k)
		v.Kinds = append(v.Kinds, kindRow{Name: kind.Name(), Hands: fmt.Sprintf("%.0f %%", 100*one.Hands), Variants: fmt.Sprintf("%.0f %%", 100*one.Variants),
			Tiles: fmt.Sprintf("%.2f", one.Tiles), Still: share(one.Still), Kept: share(one.Kept), Strip: view.Strip("", []view.Face{{ID: sheet.TileID(kind), Name: kind.Name()}})})
	}
}
