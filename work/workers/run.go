package workers

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/riverqueue/river"

	"secondpass/engine/sim"
	"secondpass/work"
)

// sending does the runs of a job by sending their parts.
type sending struct {
	*Sender
	job *work.Job
	// whose tells those apart who ask for the same; "" where one asks.
	whose string
}

// sentPart is a part that was sent and whose pieces are not all taken.
type sentPart struct {
	part
	// last is when it was sent last, times how often.
	last  time.Time
	times int
	// arrived says that its result is there, or why there is none.
	arrived bool
	result  []byte
	failure *string
}

// run is one run under way.
type run struct {
	*sending
	pieces *sim.Pieces
	id     string
	// next is the first piece not taken, planned the first that is in no part. parts are those sent, in order.
	next, planned int
	parts         []*sentPart
	// known are the parts that were done before, by others who asked the same, by their first piece.
	known map[int]part
	// slots is how many parts are done at once. looked is when that was asked.
	slots  int
	looked time.Time
	// perPiece is how long a piece takes a worker, waits how long it was until it came, both as running means.
	perPiece, waits time.Duration
	away            bool
}

// Do sends the parts of a run and takes their results in order.
func (s *sending) Do(ctx context.Context, p *sim.Pieces) (next int, err error) {
	if p.From >= p.To {
		return p.From, nil
	}
	if err := s.connect(ctx); err != nil {
		return p.From, cut(ctx, err)
	}
	data, err := s.job.Sent()
	if err != nil {
		return p.From, err
	}
	r := &run{sending: s, pieces: p, next: p.From, planned: p.From, id: digest(append([]byte(s.self.queue()+s.whose), data...)), known: map[int]part{}}
	if err := s.trying(ctx, &r.away, func() error { return r.begin(ctx, data) }); err != nil {
		return p.From, cut(ctx, err)
	}
	over, err := r.all(ctx)
	r.leave(over || err != nil)
	return r.next, cut(ctx, err)
}

// cut leaves out the error of what was cut short.
func cut(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return nil
	}
	return err
}

// trying does something with the database until it goes well, and says so where it does not answer.
func (s *sending) trying(ctx context.Context, away *bool, do func() error) error {
	err := again(ctx, func() error {
		err := do()
		if err != nil && passing(err) && ctx.Err() == nil && !*away {
			*away = true
			s.told("the workers' database does not answer; it is tried again")
		}
		return err
	})
	if err == nil && *away {
		*away = false
		s.told("the workers' database answers again")
	}
	return err
}

// begin makes the run known, and finds what was done of it before.
func (r *run) begin(ctx context.Context, data []byte) error {
	if _, err := r.pool.Exec(ctx, `INSERT INTO secondpass_work.run (id, kind, job, first, beyond) VALUES ($1,$2,$3,$4,$5) ON CONFLICT (id) DO UPDATE SET touched = now(), begun = now(), first = $4, beyond = $5`,
		r.id, string(r.job.Kind()), data, r.pieces.From, r.pieces.To); err != nil {
		return err
	}
	rows, err := r.pool.Query(ctx, "SELECT first, beyond FROM secondpass_work.part WHERE run = $1 AND failure IS NULL ORDER BY first", r.id)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		p := part{Run: r.id}
		if err := rows.Scan(&p.First, &p.Beyond); err != nil {
			return err
		}
		r.known[p.First] = p
		if p.First < r.planned && r.planned < p.Beyond { // it begins before what is left
			r.known[r.planned] = p
		}
	}
	return rows.Err()
}

// leave takes back what nobody has begun, and all of the run where it is over.
func (r *run) leave(over bool) {
	ctx, cancel := context.WithTimeout(context.Background(), seenEvery)
	defer cancel()
	// Where this fails, workers find the results there, or no run.
	_, _ = r.pool.Exec(ctx, `DELETE FROM secondpass_work.river_job WHERE state IN ('available','scheduled','retryable') AND args->>'run' = $1`, r.id)
	if over {
		_, _ = r.pool.Exec(ctx, `DELETE FROM secondpass_work.run WHERE id = $1`, r.id)
	}
}

// all sends and takes until nothing more is wanted; over says that it was not ctx that ended it.
func (r *run) all(ctx context.Context) (over bool, err error) {
	const soonest, latest = 10 * time.Millisecond, 250 * time.Millisecond
	wait := soonest
	for {
		came := false
		err := r.trying(ctx, &r.away, func() (err error) {
			if err = r.look(ctx); err == nil {
				err = r.send(ctx)
			}
			if err == nil {
				came, err = r.fetch(ctx)
			}
			return err
		})
		if ctx.Err() != nil || err != nil {
			return false, err
		}
		if over, err := r.take(ctx); over || err != nil || ctx.Err() != nil {
			return over, err
		}
		if wait = min(2*wait, latest); came {
			wait = soonest
		}
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return false, nil
		}
	}
}

// look asks now and then how many slots there are, and keeps the run from being thrown away.
func (r *run) look(ctx context.Context) error {
	if time.Since(r.looked) < seenEvery {
		return nil
	}
	before, first := r.slots, r.looked.IsZero()
	slots, err := r.Sender.slots(ctx)
	if err == nil {
		_, err = r.pool.Exec(ctx, "UPDATE secondpass_work.run SET touched = now() WHERE id = $1", r.id)
	}
	if err != nil {
		return err
	}
	r.slots, r.looked = slots, time.Now()
	if slots == 0 && (before > 0 || first) {
		r.told("no worker is there that computes as this program does; secondpass work --join URL on any machine makes one")
	}
	return nil
}

// send sends parts ahead, so that no slot waits, and again those that are overdue.
func (r *run) send(ctx context.Context) error {
	fresh := r.plan(max(8, 2*r.slots+4) - len(r.parts))
	overdue, err := r.overdue(ctx)
	if err != nil {
		return err
	}
	var list []river.InsertManyParams
	for _, p := range overdue { // before the others
		list = append(list, river.InsertManyParams{Args: p.part, InsertOpts: &river.InsertOpts{Queue: r.self.queue(), Priority: 1}})
	}
	for _, p := range fresh {
		if !p.arrived {
			list = append(list, river.InsertManyParams{Args: p.part, InsertOpts: &river.InsertOpts{Queue: r.self.queue(), Priority: 2}})
		}
	}
	if len(list) > 0 {
		if _, err := r.client.InsertManyFast(ctx, list); err != nil {
			return err
		}
	}
	for _, p := range append(overdue, fresh...) {
		p.last, p.arrived = time.Now(), false
		p.times++
	}
	if r.parts = append(r.parts, fresh...); len(fresh) > 0 {
		r.planned = fresh[len(fresh)-1].Beyond
	}
	return nil
}

// plan is the next parts, so many at most. Those that were done before are marked as arrived, since they need not be sent.
func (r *run) plan(most int) (list []*sentPart) {
	for at := r.planned; at < r.pieces.To && len(list) < most; {
		p, done := r.known[at]
		if !done {
			p = part{r.id, at, min(at+r.size(at), r.pieces.To)}
			for first := range r.known {
				if at < first {
					p.Beyond = min(p.Beyond, first)
				}
			}
		}
		list = append(list, &sentPart{part: p, arrived: done})
		at = p.Beyond
	}
	return list
}

// mostPieces is the most pieces of a part: 8,192 deals where a piece has 64.
const mostPieces = 128

// size is how many pieces a part from one on gets: what takes about the target, but so few that each slot has several of what is left,
// and a power of two at a multiple of itself, so that the parts are the same again where a run is gone on with.
func (r *run) size(at int) int {
	if r.Sender.size > 0 {
		return r.Sender.size
	}
	if r.perPiece == 0 {
		return 1
	}
	want := min(int(r.target/r.perPiece), (r.pieces.To-at)/(4*max(r.slots, 1)), mostPieces)
	size := 1
	for 2*size <= want && at%(2*size) == 0 {
		size *= 2
	}
	return size
}

const (
	// overtaken is how many later parts may be there before one is sent again, patience after how many mean times it is.
	overtaken = 6
	patience  = 3
)

// overdue are the parts that a worker took, and that do not come: too many later ones are there, or the others took far less. Such a
// worker is dead or slow; whichever result comes first counts.
func (r *run) overdue(ctx context.Context) (list []*sentPart, err error) {
	later := 0
	for i := len(r.parts) - 1; i >= 0; i-- {
		p := r.parts[i]
		if p.arrived {
			later++
			continue
		}
		age := time.Since(p.last)
		if age > r.floor<<min(p.times-1, 4) && r.slots > 0 && (later >= overtaken || r.waits > 0 && age > patience*r.waits) {
			list = append(list, p)
		}
	}
	if len(list) == 0 {
		return nil, nil
	}
	waiting := map[part]bool{}
	rows, err := r.pool.Query(ctx, `SELECT args->>'run', (args->>'first')::integer, (args->>'beyond')::integer FROM secondpass_work.river_job WHERE state = 'available' AND args->>'run' = $1`, r.id)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var p part
		if err := rows.Scan(&p.Run, &p.First, &p.Beyond); err != nil {
			return nil, err
		}
		waiting[p] = true
	}
	return slices.DeleteFunc(list, func(p *sentPart) bool { return waiting[p.part] }), rows.Err()
}

// fetch looks for results that have come.
func (r *run) fetch(ctx context.Context) (came bool, err error) {
	var firsts, beyonds []int
	wanted := map[part]*sentPart{}
	for _, p := range r.parts {
		if !p.arrived {
			firsts, beyonds = append(firsts, p.First), append(beyonds, p.Beyond)
			wanted[p.part] = p
		}
	}
	if len(firsts) == 0 {
		return false, nil
	}
	rows, err := r.pool.Query(ctx, `SELECT p.first, p.beyond, p.result, p.failure, p.took FROM secondpass_work.part p JOIN unnest($2::integer[], $3::integer[]) AS want(first, beyond) USING (first, beyond) WHERE p.run = $1`, r.id, firsts, beyonds)
	if err != nil {
		return false, err
	}
	defer rows.Close()
	for rows.Next() {
		got, took := sentPart{part: part{Run: r.id}}, time.Duration(0)
		if err := rows.Scan(&got.First, &got.Beyond, &got.result, &got.failure, &took); err != nil {
			return false, err
		}
		p := wanted[got.part]
		p.arrived, p.result, p.failure, came = true, got.result, got.failure, true
		if _, before := r.known[p.First]; !before {
			r.perPiece = mean(r.perPiece, took/time.Duration(p.Beyond-p.First))
			r.waits = mean(r.waits, time.Since(p.last))
			if s := sim.StewardOf(ctx); s != nil {
				s.Spent(took)
			}
		}
	}
	return came, rows.Err()
}

// mean is a running mean with one more.
func mean(before, next time.Duration) time.Duration {
	if before == 0 {
		return next
	}
	return before + (next-before)/8
}

// take takes the results that are due; over says that nothing more is wanted.
func (r *run) take(ctx context.Context) (over bool, err error) {
	for len(r.parts) > 0 && r.parts[0].arrived {
		p := r.parts[0]
		r.parts = r.parts[1:]
		if p.failure != nil {
			return true, errors.New(*p.failure)
		}
		results, err := p.unpack(p.result)
		if err != nil {
			return true, fmt.Errorf("a part from a worker: %w", err)
		}
		for ; r.next < p.Beyond; r.next++ {
			if r.next >= r.pieces.To { // one that was done for a longer run
				return true, nil
			}
			result, err := r.pieces.Decode(results[r.next-p.First])
			if err == nil {
				err = r.pieces.Take(r.next, result)
			}
			if err != nil {
				return true, err
			}
			if stop := r.pieces.Look != nil && r.pieces.Look(r.next+1); stop || r.next+1 == r.pieces.To || ctx.Err() != nil {
				r.next++
				return stop || r.next == r.pieces.To, nil
			}
		}
	}
	return false, nil
}
