package club

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"secondpass/engine/sim"
	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/work"
	"secondpass/work/queue"
	"secondpass/work/workers"
)

// ledger is for how long cores have worked for the simulations of a teacher today, in all processes of the club.
type ledger struct {
	teachers Teachers
	teacher  int64
	most     time.Duration // in a day; 0 for as long as they like
	log      *slog.Logger
	now      func() time.Time

	mu sync.Mutex
	// fresh is what was not kept yet, of the day on; before what was when some was kept last.
	fresh, before time.Duration
	on            time.Time
	due           bool // it is kept soon
}

// keptAfter is how long after work the ledger is kept.
const keptAfter = 5 * time.Second

func newLedger(t Teachers, teacher int64, most time.Duration, log *slog.Logger) *ledger {
	return &ledger{teachers: t, teacher: teacher, most: most, log: log, now: time.Now}
}

// errWorked: a teacher has had what one has in a day.
func (l *ledger) errWorked() error {
	return page.Errorf(http.StatusTooManyRequests, "Your simulations have had the %s of processor time that a teacher has in a day here. Go on with them after midnight; what they have found is kept.", duration(l.most))
}

// duration is a time in words, in full hours or minutes.
func duration(d time.Duration) string {
	switch {
	case d >= time.Hour && d%time.Hour == 0:
		return wording.Plural(int(d/time.Hour), "hour")
	case d >= time.Hour:
		return fmt.Sprintf("%.1f hours", d.Hours())
	case d >= time.Minute:
		return wording.Plural(int(d/time.Minute), "minute")
	}
	return wording.Plural(int(d/time.Second), "second")
}

// Left says why no work may be begun.
func (l *ledger) Left() error {
	if l.most == 0 {
		return nil
	}
	l.keep()
	return l.Spend(0)
}

// Spend takes down what a core has done.
func (l *ledger) Spend(core time.Duration) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.today()
	l.fresh += core
	if !l.due && l.fresh > 0 {
		l.due = true
		time.AfterFunc(keptAfter, l.keep)
	}
	if l.most > 0 && l.before+l.fresh >= l.most {
		return l.errWorked()
	}
	return nil
}

// today begins with nothing on a new day; l.mu is held.
func (l *ledger) today() {
	now := l.now()
	if y, m, d := now.Date(); l.on.Year() != y || l.on.Month() != m || l.on.Day() != d {
		l.on, l.before, l.fresh = now, 0, 0 // seconds of the day before are nobody's
	}
}

// keep keeps what is fresh; where the database is away it is kept later.
func (l *ledger) keep() {
	l.mu.Lock()
	l.today()
	fresh, on := l.fresh, l.on
	l.fresh, l.due = 0, false
	l.before += fresh
	l.mu.Unlock()
	all, err := l.teachers.AddWork(l.teacher, on, fresh)
	l.mu.Lock()
	defer l.mu.Unlock()
	switch {
	case !on.Equal(l.on):
	case err != nil:
		l.log.Warn("work was not taken down", "error", err)
		l.before -= fresh
		l.fresh += fresh
	default:
		l.before = all
	}
}

// sends is how long work of a teacher goes to the workers of the club while there are any.
type sends struct {
	to      *workers.Sender
	teacher int64
}

// lookFor is how long one looks whether workers are there; the first time this program plays a proof of how it computes.
const lookFor = 20 * time.Second

// Runner is who does the runs of a job; nil where they are done here.
func (s sends) Runner(j *work.Job) sim.Runner {
	ctx, cancel := context.WithTimeout(context.Background(), lookFor)
	defer cancel()
	r := s.to.RunnerOf(fmt.Sprint(s.teacher), j)
	if r == nil || !s.to.Any(ctx) {
		return nil
	}
	return queue.Elsewhere(r)
}
