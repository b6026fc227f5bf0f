package experiment_test

import (
	"context"
	"fmt"

	"secondpass/engine/player"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/house"
)

// An experiment put together in code, played and read.
func Example() {
	s := experiment.New()
	s.Name, s.Others = "Who passes better?", "nearest"
	s.Measure = experiment.Measure{Of: experiment.SparesBest}
	s.Claim = experiment.Claim{Less: true, Effect: 1}
	s.Ways = []experiment.Way{
		{Name: "anything", Player: "random", House: house.Usual},
		{Name: "what is spare", Player: "nearest", House: house.Usual},
	}
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	r, err := experiment.Start(s, c, tuning, 1, 512, "example")
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := r.Run(context.Background(), nil); err != nil {
		fmt.Println(err)
		return
	}
	f := r.Findings()[0]
	fmt.Println(r.Deals, "deals:", f.Comparisons[0].Verdict)
	// Output: 512 deals: holds
}
