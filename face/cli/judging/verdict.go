package judging

import (
	"fmt"
	"io"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/house"
)

// PrintVerdict prints what whole games made of several plans or decisions.
func PrintVerdict(w io.Writer, v *advice.Verdict, on desk.Basis) {
	fmt.Fprintf(w, "%s\n\n", command.Wrap(w, fmt.Sprintf("%s. Seed %d, 95 %% intervals; %s.%s", wording.VerdictPlayed(v), on.Seed, v.Stopped, wording.ByHouse(on.House)), 2))
	printEven(w, wording.Chosen(v), wording.StandingsOf(v))
	t := newStandings(32)
	for i := range v.Judged {
		addStanding(t, i, v.Judged[i].Name, &v.Judged[i].Standing)
	}
	t.Print(w)
}

type verdictAnswer struct {
	Top     []string       `json:"top"`
	Judged  []judgedAnswer `json:"judged"`
	Games   int            `json:"games"`
	Each    int            `json:"fresh_games"`
	Seed    uint64         `json:"seed"`
	House   house.House    `json:"house"`
	Stopped string         `json:"stopped"`
}

type judgedAnswer struct {
	Name string `json:"name"`
	standingJSON
}

func verdictJSON(v *advice.Verdict, on desk.Basis) verdictAnswer {
	a := verdictAnswer{Top: []string{}, Games: v.Games, Each: v.Each, Seed: on.Seed, House: on.House, Stopped: string(v.Stopped)}
	for i := range v.Judged {
		j := &v.Judged[i]
		if j.Even {
			a.Top = append(a.Top, j.Name)
		}
		a.Judged = append(a.Judged, judgedAnswer{j.Name, standingOf(&j.Standing)})
	}
	return a
}
