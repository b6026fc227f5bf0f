//go:build unix

package workers

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgxpool"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/internal/postgres"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/work"
)

var chaos = flag.Int("chaos", 3, "how many processes TestChaos kills; from 20 on with jobs that take minutes and the usual patience")

// The roles that the test binary takes on as a process of its own, see TestMain.
const (
	roleOf   = "SECONDPASS_TEST_ROLE"
	urlOf    = "SECONDPASS_TEST_URL"
	jobOf    = "SECONDPASS_TEST_JOB"
	floorOf  = "SECONDPASS_TEST_FLOOR"
	idOf     = "SECONDPASS_TEST_ID"
	resultOf = ".result"
)

func TestMain(m *testing.M) {
	role := func() error {
		return Joining{URL: os.Getenv(urlOf), Slots: 1, id: os.Getenv(idOf), Told: func(string) {}}.Join(context.Background())
	}
	switch os.Getenv(roleOf) {
	case "":
		os.Exit(m.Run())
	case "coordinator":
		role = func() error { return coordinate(os.Getenv(jobOf)) }
	}
	for {
		err := role()
		if silent := (*Silent)(nil); errors.As(err, &silent) { // who comes while the engine is away comes again
			continue
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
}

// coordinate goes on with the job in a file, keeps it there, and writes what it comes to beside it.
func coordinate(file string) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	job, err := work.Read(data)
	if err != nil {
		return err
	}
	write := func(file string, data []byte) error {
		if err := os.WriteFile(file+".new", data, 0o600); err != nil {
			return err
		}
		return os.Rename(file+".new", file)
	}
	s := NewSender(os.Getenv(urlOf), func(string) {})
	if s.floor, err = time.ParseDuration(os.Getenv(floorOf)); err != nil {
		return err
	}
	defer s.Close()
	kept, trouble := time.Now(), error(nil)
	made, err := job.Run(work.WithWorkers(context.Background(), s), func(work.Progress) bool {
		if time.Since(kept) > 200*time.Millisecond {
			if data, trouble = job.Bytes(); trouble == nil {
				trouble = write(file, data)
			}
			kept = time.Now()
		}
		return trouble != nil
	})
	if err == nil {
		err = trouble
	}
	if err != nil {
		return err
	}
	result, err := resultBytes(made)
	if err != nil {
		return err
	}
	return write(file+resultOf, result)
}

// battle is a chaos under way.
type battle struct {
	t       *testing.T
	pg      *postgres.Server
	owner   *pgxpool.Pool
	floor   time.Duration
	workers map[string]*exec.Cmd
	asks    *exec.Cmd
	job     string
	// again is how long it took after each kill until what it cost was under way again, and what was killed.
	again []time.Duration
	what  []string
}

// start starts the test binary in a role.
func (b *battle) start(role string, more ...string) *exec.Cmd {
	b.t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	cmd.Env = append(append(os.Environ(), roleOf+"="+role, urlOf+"="+b.pg.URL, floorOf+"="+b.floor.String()), more...)
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		b.t.Fatal(err)
	}
	return cmd
}

func (b *battle) addWorker() {
	id := uuid.NewString()
	b.workers[id] = b.start("worker", idOf+"="+id)
}

// count is a number that the database says, once it does.
func (b *battle) count(sql string, args ...any) (n int) {
	b.t.Helper()
	for tries := 0; ; tries++ {
		err := b.owner.QueryRow(b.t.Context(), sql, args...).Scan(&n)
		if err == nil {
			return n
		}
		if tries == 6000 { // only bounds a test that hangs
			b.t.Fatal(err)
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// until waits until something is so, or the coordinator has come to its end.
func (b *battle) until(what string, so func() bool) (over bool) {
	b.t.Helper()
	for begun := time.Now(); !so(); time.Sleep(30 * time.Millisecond) {
		if _, err := os.Stat(b.job + resultOf); err == nil {
			return true
		}
		if time.Since(begun) > 5*time.Minute {
			b.t.Fatalf("waited five minutes until %s", what)
		}
	}
	return false
}

// taken is a part that a worker has taken from the queue.
type taken struct{ args, by string }

// running are the parts that workers do. What those had that were killed stays in the queue as running: it is not of them.
func (b *battle) running() (all []taken) {
	b.t.Helper()
	rows, err := b.owner.Query(b.t.Context(), `SELECT args::text, attempted_by[array_upper(attempted_by, 1)] FROM secondpass_work.river_job WHERE state = 'running' ORDER BY id`)
	if err != nil {
		b.t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var p taken
		if err := rows.Scan(&p.args, &p.by); err != nil {
			b.t.Fatal(err)
		}
		if b.workers[p.by] != nil {
			all = append(all, p)
		}
	}
	return all
}

// busy is a worker that does a part, or any.
func (b *battle) busy() string {
	b.t.Helper()
	for _, p := range b.running() {
		return p.by
	}
	return slices.Min(slices.Collect(maps.Keys(b.workers)))
}

// working is how many of the workers do a part.
func (b *battle) working() int {
	return b.count(`SELECT count(DISTINCT attempted_by[array_upper(attempted_by, 1)]) FROM secondpass_work.river_job WHERE state = 'running' AND attempted_by[array_upper(attempted_by, 1)] = ANY($1)`,
		slices.Collect(maps.Keys(b.workers)))
}

// idle waits until a part is begun after a moment, and is how long of that fewer workers than before had something to do: those that go on
// with what they had are none that a kill cost anything. over says that the job came to its end first.
func (b *battle) idle(begun time.Time, before int) (idle time.Duration, over bool) {
	b.t.Helper()
	last := begun
	over = b.until("parts are begun again", func() bool {
		some := b.count(`SELECT count(*) FROM secondpass_work.river_job WHERE attempted_at > $1`, begun) > 0
		if now := time.Now(); some || b.working() < before {
			idle, last = idle+now.Sub(last), now
		} else {
			last = now
		}
		return some
	})
	return idle, over
}

// lost waits for a part that was under way at a moment, and is how long it was until it was begun again, 0 where its worker brought it, where
// it is not wanted any more, or where the job came to its end.
func (b *battle) lost(p taken, begun time.Time) (d time.Duration, over bool) {
	b.t.Helper()
	over = b.until("a part that was under way is done or begun again", func() bool {
		// Who asks anew may cut the run otherwise: then it is the parts with pieces of it that count.
		const overlaps = `a->>'run' = $1::jsonb->>'run' AND (a->>'first')::integer < ($1::jsonb->>'beyond')::integer AND (a->>'beyond')::integer > ($1::jsonb->>'first')::integer`
		if b.count(`SELECT count(*) FROM (SELECT args AS a FROM secondpass_work.river_job WHERE attempted_at > $2) j WHERE `+overlaps, p.args, begun) > 0 {
			d = time.Since(begun)
			return true
		}
		return b.count(`SELECT count(*) FROM (SELECT to_jsonb(p) AS a FROM (SELECT run, first, beyond FROM secondpass_work.part) p) j WHERE `+overlaps, p.args) > 0 ||
			b.count(`SELECT count(*) FROM secondpass_work.run WHERE id = $1::jsonb->>'run'`, p.args) == 0
	})
	if over {
		d = 0
	}
	return d, over
}

// kill kills one of those in it by -9 in the middle of things, begins it again, and waits until what that cost is under way again: the
// parts that were lost, and workers that have nothing to do. It is false where the job was over first.
func (b *battle) kill(what string) bool {
	b.t.Helper()
	if b.until("a part is done", func() bool { return b.working() > 0 }) {
		return false
	}
	under, before := b.running(), b.working()
	begun := time.Now()
	switch what {
	case "coordinator":
		_ = b.asks.Process.Kill() // it may be over
		_ = b.asks.Wait()
		b.asks = b.start("coordinator", jobOf+"="+b.job)
	case "engine":
		b.pg.Kill()
		b.pg.Restart()
	case "worker":
		id := b.busy()
		_ = b.workers[id].Process.Kill()
		_ = b.workers[id].Wait()
		delete(b.workers, id)
		b.addWorker()
		before-- // the others; what the killed one had is looked for below
	}
	took, over := b.idle(begun, before)
	parts := 0
	for _, p := range under {
		if over {
			break
		}
		d := time.Duration(0)
		if d, over = b.lost(p, begun); d > 0 {
			parts++
		}
		took = max(took, d)
	}
	b.again, b.what = append(b.again, took), append(b.what, what)
	b.t.Logf("%s killed: %d of %d parts under way lost; all under way again after %.1f s", what, parts, len(under), took.Seconds())
	return !over
}

// chaosJobs are an experiment, a card report and a drill search, of a size.
func chaosJobs(t *testing.T, long bool) []work.Work {
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	text := work.TextOf(c)
	if !long {
		return []work.Work{work.ExperimentOf(beginning(t, 80*sim.ShardGames, ""))}
	}
	return []work.Work{
		work.ExperimentOf(beginning(t, 3000*sim.ShardGames, "")),
		&work.CardReport{Card: text, House: house.Usual, Tuning: tuning, Seed: 3, Deals: 400_000, Games: 30_000, Aimed: 1000},
		&work.DrillSearch{Card: text, Tuning: tuning, Players: "nearest", Seed: 12, Each: 40, Total: 200, From: 1, Deals: 60},
	}
}

// Coordinator, workers and engine are killed by -9 in random order while an experiment, and in the long form also a card report and a
// drill search, go on: each comes to the bytes of one process, no part counts twice (the table has it once, by its key, and the bytes
// say so), and what a kill cost, parts that are lost and workers that have nothing to do, is under way again within the larger of 15 s and eight
// mean times of a part.
func TestChaos(t *testing.T) {
	t.Parallel()
	long := *chaos >= 20
	pg := postgres.Start(t)
	if err := Prepare(t.Context(), pg.URL, ""); err != nil {
		t.Fatal(err)
	}
	owner, err := pgxpool.New(t.Context(), pg.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer owner.Close()
	b := &battle{t: t, pg: pg, owner: owner, floor: 300 * time.Millisecond, workers: map[string]*exec.Cmd{}}
	if long {
		b.floor = usualFloor
	}
	defer func() {
		if b.asks != nil && b.asks.ProcessState == nil { // the test failed while it ran
			_ = b.asks.Process.Kill()
			_ = b.asks.Wait()
		}
		for _, cmd := range b.workers {
			_ = cmd.Process.Kill()
			_ = cmd.Wait()
		}
	}()
	for range 3 {
		b.addWorker()
	}
	rng := rand.New(rand.NewPCG(1, 2))
	victims := []string{"worker", "coordinator", "engine"}
	all := chaosJobs(t, long)
	slowest := time.Duration(0)
	each := (*chaos + len(all) - 1) / len(all)
	wholes := map[int][]byte{}
	for n := 0; len(b.again) < *chaos; n++ { // a quick machine may come to the end of a job before all is killed
		i := n % len(all)
		if wholes[i] == nil {
			wholes[i] = bytesOf(t, t.Context(), all[i])
		}
		b.job = filepath.Join(t.TempDir(), "job"+strconv.Itoa(n))
		data, err := work.New(all[i]).Bytes()
		if err == nil {
			err = os.WriteFile(b.job, data, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
		b.asks = b.start("coordinator", jobOf+"="+b.job)
		for kills := 0; kills < each && len(b.again) < *chaos; kills++ {
			what := victims[rng.IntN(len(victims))]
			if !long {
				what = victims[len(b.again)%len(victims)]
			}
			if !b.kill(what) {
				break
			}
			slowest = max(slowest, time.Duration(b.count(`SELECT coalesce(8 * avg(extract(epoch FROM took)) * 1000, 0)::integer FROM secondpass_work.part`))*time.Millisecond)
		}
		if err := b.asks.Wait(); err != nil {
			t.Fatalf("the coordinator of job %d: %v", i, err)
		}
		got, err := os.ReadFile(b.job + resultOf)
		if err != nil || !bytes.Equal(got, wholes[i]) {
			t.Errorf("job %d came to %d other bytes than in one process: %v", i, len(got), err)
		}
	}
	var told []string
	for i, d := range b.again {
		told = append(told, fmt.Sprintf("%s %.1f s", b.what[i], d.Seconds()))
		if most := max(15*time.Second, slowest); d > most {
			t.Errorf("after a kill of a %s it took %v, more than %v", b.what[i], d, most)
		}
	}
	slices.Sort(b.again)
	t.Logf("%d kills: %s; median %.1f s", len(b.again), strings.Join(told, ", "), b.again[len(b.again)/2].Seconds())
}
