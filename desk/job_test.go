package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/store/files"
	"secondpass/work"
)

const small = `card Small
section Bams
25 exposed 111b 222b 666b 444b 55b
25 exposed FFFF 222b 00000 NN
section Craks
25 exposed 111c 222c 444c 888c 55c
`

// Work that is stopped is kept, and asked for again goes on to what it comes to in one go; then nothing of it is kept. Other
// work begins anew.
func TestGoOn(t *testing.T) {
	match := func(seed uint64) *work.Match {
		return &work.Match{Card: work.CardText{Name: "Small", Text: small}, House: house.Usual, Tuning: player.Tuning{Params: player.General},
			Seats: [charleston.Seats]string{"nearest", "random", "random", "random"}, Seed: seed, Deals: 6 * sim.ShardGames}
	}
	whole, err := work.Run[*work.MatchResult](context.Background(), work.New(match(3)), nil)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	d := &Desk{Files: files.In(dir, nil)}
	kept := func() int {
		found, err := filepath.Glob(filepath.Join(dir, "unfinished", "*.json"))
		if err != nil {
			t.Fatal(err)
		}
		return len(found)
	}
	for stopAt := range 2 {
		ctx, stop := context.WithCancel(context.Background())
		told := 0
		_, err := GoOn[*work.MatchResult](ctx, d, match(3), func(work.Progress) bool {
			if told++; told > stopAt {
				stop()
			}
			return false
		})
		if err != nil || kept() != 1 {
			t.Fatalf("stopped: %v, %d jobs kept", err, kept())
		}
	}
	games := 0
	found, err := GoOn[*work.MatchResult](context.Background(), d, match(3), func(p work.Progress) bool {
		if games == 0 {
			games = p.Done
		}
		return false
	})
	if err != nil || games == 0 {
		t.Fatal(err)
	}
	got, _ := json.Marshal(found)
	want, _ := json.Marshal(whole)
	if !bytes.Equal(got, want) {
		t.Errorf("gone on with it came to\n%s\nin one go\n%s", got, want)
	}
	if kept() != 0 {
		t.Errorf("%d jobs are kept of work that is done", kept())
	}
	// What is kept and cannot be read is no reason to fail.
	key, err := jobKey(match(4))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(dir, "unfinished"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "unfinished", key+".json"), []byte("torn"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := GoOn[*work.MatchResult](context.Background(), d, match(4), nil); err != nil || kept() != 0 {
		t.Errorf("beside a torn job: %v, %d kept", err, kept())
	}
}
