package work

import (
	"context"

	"secondpass/cardmaking/balance"
	"secondpass/cardmaking/compose"
)

// Balancing draws a card and looks for one like it whose hands are won about equally often. Its result is a [balance.Found].
type Balancing struct {
	Seed uint64       `json:"seed"`
	Wish compose.Wish `json:"options"`
	// Games and ReportGames are those of [balance.Search], and so is RoundGames, which is usually 0.
	Games       int `json:"games"`
	ReportGames int `json:"report_games"`
	RoundGames  int `json:"round_games,omitempty"`
}

// Kind is KindBalancing.
func (*Balancing) Kind() Kind { return KindBalancing }

// Do searches and measures. Stopped, it has no card yet, and the error is that of ctx.
func (b *Balancing) Do(ctx context.Context, tell Tell) (any, error) {
	draft, err := Await(ctx, func() (*compose.Draft, error) { return compose.NewDraft(b.Seed, b.Wish) })
	if err != nil {
		return nil, err
	}
	search := balance.Search{Seed: b.Seed, Games: b.Games, ReportGames: b.ReportGames, RoundGames: b.RoundGames,
		Progress: func(step balance.Step, done, all int) { tell(Progress{Stage: step.String(), Done: done, Of: all}) }}
	found, err := search.Card(ctx, draft)
	if err != nil {
		return nil, err
	}
	return found, nil
}
