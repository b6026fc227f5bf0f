package sql

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"strconv"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"secondpass/store"
)

// Process is one of the programs that serve a database together. Each workbook is open in one of them at a time: in that which has
// taken its lease. It lives, for the others, as long as it holds the advisory lock of its number on a connection of its own, which the
// server lets go when the connection ends.
//
// That one has lost its lock it may come to know late. What keeps two from writing to one workbook is the number of the lease, which
// every change of the workbook checks in the row by which changes wait for each other: see [Process.Take].
type Process struct {
	d  *Database
	id int64
	// address is by which others reach it, secret by which it knows them.
	address, secret string
	stop            context.CancelFunc
	ended           chan struct{}

	mu sync.Mutex
	// held is closed while the lock is held.
	held   chan struct{}
	leases map[int64]leased // by teacher
}

// leased is a lease of this process by its number; lost is told that another has taken it.
type leased struct {
	number int64
	lost   func()
}

// Peer is another process, by where it is reached and what lets a request of this one in there.
type Peer struct{ Address, Secret string }

const (
	// lives is how often the connection that holds the lock is asked whether it still does, and how long that may take.
	lives = 2 * time.Second
	// lockAgain is how soon one that was lost is sought again.
	lockAgain = 50 * time.Millisecond
	// aside is how long one that does not hold its lock waits for it before it says that the database is away.
	aside = 5 * time.Second
)

// Join makes this program one of those that serve the database, by an address at which the others reach it.
func (d *Database) Join(address string) (*Process, error) {
	ctx, stop := context.WithCancel(context.Background())
	p := &Process{d: d, id: newID(), address: address, secret: rand.Text(), stop: stop, ended: make(chan struct{}), held: make(chan struct{}), leases: map[int64]leased{}}
	conn, err := p.lock(ctx)
	if err != nil {
		stop()
		return nil, told(err)
	}
	go p.hold(ctx, conn)
	return p, nil
}

// Secret is what lets requests of the other processes in here.
func (p *Process) Secret() string { return p.secret }

// lock takes the lock on a new connection, and tells the others where this process is. Of a connection to a machine that is gone the
// server hears within seconds.
func (p *Process) lock(ctx context.Context) (conn *pgx.Conn, err error) {
	short, cancel := context.WithTimeout(ctx, aside)
	defer cancel()
	if conn, err = pgx.ConnectConfig(short, p.d.config); err != nil {
		return nil, err
	}
	for _, statement := range []string{`SET tcp_keepalives_idle = 3`, `SET tcp_keepalives_interval = 2`, `SET tcp_keepalives_count = 2`,
		`SELECT pg_advisory_lock(` + strconv.FormatInt(p.id, 10) + `)`} {
		if err == nil {
			_, err = conn.Exec(short, statement)
		}
	}
	if err == nil {
		_, err = conn.Exec(short, `DELETE FROM processes WHERE id <> $1 AND pg_try_advisory_xact_lock_shared(id)`, p.id) // those that have ended
	}
	if err == nil {
		_, err = conn.Exec(short, `INSERT INTO processes (id, address, secret, began) VALUES ($1, $2, $3, $4) ON CONFLICT (id) DO NOTHING`, p.id, p.address, p.secret, micro(p.d.Now()))
	}
	if err == nil {
		err = p.compare(short, conn)
	}
	if err != nil {
		conn.Close(context.Background())
		return nil, err
	}
	return conn, nil
}

// compare gives up the leases that others have taken while the lock was not held, and lets work go on.
func (p *Process) compare(ctx context.Context, conn *pgx.Conn) error {
	rows, err := conn.Query(ctx, `SELECT id, lease FROM teachers WHERE process = $1`, p.id)
	if err != nil {
		return err
	}
	type pair struct{ Teacher, Lease int64 }
	ours, err := pgx.CollectRows(rows, pgx.RowToStructByPos[pair])
	if err != nil {
		return err
	}
	kept := map[int64]int64{}
	for _, o := range ours {
		kept[o.Teacher] = o.Lease
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	for teacher, own := range p.leases {
		if kept[teacher] != own.number {
			p.forget(teacher, own.number)
		}
	}
	close(p.held)
	return nil
}

// forget says that a lease is another's; p.mu is held.
func (p *Process) forget(teacher, number int64) {
	if own := p.leases[teacher]; own.number == number {
		delete(p.leases, teacher)
		go own.lost()
	}
}

// hold keeps the lock until ctx ends.
func (p *Process) hold(ctx context.Context, conn *pgx.Conn) {
	defer close(p.ended)
	for {
		p.listen(ctx, conn)
		if ctx.Err() != nil {
			p.unlock(conn)
			return
		}
		conn.Close(context.Background())
		p.mu.Lock()
		p.held = make(chan struct{})
		p.mu.Unlock()
		var err error
		for conn, err = p.lock(ctx); err != nil; conn, err = p.lock(ctx) {
			select {
			case <-ctx.Done():
				return
			case <-time.After(lockAgain):
			}
		}
	}
}

// unlock ends the lock and the connection; what cannot be said to the server any more it sees by their end.
func (p *Process) unlock(conn *pgx.Conn) {
	short, cancel := context.WithTimeout(context.Background(), lives)
	defer cancel()
	_, _ = conn.Exec(short, `DELETE FROM processes WHERE id = $1`, p.id)
	_, _ = conn.Exec(short, `SELECT pg_advisory_unlock($1)`, p.id)
	conn.Close(short)
}

// listen returns when the connection has ended, which it hears at once, or does not answer.
func (p *Process) listen(ctx context.Context, conn *pgx.Conn) {
	for ctx.Err() == nil {
		short, cancel := context.WithTimeout(ctx, lives)
		_, err := conn.WaitForNotification(short) // there is none: an end of the connection ends the wait
		cancel()
		if conn.IsClosed() || ctx.Err() != nil {
			return
		}
		if err == nil {
			continue
		}
		short, cancel = context.WithTimeout(ctx, lives)
		err = conn.Ping(short)
		cancel()
		if err != nil {
			return
		}
	}
}

// Leave ends the process for the others; leases that it has not given back can be taken by any.
func (p *Process) Leave() {
	p.stop()
	<-p.ended
}

// ready waits until the lock is held.
func (p *Process) ready() error {
	p.mu.Lock()
	held := p.held
	p.mu.Unlock()
	select {
	case <-held:
		return nil
	case <-p.ended:
		return errors.New("the program is ending")
	case <-time.After(aside):
		return &store.Trouble{What: store.ErrAway, Cause: errors.New("the lock of this process is not held")}
	}
}

// Take opens the workbook of a teacher here, unless it is open in another process that lives: then elsewhere is that one.
// store.ErrNoTeacher where there is no such teacher. lost is told, by a goroutine of its own, where another process has taken it
// meanwhile.
//
// The store keeps nothing from then on: store.ErrElsewhere. What it kept before is read by the other.
func (p *Process) Take(teacher int64, lost func()) (mine *Store, elsewhere *Peer, err error) {
	if err := p.ready(); err != nil {
		return nil, nil, err
	}
	var number int64
	err = p.d.Within(func(tx *sql.Tx) error {
		elsewhere = nil
		var in int64
		// Several that take one wait for each other here.
		err := tx.QueryRow(`UPDATE teachers SET lease = lease WHERE id = $1 RETURNING process`, teacher).Scan(&in)
		if errors.Is(err, sql.ErrNoRows) {
			return store.ErrNoTeacher
		}
		if err == nil && in != 0 && in != p.id {
			elsewhere, err = alive(tx, in)
		}
		if err != nil || elsewhere != nil {
			return err
		}
		return tx.QueryRow(`UPDATE teachers SET process = $1, lease = lease + 1 WHERE id = $2 RETURNING lease`, p.id, teacher).Scan(&number)
	})
	if err != nil || elsewhere != nil {
		return nil, elsewhere, told(err)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.leases[teacher] = leased{number, lost}
	return &Store{Database: p.d, teacher: teacher, lease: number, taken: func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.forget(teacher, number)
	}}, nil, nil
}

// alive is a process that holds its lock, nil where it does not.
func alive(tx *sql.Tx, id int64) (*Peer, error) {
	var over bool
	if err := tx.QueryRow(`SELECT pg_try_advisory_xact_lock_shared($1)`, id).Scan(&over); err != nil || over {
		return nil, err
	}
	var at Peer
	err := tx.QueryRow(`SELECT address, secret FROM processes WHERE id = $1`, id).Scan(&at.Address, &at.Secret)
	if errors.Is(err, sql.ErrNoRows) { // it has just come back, and says soon where it is
		return nil, &store.Trouble{What: store.ErrBusy, Cause: err}
	}
	return &at, err
}

// Other is another process that lives, nil where this one is alone.
func (p *Process) Other() (other *Peer, err error) {
	err = p.d.Reading(func(tx *sql.Tx) error {
		ids, err := numbers(tx.Query(`SELECT id FROM processes WHERE id <> $1 ORDER BY began DESC`, p.id))
		for _, id := range ids {
			if err == nil && other == nil {
				other, err = alive(tx, id)
			}
		}
		return err
	})
	return other, told(err)
}

// GiveBack closes a workbook that this process has taken, so that any process may take it.
func (p *Process) GiveBack(mine *Store) error {
	p.mu.Lock()
	own := p.leases[mine.teacher]
	if own.number == mine.lease {
		delete(p.leases, mine.teacher)
	}
	p.mu.Unlock()
	return p.d.Within(func(tx *sql.Tx) error {
		_, err := tx.Exec(`UPDATE teachers SET process = 0, lease = lease + 1 WHERE id = $1 AND lease = $2`, mine.teacher, mine.lease)
		return err
	})
}
