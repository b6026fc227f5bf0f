package workers

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
)

// Standing is how things are at a database: who is there, and what is under way.
type Standing struct {
	Members []Member `json:"members"`
	Runs    []Run    `json:"under_way"`
}

// Run is one run of a job that is under way: a job may have several, one after the other.
type Run struct {
	// Kind is that of the job.
	Kind string `json:"kind"`
	// Pieces is how many pieces there are of it, Done how many of them are worked out. A piece of an experiment is 64 deals.
	Pieces int `json:"pieces"`
	Done   int `json:"done"`
	// Parts is how many parts workers have in hand.
	Parts int `json:"parts"`
	// Rate is how many pieces are worked out a second, over the last two minutes at most; Left how many seconds the rest takes at that
	// rate. Both are 0 as long as no piece is done.
	Rate float64 `json:"pieces_a_second"`
	Left float64 `json:"seconds_left"`
	// Asked says that somebody waits for it now; else it was stopped and can be gone on with.
	Asked bool `json:"asked"`
	// Begun is when it was begun or last gone on with.
	Begun time.Time `json:"begun"`
}

// rated is over how long a rate is taken.
const rated = 2 * time.Minute

// Look is how things are at the database of an address.
func Look(ctx context.Context, url string) (*Standing, error) {
	pool, err := open(ctx, url)
	if err != nil {
		return nil, err
	}
	defer pool.Close()
	if err := ready(ctx, pool); err != nil {
		return nil, err
	}
	s := &Standing{}
	if s.Members, err = members(ctx, pool); err == nil {
		s.Runs, err = runs(ctx, pool)
	}
	return s, err
}

// runs are what is under way, what was begun last first.
func runs(ctx context.Context, pool *pgxpool.Pool) ([]Run, error) {
	rows, err := pool.Query(ctx, `SELECT r.kind, r.beyond - r.first,
		coalesce((SELECT sum(least(p.beyond, r.beyond) - greatest(p.first, r.first)) FROM secondpass_work.part p WHERE p.run = r.id AND p.beyond > r.first AND p.first < r.beyond), 0),
		coalesce((SELECT sum(p.beyond - p.first) FROM secondpass_work.part p WHERE p.run = r.id AND p.came > greatest(r.begun, now() - $1::interval)), 0),
		extract(epoch FROM now() - greatest(r.begun, now() - $1::interval))::float8,
		(SELECT count(*) FROM secondpass_work.river_job j WHERE j.state = 'running' AND j.args->>'run' = r.id),
		r.touched > now() - $2::interval, r.begun
		FROM secondpass_work.run r ORDER BY r.begun DESC, r.id`, rated, gone)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	all := []Run{}
	for rows.Next() {
		var r Run
		fresh, over := 0, 0.
		if err := rows.Scan(&r.Kind, &r.Pieces, &r.Done, &fresh, &over, &r.Parts, &r.Asked, &r.Begun); err != nil {
			return nil, err
		}
		r.Done = min(r.Done, r.Pieces) // parts of two sizes may be there of one that was gone on with
		if fresh > 0 && over > 0 {
			r.Rate = float64(fresh) / over
			r.Left = float64(r.Pieces-r.Done) / r.Rate
		}
		all = append(all, r)
	}
	return all, rows.Err()
}
