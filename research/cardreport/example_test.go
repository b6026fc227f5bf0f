package cardreport_test

import (
	"context"
	"fmt"

	"secondpass/engine/player"
	"secondpass/research/cardreport"
	"secondpass/rules/card"
	"secondpass/rules/house"
)

// How near random deals start to a hand of the practice card.
func Example() {
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	s, err := cardreport.New(cardreport.Settings{Card: c, Tuning: tuning, House: house.Usual, Seed: 1, Deals: 1000})
	if err != nil {
		fmt.Println(err)
		return
	}
	tally := &cardreport.Tally{}
	if err := s.Run(context.Background(), tally, nil); err != nil {
		fmt.Println(err)
		return
	}
	away := s.Report(tally).Hands[0].Away
	fmt.Println(away.Mean.N, "deals; a complete hand of 13 tiles:", away.Share(0).Value)
	// Output: 1000 deals; a complete hand of 13 tiles: 0
}
