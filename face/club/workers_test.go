//go:build unix

package club

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"secondpass/club"
	"secondpass/work"
	"secondpass/work/workers"
)

// Long work is done here while no worker is there, and by workers once one has joined.
// The owner sees at the machines that something is under way, nobody sees what.
func TestWorkersOfAClub(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	at := server.Start(t).URL
	if err := workers.Prepare(t.Context(), at, ""); err != nil {
		t.Fatal(err)
	}
	h.front.Workers = workers.NewSender(at, func(text string) { t.Log(text) })
	defer h.front.Workers.Close()
	h.front.Look = func(ctx context.Context) (*workers.Standing, error) { return workers.Look(ctx, at) }
	owner := h.somebody(nil, club.Owner, "Olga")
	ana := h.somebody(&owner, club.Teacher, "Ana")
	v, o := h.as(&ana), h.as(&owner)
	parts := func() (n int64) {
		db, err := sql.Open("pgx", at)
		if err == nil {
			err = db.QueryRow(`SELECT COUNT(*) FROM secondpass_work.river_job WHERE state = 'completed'`).Scan(&n)
			db.Close()
		}
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	run := func(seed int) {
		t.Helper()
		page := v.must(303)(v.post("/experiments", url.Values{"ready": {"keep-flowers"}, "deals": {"64"}, "card": {""}, "seed": {fmt.Sprint(seed)}}))
		for begun := time.Now(); ; time.Sleep(50 * time.Millisecond) {
			text := v.must(200)(v.get(page))
			if strings.Contains(text, "64 of 64 deals") && regexp.MustCompile(`Done: `).MatchString(text) {
				return
			}
			if time.Since(begun) > time.Minute {
				t.Fatal(shorten(text))
			}
		}
	}
	if r := (sends{h.front.Workers, ana.Workbook}).Runner(work.New(&work.CardReport{})); r != nil {
		t.Error("work is sent before anybody has joined")
	}
	ctx, stop := context.WithCancel(t.Context())
	over, in := make(chan error, 1), make(chan string, 9)
	go func() { over <- workers.Joining{URL: at, Slots: 1, Told: func(text string) { in <- text }}.Join(ctx) }()
	select {
	case <-in:
	case err := <-over:
		t.Fatal(err)
	}
	if n := parts(); n != 0 {
		t.Errorf("%d parts beforehand", n)
	}
	run(1)
	if n := parts(); n == 0 {
		t.Error("nothing was sent to the worker")
	}
	v.must(403)(v.get("/workers"))
	if text := o.must(200)(o.get("/workers")); !strings.Contains(text, "does 1 part at once") || strings.Contains(text, "keep-flowers") {
		t.Error(shorten(text))
	}
	stop()
	if err := <-over; err != nil {
		t.Error(err)
	}
}
