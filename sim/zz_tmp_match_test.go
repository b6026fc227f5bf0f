package sim

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"secondpass/card"
	"secondpass/charleston"
	"secondpass/player"
	"secondpass/table"
	"strconv"
	"strings"
	"testing"
	"time"
)

func TestTmpVersus(t *testing.T) {
	cards := map[string]*card.Card{"L": card.Practice(), "C": clumsyCard(t, 1), "O": orderlyCard(t, 1)}
	deals := 1024
	if s := os.Getenv("N"); s != "" {
		deals, _ = strconv.Atoi(s)
	}
	for _, key := range strings.Split(os.Getenv("CARDS"), "") {
		c := cards[key]
		base := player.General
		if s := os.Getenv("BASE"); s != "" {
			if err := json.Unmarshal([]byte(s), &base); err != nil {
				t.Fatal(err)
			}
		}
		kit := player.NewTunedKit(c, nil, player.Tuning{Params: base})
		u := &Tuner{Game: table.NewGame(c, table.Usual), Rules: charleston.Usual, Kit: kit, Seed: 77}
		for _, one := range strings.Split(os.Getenv("ONE"), ";") {
			p := base
			if err := json.Unmarshal([]byte(one), &p); err != nil {
				t.Fatal(err)
			}
			tally := &MatchTally{}
			start := time.Now()
			if os.Getenv("VS") == "nearest" {
				cast := player.NewCast(c, player.Tuning{Params: p})
				m := Match{Game: u.Game, Rules: u.Rules, Seed: 77, Deals: deals}
				for i, n := range []string{"strong", "nearest", "nearest", "nearest"} {
					m.Seats[i], _ = cast.Player(n)
				}
				m.Play(context.Background(), 0, tally, nil)
			} else if _, err := u.Versus(context.Background(), p, base, 0, deals, tally); err != nil {
				t.Fatal(err)
			}
			r := Report{Tally: tally}
			l, pl := r.Lead(), r.PointLead()
			ra, _ := r.Ratio()
			fmt.Printf("%s %-28s lead %+.2f (%+.2f %+.2f) points %+.2f (%+.2f %+.2f) ratio %.3f wall %.1f %.0f/s\n", key, one, 100*l.Value, 100*l.Low, 100*l.High, pl.Value, pl.Low, pl.High, ra.Value, 100*r.WallGames().Value, float64(deals*4)/time.Since(start).Seconds())
		}
	}
}

func TestTmpDump(t *testing.T) {
	os.WriteFile("/tmp/C.card", []byte(clumsyCard(t, 1).Source), 0o644)
	os.WriteFile("/tmp/O.card", []byte(orderlyCard(t, 1).Source), 0o644)
}
