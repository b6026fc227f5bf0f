//go:build unix

package workers

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgxpool"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/internal/postgres"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/work"
)

var overhead = flag.Bool("overhead", false, "TestOverhead with parts of 8,192 deals, which takes minutes, and its bounds")

// used is the processor time of a server so far, in clock ticks of 10 ms as Linux counts them (proc(5)): of its process, of its
// children, and of those of them that have ended.
func used(t *testing.T, pg *postgres.Server) (spent time.Duration) {
	t.Helper()
	for _, pid := range pg.Processes() {
		data, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
		if err != nil {
			continue // it has ended
		}
		fields := strings.Fields(string(data[bytes.LastIndexByte(data, ')')+1:]))
		for _, field := range fields[11:15] { // user and system, its own and of its children
			ticks, err := strconv.Atoi(field)
			if err != nil {
				t.Fatal(err)
			}
			spent += time.Duration(ticks) * 10 * time.Millisecond
		}
	}
	return spent
}

func self(t *testing.T) time.Duration {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// What a part costs beside its deals: the time of the worker that no deal has, and the processor time of the one who asks and of the
// database. The parts hold deals that take next to nothing, so that this can be told from them; it is held against the time that as many
// deals of keep-flowers take one core.
func TestOverhead(t *testing.T) {
	parts, pieces := 6, 8
	if *overhead {
		parts, pieces = 64, mostPieces
	}
	pg := postgres.Start(t)
	if err := Prepare(t.Context(), pg.URL, ""); err != nil {
		t.Fatal(err)
	}
	owner, err := pgxpool.New(t.Context(), pg.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer owner.Close()
	b := &battle{t: t, pg: pg, owner: owner, workers: map[string]*exec.Cmd{}}
	id := uuid.NewString()
	worker := b.start("worker", idOf+"="+id)
	defer func() {
		_ = worker.Process.Kill()
		_ = worker.Wait()
	}()
	b.until("the worker is there", func() bool { return b.count("SELECT count(*) FROM secondpass_work.member WHERE works") == 1 })
	s := sender(t, pg.URL)
	s.size = pieces
	r := startOf(t, "experiment Quick\nothers nearest\nmeasure options\nclaim more by 1\nalso away ; less by 0.1\nway \"a\" nearest\nway \"b\" nearest+keep-flowers\n", parts*pieces*sim.ShardGames)
	begun, mine, engine := time.Now(), self(t), used(t, pg)
	played, size := time.Duration(0), 0
	if _, err := work.New(work.ExperimentOf(r)).Run(work.WithWorkers(t.Context(), s), func(p work.Progress) bool {
		if p.Done == p.Of {
			played = time.Duration(b.count(`SELECT (extract(epoch FROM sum(took)) * 1000)::integer FROM secondpass_work.part`)) * time.Millisecond
			size = b.count(`SELECT avg(octet_length(result))::integer FROM secondpass_work.part`)
		}
		return false
	}); err != nil {
		t.Fatal(err)
	}
	elapsed, mine, engine := time.Since(begun), self(t)-mine, used(t, pg)-engine
	n := time.Duration(parts)
	alone := time.Now()
	deals := 512
	if err := startReady(t, "keep-flowers", deals).Run(sim.WithRunner(t.Context(), sim.Alone{}), nil); err != nil {
		t.Fatal(err)
	}
	part := time.Since(alone) / time.Duration(deals) * time.Duration(pieces*sim.ShardGames)
	share := func(d time.Duration) string { return fmt.Sprintf("%.2f %%", 100*float64(d)/float64(part)) }
	between, load := (elapsed-played)/n, (mine+engine)/n
	t.Logf("%d parts of %d deals; a part of keep-flowers takes a core %v", parts, pieces*sim.ShardGames, part.Round(time.Millisecond))
	t.Logf("the worker has nothing to play for %v a part (%s); who asks uses %v and the database %v of processor time a part (%s)", between.Round(100*time.Microsecond), share(between), (mine / n).Round(100*time.Microsecond), (engine / n).Round(100*time.Microsecond), share(load))
	if *overhead {
		before := used(t, pg)
		const idle = 20 * time.Second
		time.Sleep(idle)
		t.Logf("a result has %d bytes; a worker with nothing to do, and one who asks, cost the database %.2f %% of a core", size, 100*float64(used(t, pg)-before)/float64(idle))
	}
	if played == 0 || between < 0 {
		t.Errorf("played for %v of %v", played, elapsed)
	}
	if *overhead && (between > part/100 || load > part/20) {
		t.Errorf("more than 1 %% of the worker's time or 5 %% of its processor time")
	}
}

// startReady is a ready-made experiment before its first deal, startOf that of a text.
func startReady(t *testing.T, name string, deals int) *experiment.Result {
	t.Helper()
	ready, err := experiment.FindReady(name)
	if err != nil {
		t.Fatal(err)
	}
	return startOf(t, ready.Text, deals)
}

func startOf(t *testing.T, text string, deals int) *experiment.Result {
	t.Helper()
	x, c, err := experiment.Read("test", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		t.Fatal(err)
	}
	tuning, _ := player.TuningFor(c)
	r, err := experiment.Start(x, c, tuning, 3, deals, "test")
	if err != nil {
		t.Fatal(err)
	}
	return r
}
