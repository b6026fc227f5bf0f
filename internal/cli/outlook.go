package cli

import (
	"fmt"
	"io"

	"secondpass/exercise"
	"secondpass/internal/stat"
)

// outlook plays whole games from the end of every route.
func (c *compareCmd) outlook(g *Globals, e *exercise.Exercise, routes []*exercise.Route) ([]exercise.Outlook, []exercise.OutlookGap, error) {
	counsel, err := g.counsel(e.Card, othersOf(e), e.Seed)
	if err != nil {
		return nil, nil, err
	}
	progress, done := g.progress(c.Games, "games")
	looks, gaps, err := counsel.Outlooks(g.ctx, e, routes, c.Games, progress)
	done()
	if err == nil && len(looks) == 0 {
		err = failure{fmt.Errorf("stopped before the first games were played")}
	}
	if err == nil && looks[0].Chance.N < c.Games {
		g.remark("stopped: %d of %d games were played and count", looks[0].Chance.N, c.Games)
	}
	return looks, gaps, err
}

func printOutlook(w io.Writer, looks []exercise.Outlook, gaps []exercise.OutlookGap, seed uint64) {
	fmt.Fprintf(w, "\nPlayed on from the end of each route, the same random numbers for all.\n")
	fmt.Fprintf(w, "Seed %d, %s, 95 %% intervals in brackets.\n\n", seed, plural(looks[0].Chance.N, "game"))
	for _, l := range looks {
		fmt.Fprintf(w, "%s (%s)\n", l.Route.Name, exercise.AimText(l.Route.Aim))
		fmt.Fprintf(w, "  chance             %s\n  points a game      %s\n", share(l.Chance), mean(l.Points))
	}
	for _, p := range gaps {
		fmt.Fprintf(w, "%s less %s\n", p.Second.Name, p.First.Name)
		fmt.Fprintf(w, "  chance             %s points%s\n", points(p.Chance), shown(p.Chance))
		fmt.Fprintf(w, "  points a game      %s%s\n", signed(p.Points), shown(p.Points))
	}
}

type outlookJSON struct {
	Route  string        `json:"route"`
	Chance stat.Interval `json:"chance"`
	Points stat.Interval `json:"points"`
}

type outlookGapJSON struct {
	First  string        `json:"first"`
	Second string        `json:"second"`
	Chance stat.Interval `json:"chance"`
	Points stat.Interval `json:"points"`
}

func outlooksJSON(looks []exercise.Outlook, gaps []exercise.OutlookGap) (l []outlookJSON, d []outlookGapJSON) {
	for _, o := range looks {
		l = append(l, outlookJSON{o.Route.Name, o.Chance, o.Points})
	}
	for _, o := range gaps {
		d = append(d, outlookGapJSON{o.First.Name, o.Second.Name, o.Chance, o.Points})
	}
	return l, d
}
