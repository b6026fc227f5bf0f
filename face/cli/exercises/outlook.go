package exercises

import (
	"context"
	"errors"
	"fmt"
	"io"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
)

// outlook plays whole games from the end of every route; there are no looks where it was stopped before the first games.
func (c *Compare) outlook(g *command.Globals, e *exercise.Exercise, routes []*exercise.Route) ([]advice.Outlook, []advice.OutlookGap, desk.Basis, error) {
	run, on, err := g.Desk().Outlook(e, routes, g.Judge(""))
	if err != nil {
		return nil, nil, on, command.DiskError(err)
	}
	progress, done := g.Progress(c.Games, "games")
	err = run.Play(g.Context, c.Games, progress)
	done()
	if err != nil && !errors.Is(err, context.Canceled) {
		return nil, nil, on, err
	}
	looks, gaps := run.Looks()
	if len(looks) == 0 {
		g.Remark(stoppedEarly)
	} else if looks[0].Chance.N < c.Games {
		g.Remark("stopped: %d of %d games were played and count", looks[0].Chance.N, c.Games)
	}
	return looks, gaps, on, nil
}

// stoppedEarly is said where Ctrl-C came before anything that the routes could be compared by.
const stoppedEarly = "stopped before the first games were played; the routes are compared without them"

func printOutlook(w io.Writer, looks []advice.Outlook, gaps []advice.OutlookGap, seed uint64) {
	fmt.Fprintf(w, "\nPlayed on from the end of each route, the same random numbers for all.\n")
	fmt.Fprintf(w, "Seed %d, %s, 95 %% intervals in brackets.\n\n", seed, wording.Plural(looks[0].Chance.N, "game"))
	for _, l := range looks {
		fmt.Fprintf(w, "%s (%s)\n", l.Route.Name, exercise.AimText(l.Route.Aim()))
		fmt.Fprintf(w, "  chance             %s\n  net points         %s\n", wording.Share(l.Chance), wording.Points(l.Points))
	}
	for _, p := range gaps {
		fmt.Fprintf(w, "%s less %s\n", p.Second.Name, p.First.Name)
		fmt.Fprintf(w, "  chance             %s\n", command.Wrap(w, wording.ChancePoints(p.Chance)+" percentage points"+wording.Shown(p.Chance), 21))
		fmt.Fprintf(w, "  net points         %s\n", command.Wrap(w, wording.Points(p.Points)+wording.Shown(p.Points), 21))
	}
}

type outlookJSON struct {
	Route  string                        `json:"route"`
	Chance stat.Interval[unit.Chance]    `json:"chance"`
	Points stat.Interval[unit.NetPoints] `json:"points"`
}

type outlookGapJSON struct {
	First  string                               `json:"first"`
	Second string                               `json:"second"`
	Chance stat.Interval[unit.ChanceDifference] `json:"chance"`
	Points stat.Interval[unit.NetPoints]        `json:"points"`
}

func outlooksJSON(looks []advice.Outlook, gaps []advice.OutlookGap) (l []outlookJSON, d []outlookGapJSON) {
	for _, o := range looks {
		l = append(l, outlookJSON{o.Route.Name, o.Chance, o.Points})
	}
	for _, o := range gaps {
		d = append(d, outlookGapJSON{o.First.Name, o.Second.Name, o.Chance, o.Points})
	}
	return l, d
}
