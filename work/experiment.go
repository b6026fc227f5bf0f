package work

import (
	"context"
	"encoding/json"

	"secondpass/engine/sim"
	"secondpass/research/experiment"
)

// Experiment plays the deals of an experiment. Its result is an [experiment.Result].
type Experiment struct {
	// Result is the bytes of a result to go on with, which hold the card, the tuning, the experiment and the seed.
	Result json.RawMessage `json:"result"`
}

// ExperimentOf is the work of going on with a result.
func ExperimentOf(r *experiment.Result) *Experiment { return &Experiment{r.Bytes()} }

// Kind is KindExperiment.
func (*Experiment) Kind() Kind { return KindExperiment }

// sent is the work as it was before its first deal, so that it is the same however far it has come: what a shard of whole length adds up
// to does not depend on that.
func (e *Experiment) sent() (Work, error) {
	r, err := experiment.ReadResult("experiment", e.Result)
	if err != nil || r.Deals%sim.ShardGames != 0 {
		return e, err
	}
	again, err := r.Again()
	if err != nil {
		return nil, err
	}
	if err := again.Extend(r.Settings.Deals); err != nil {
		return nil, err
	}
	return ExperimentOf(again), nil
}

// Do plays the deals that are left.
func (e *Experiment) Do(ctx context.Context, tell Tell) (any, error) {
	r, err := experiment.ReadResult("experiment", e.Result)
	if err != nil {
		return nil, err
	}
	err = r.Run(ctx, func() bool { return tell(Progress{"deals", r.Deals, r.Settings.Deals, r}) })
	return r, err
}
