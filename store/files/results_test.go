package files_test

import (
	"context"
	"errors"
	"os"
	"testing"

	"secondpass/engine/player"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store/files"
)

// Results in the folder of earlier programs are listed, read, written over, deleted and restored where they stand; new ones
// go to the new folder, under names that neither has.
func TestEarlierFolder(t *testing.T) { everywhere(t, testEarlierFolder) }

func testEarlierFolder(t *testing.T, room, _ files.Room) {
	kept := files.On(room, nil).Results
	r := smallResult(t)
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	const earlier = "studies/small-seed-1.json"
	must(room.Write(earlier, r.Bytes()))
	must(room.Write("studies/ready/known.json", r.Bytes()))
	if name := kept.FreeName("Small", 1); name != "small-seed-1-2" {
		t.Errorf("the free name is %q", name)
	}
	must(kept.Write("small-seed-1-2", r))
	if _, err := room.Look("experiments/small-seed-1-2.json"); err != nil {
		t.Error(err)
	}
	names := map[string]bool{}
	list, err := kept.List()
	must(err)
	for _, f := range list {
		names[f.Name] = true
	}
	if len(list) != 3 || !names["small-seed-1"] || !names["ready/known"] || !names["small-seed-1-2"] {
		t.Errorf("listed: %v", names)
	}

	must(r.Run(context.Background(), nil))
	must(kept.Write("small-seed-1", r))
	if data, err := room.Read(earlier); err != nil || string(data) != string(r.Bytes()) {
		t.Errorf("a result gone on with is not in its own file: %v", err)
	}
	must(kept.Delete("small-seed-1"))
	if _, err := kept.Read("small-seed-1"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("deleted, it is read: %v", err)
	}
	must(kept.Restore("small-seed-1"))
	if back, err := kept.Read("small-seed-1"); err != nil || back.Deals != 64 {
		t.Errorf("restored: %v", err)
	}
}

func smallResult(t *testing.T) *experiment.Result {
	t.Helper()
	const text = "experiment Small\nothers nearest\nmeasure away\nclaim more by 1\ndeals 64\nway \"a\" nearest\nway \"b\" random\n"
	e, c, err := experiment.Read("small", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		t.Fatal(err)
	}
	tuning, _ := player.TuningFor(c)
	r, err := experiment.Start(e, c, tuning, 1, 0, "test")
	if err != nil {
		t.Fatal(err)
	}
	return r
}
