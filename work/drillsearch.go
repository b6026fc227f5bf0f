package work

import (
	"context"

	"secondpass/advice"
	"secondpass/engine/player"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
)

// DrillSearch looks for drills in random deals under the usual rules. Its result is a [drill.Found].
type DrillSearch struct {
	Card    CardText      `json:"card"`
	Tuning  player.Tuning `json:"tuning"`
	Players string        `json:"players"`
	Seed    uint64        `json:"seed"`
	// Filter, Each, Total and Deals are those of [drill.Search]; the first deal looked at is From.
	drill.Filter
	Each  int    `json:"each"`
	Total int    `json:"total"`
	From  uint64 `json:"from"`
	Deals uint64 `json:"deals"`
	// Shelf is that of the counsel; it changes no drill, and may be nil.
	Shelf advice.Shelf `json:"-"`
}

// Kind is KindDrillSearch.
func (*DrillSearch) Kind() Kind { return KindDrillSearch }

// Check says why nothing can be looked for, or nil.
func (s *DrillSearch) Check() error {
	if err := s.Filter.Check(); err != nil {
		return err
	}
	_, err := s.search()
	return err
}

func (s *DrillSearch) search() (*drill.Search, error) {
	c, err := s.Card.read(tile.Usual)
	if err != nil {
		return nil, err
	}
	counsel, err := advice.NewCounsel(c, house.Usual, s.Tuning, s.Players, s.Seed)
	if err != nil {
		return nil, err
	}
	counsel.Shelf = s.Shelf
	m, err := drill.NewMaker(counsel, s.Players)
	return &drill.Search{Maker: m, Seed: s.Seed, Filter: s.Filter, Each: s.Each, Total: s.Total, Deals: s.Deals}, err
}

// Do looks through the deals.
func (s *DrillSearch) Do(ctx context.Context, tell Tell) (any, error) {
	search, err := s.search()
	if err != nil {
		return nil, err
	}
	return search.Run(ctx, s.From, func(f *drill.Found) bool {
		return tell(Progress{"drills", len(f.Drills), s.Total, f})
	})
}
