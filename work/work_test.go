package work

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"runtime"
	"strings"
	"testing"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/exercise"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/teach/drill"
)

// small is a card on which games are quick.
const small = `card Small
section Bams
25 exposed 111b 222b 666b 444b 55b
25 exposed FFFF 222b 00000 NN
section Craks
25 exposed 111c 222c 444c 888c 55c
30 concealed 11c 22c 44c 55c 88c NN GG
`

var long = flag.Bool("long", false, "also a balancing in TestJobsAreTheSameHoweverTheyAreDone, which takes minutes")

func practice(t *testing.T) (CardText, player.Tuning) {
	t.Helper()
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	return TextOf(c), tuning
}

// each is a small job of every kind.
func each(t *testing.T) map[Kind]func() Work {
	text, tuning := practice(t)
	usual := house.Usual
	noCourtesy := usual
	noCourtesy.Courtesy = false
	return map[Kind]func() Work{
		KindExperiment: func() Work {
			ready, err := experiment.FindReady("keep-flowers")
			if err != nil {
				t.Fatal(err)
			}
			s, c, err := experiment.Read(ready.Name, []byte(ready.Text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
			if err != nil {
				t.Fatal(err)
			}
			r, err := experiment.Start(s, c, tuning, 3, 5*sim.ShardGames+7, "test")
			if err != nil {
				t.Fatal(err)
			}
			return ExperimentOf(r)
		},
		KindCardReport: func() Work {
			return &CardReport{Card: text, House: noCourtesy, Tuning: tuning, Seed: 3, Hands: []int{0, 1}, Deals: 300, Games: 200, Aimed: 90}
		},
		KindMatch: func() Work {
			return &Match{Card: text, House: noCourtesy, Tuning: tuning, Seats: [charleston.Seats]string{"strong", "nearest", "nearest", "thumb"}, Seed: 3, Deals: 4 * sim.ShardGames}
		},
		KindDrillSearch: func() Work {
			return &DrillSearch{Card: text, Tuning: tuning, Players: "nearest", Seed: 12, Filter: drill.Filter{Kinds: []drill.Kind{drill.Stopping, drill.Courtesy}}, Each: 3, Total: 6, From: 1, Deals: 3}
		},
		KindTuning: func() Work {
			return &Tuning{Card: CardText{"Small", small}, Start: player.Tuning{Params: player.General}, Seed: 3, Games: 1500, Try: sim.ShardGames}
		},
		KindBalancing: func() Work {
			return &Balancing{Seed: 3, Games: 6 * sim.ShardGames, ReportGames: 70, RoundGames: sim.ShardGames}
		},
		KindRepeats: func() Work {
			e, err := exercise.New("Test", card.Practice(), usual, charleston.South, tile.MustParse("1122b 3456c 78d N FF"), exercise.MockPasses, 3)
			if err != nil {
				t.Fatal(err)
			}
			w, err := RepeatsOf(e, [][]string{{card.Practice().Sections[0]}, nil}, 300)
			if err != nil {
				t.Fatal(err)
			}
			return w
		},
	}
}

func result(t *testing.T, ctx context.Context, j *Job, tell Tell) []byte {
	t.Helper()
	made, err := j.Run(ctx, tell)
	if err != nil {
		t.Fatal(err)
	}
	data, err := resultBytes(made)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// again is a job as another process reads it.
func again(t *testing.T, j *Job) *Job {
	t.Helper()
	data, err := j.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	read, err := Read(data)
	if err != nil {
		t.Fatal(err)
	}
	if back, err := read.Bytes(); err != nil || !bytes.Equal(back, data) {
		t.Fatalf("read and written again it is another job: %v\n%s\n%s", err, data, back)
	}
	return read
}

// mostStops is how often a job is stopped.
const mostStops = 3

// stopping goes on with a job that is stopped at every so many looks, from its bytes each time.
func stopping(t *testing.T, j *Job, every int) []byte {
	t.Helper()
	for stops := 0; ; stops++ {
		looks, stopped := 0, false
		data, kept := []byte(nil), []byte(nil)
		ctx, stop := context.WithCancel(context.Background())
		made, err := j.Run(ctx, func(Progress) bool {
			if looks++; looks < every || stopped || stops == mostStops {
				return false
			}
			var err error
			if kept, err = j.Bytes(); err != nil { // what a program that is killed now has kept
				t.Fatal(err)
			}
			stopped = true
			return true
		})
		stop()
		if !stopped {
			if err != nil {
				t.Fatal(err)
			}
			if data, err = resultBytes(made); err != nil {
				t.Fatal(err)
			}
			if stops == 0 {
				t.Error("it was never stopped")
			}
			t.Logf("stopped %d times", stops)
			return data
		}
		if stops%2 == 0 { // the bytes at the look are as good as those at the end
			if j, err = Read(kept); err != nil {
				t.Fatal(err)
			}
		} else {
			j = again(t, j)
		}
	}
}

// shared does some pieces of each run elsewhere and the others here: to read a job and prepare it again for every piece takes
// long.
type shared struct {
	Elsewhere
	asked int
}

func (s *shared) Do(ctx context.Context, p *sim.Pieces) (int, error) {
	first := *p
	first.To = min(p.To, p.From+1)
	next, err := s.Elsewhere.Do(ctx, &first)
	s.asked += next - p.From
	if err != nil || next == p.From || next == p.To || p.Look != nil && p.Look(next) {
		return next, err
	}
	rest := *p
	rest.From = next
	return sim.Cores{}.Do(ctx, &rest)
}

// A job comes to the same bytes in one go, stopped and gone on with from its bytes, on one core and on two, and with shards
// done by another process.
func TestJobsAreTheSameHoweverTheyAreDone(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	every := map[Kind]int{KindBalancing: 20, KindTuning: 3, KindRepeats: 2, KindMatch: 2, KindCardReport: 3, KindExperiment: 2, KindDrillSearch: 2}
	for kind, begin := range each(t) {
		if kind == KindBalancing && !*long {
			continue
		}
		t.Run(strings.ReplaceAll(string(kind), " ", "-"), func(t *testing.T) {
			if begin().Kind() != kind {
				t.Fatalf("a work of kind %q", begin().Kind())
			}
			runtime.GOMAXPROCS(1)
			whole := result(t, context.Background(), New(begin()), nil)
			runtime.GOMAXPROCS(2)
			if two := result(t, context.Background(), New(begin()), nil); !bytes.Equal(two, whole) {
				t.Errorf("on two cores\n%.2000s\non one\n%.2000s", two, whole)
			}
			if parts := stopping(t, New(begin()), every[kind]); !bytes.Equal(parts, whole) {
				t.Errorf("stopped and gone on with\n%.2000s\nin one go\n%.2000s", parts, whole)
			}
			j := New(begin())
			apart := &shared{Elsewhere: Elsewhere{Job: j, Ask: func(ctx context.Context, job []byte, piece int) ([]byte, error) {
				other, err := Read(job)
				if err != nil {
					return nil, err
				}
				return other.Shard(ctx, piece)
			}}}
			others := result(t, sim.WithRunner(context.Background(), apart), j, nil)
			if apart.asked == 0 {
				t.Error("nothing was done elsewhere")
			}
			if !bytes.Equal(others, whole) {
				t.Errorf("by other processes\n%.2000s\nin one go\n%.2000s", others, whole)
			}
		})
	}
}

// Every kind is known and tested.
func TestEveryKindIsTested(t *testing.T) {
	tested := each(t)
	for kind := range works {
		if tested[kind] == nil {
			t.Errorf("no job of kind %q is tested", kind)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for name, data := range map[string]string{
		"no JSON":         "x",
		"another format":  `{"format":"x","version":1}`,
		"a later version": `{"format":"secondpass job","version":2,"kind":"match","work":{}}`,
		"an unknown kind": `{"format":"secondpass job","version":1,"kind":"juggling","work":{}}`,
		"a strange field": `{"format":"secondpass job","version":1,"kind":"match","work":{"colour":1}}`,
	} {
		if _, err := Read([]byte(data)); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	text, tuning := practice(t)
	j := New(&Match{Card: text, House: house.Usual, Tuning: tuning, Seats: [charleston.Seats]string{"strong", "strong", "strong", "nobody"}, Deals: 64})
	if _, err := j.Run(context.Background(), nil); err == nil {
		t.Error("a player that there is not: no error")
	}
	torn := New(&Match{Card: text, House: house.Usual, Tuning: tuning, Seats: [charleston.Seats]string{"nearest", "nearest", "nearest", "nearest"}, Deals: 64})
	torn.runs = []played{{Next: 7, Total: json.RawMessage("{}")}}
	if _, err := torn.Run(context.Background(), nil); err == nil {
		t.Error("a run that stands beyond its end: no error")
	}
}

// resultBytes is a result as bytes: its own, where it has a form of its own, or JSON.
func resultBytes(result any) ([]byte, error) {
	if own, ok := result.(interface{ Bytes() []byte }); ok {
		return own.Bytes(), nil
	}
	return json.MarshalIndent(result, "", " ")
}

// An advised player sits at the table like the others, and the same seed gives the same games.
func TestMatchWithAdvised(t *testing.T) {
	_, tuning := practice(t)
	play := func() []byte {
		m := &Match{Card: CardText{Name: "Small", Text: small}, House: house.Usual, Tuning: tuning,
			Seats: [charleston.Seats]string{Advised, "strong", "nearest", "strong"}, Seed: 4, Deals: 1}
		if err := m.Check(); err != nil {
			t.Fatal(err)
		}
		r, err := m.Do(context.Background(), func(Progress) bool { return false })
		if err != nil {
			t.Fatal(err)
		}
		if r.(*MatchResult).Deals != 1 {
			t.Fatalf("%+v", r)
		}
		out, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	if one, two := play(), play(); !bytes.Equal(one, two) {
		t.Errorf("the same match gave\n%s\nand\n%s", one, two)
	}
}
