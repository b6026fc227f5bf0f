package desk

import (
	"context"
	"runtime"

	"golang.org/x/sync/errgroup"

	"secondpass/rules/card"
	"secondpass/teach/drill"
)

// PassGames is by how many games every pass of a drill is judged that goes into a file.
const PassGames = 256

// JudgePasses judges every legal pass at a drill's position, in the order of [drill.Drill.AllPasses], by so many games of its key at
// most, on all cores; nil where the drill asks for no pass. What comes out does not depend on the number of cores.
func (d *Desk) JudgePasses(ctx context.Context, c *card.Card, of *drill.Drill, games int) ([]drill.Answer, error) {
	passes := of.AllPasses()
	if len(passes) == 0 {
		return nil, nil
	}
	m, err := d.maker(c, of.Key.Players)
	if err != nil {
		return nil, err
	}
	answers := make([]drill.Answer, len(passes))
	parts := min(runtime.GOMAXPROCS(0), len(passes))
	var group errgroup.Group
	for part := range parts {
		from, to := part*len(passes)/parts, (part+1)*len(passes)/parts
		group.Go(func() error {
			judged, err := m.JudgeAll(ctx, of, passes[from:to], games)
			copy(answers[from:], judged)
			return err
		})
	}
	return answers, group.Wait()
}
