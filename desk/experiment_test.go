package desk

import (
	"context"
	"errors"
	"testing"

	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/store/files"
)

// A result is played again as a job: to the same bytes where nothing was changed, and not where something was or ctx ends.
func TestRepeatExperiment(t *testing.T) {
	t.Parallel()
	const text = "experiment Test\nothers nearest\ndeals 130\nmeasure win\nclaim more by 1 %\nway \"plain\" nearest\nway \"random\" random\n"
	x, c, err := experiment.Read("test", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		t.Fatal(err)
	}
	d := Desk{Files: files.In(t.TempDir(), nil)}
	r, err := d.StartExperiment(x, c, 5, 0)
	if err != nil {
		t.Fatal(err)
	}
	if r.Program != store.Program() {
		t.Errorf("begun by %q", r.Program)
	}
	if r, err = PlayExperiment(context.Background(), r, func(*experiment.Result) error { return nil }, nil); err != nil {
		t.Fatal(err)
	}
	played := 0
	if same, err := RepeatExperiment(context.Background(), r, func(deals int) { played = deals }); err != nil || !same || played != 130 {
		t.Errorf("%v after %d deals, %v", same, played, err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if same, err := RepeatExperiment(ctx, r, nil); !errors.Is(err, context.Canceled) || same {
		t.Errorf("stopped: %v, %v", same, err)
	}
	r.Tally.Ways[0].Value.Sum++
	if same, err := RepeatExperiment(context.Background(), r, nil); err != nil || same {
		t.Errorf("changed: %v, %v", same, err)
	}
}
