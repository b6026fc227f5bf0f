package judging

import (
	"fmt"
	"io"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/house"
)

// PrintVerdict prints what whole games made of several plans or decisions.
func PrintVerdict(w io.Writer, v *advice.Verdict, on desk.Basis) {
	fmt.Fprintf(w, "%s\n\n", command.Wrap(w, fmt.Sprintf("%s in all, seed %d, 95 %% intervals; %s.%s", wording.Plural(v.Games, "whole game"), on.Seed, v.Stopped, wording.ByHouse(on.House)), 2))
	printEven(w, v.Top)
	for i := range v.Judged {
		j := &v.Judged[i]
		figure := "chance " + wording.Share(j.Chance)
		if !j.Final {
			figure = earlyFigure(j.Chance, j.Fell, 0)
		}
		fmt.Fprintf(w, "%s%3d  %-32s %s\n", command.Mark(j.Even), i+1, command.Clip(j.Name, 32), figure)
		if j.Behind.N > 0 {
			fmt.Fprintf(w, "      %s\n", command.Wrap(w, wording.ChancePoints(j.Behind)+" percentage points behind the first"+wording.Shown(j.Behind), 6))
		}
	}
}

type verdictAnswer struct {
	Top     []string       `json:"top"`
	Judged  []judgedAnswer `json:"judged"`
	Games   int            `json:"games"`
	Seed    uint64         `json:"seed"`
	House   house.House    `json:"house"`
	Stopped string         `json:"stopped"`
}

type judgedAnswer struct {
	Name   string                                `json:"name"`
	Chance stat.Interval[unit.Chance]            `json:"chance"`
	Behind *stat.Interval[unit.ChanceDifference] `json:"behind,omitempty"`
	Final  bool                                  `json:"final"`
	Fell   int                                   `json:"fell_out,omitempty"`
}

func verdictJSON(v *advice.Verdict, on desk.Basis) verdictAnswer {
	a := verdictAnswer{Top: []string{}, Games: v.Games, Seed: on.Seed, House: on.House, Stopped: string(v.Stopped)}
	for i := range v.Judged {
		j := &v.Judged[i]
		if j.Even {
			a.Top = append(a.Top, j.Name)
		}
		a.Judged = append(a.Judged, judgedAnswer{j.Name, j.Chance, given(j.Behind), j.Final, j.Fell})
	}
	return a
}
