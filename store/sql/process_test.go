//go:build unix

package sql

import (
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"secondpass/store"
)

// processes are so many on one database, with a teacher in it; each has its own connections, as programs have.
func processes(t *testing.T, many int) (owner string, teacher int64, all []*Process) {
	t.Helper()
	owner, serve := newDatabase(t, true)
	for i := range many {
		p, err := connected(t, serve, "").Join(fmt.Sprintf("127.0.0.1:%d", 7000+i))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(p.Leave)
		all = append(all, p)
	}
	teacher, err := all[0].d.AddTeacher()
	if err != nil {
		t.Fatal(err)
	}
	return owner, teacher, all
}

// taken is a workbook that is had, and what says that it was lost.
func taken(t *testing.T, p *Process, teacher int64) (*Store, <-chan struct{}) {
	t.Helper()
	lost := make(chan struct{})
	s, elsewhere, err := p.Take(teacher, func() { close(lost) })
	if err != nil || elsewhere != nil {
		t.Fatal(elsewhere, err)
	}
	return s, lost
}

// awaited waits for what must come.
func awaited(t *testing.T, what string, c <-chan struct{}) {
	t.Helper()
	select {
	case <-c:
	case <-time.After(5 * time.Minute): // only bounds a test that hangs
		t.Fatal(what)
	}
}

// Of several that take one workbook at once one has it, and the others are told where it is.
func TestOneTakesAWorkbook(t *testing.T) {
	_, teacher, ps := processes(t, 3)
	var all sync.WaitGroup
	var mu sync.Mutex
	mine, at := 0, map[Peer]int{}
	for _, p := range ps {
		all.Go(func() {
			s, elsewhere, err := p.Take(teacher, func() {})
			mu.Lock()
			defer mu.Unlock()
			switch {
			case err != nil:
				t.Error(err)
			case s != nil:
				mine++
				at[Peer{p.address, p.secret}]++
			default:
				at[*elsewhere]++
			}
		})
	}
	all.Wait()
	if mine != 1 || len(at) != 1 {
		t.Errorf("%d have it, and it is said to be at %v", mine, at)
	}
	if _, _, err := ps[0].Take(teacher+1, func() {}); !errors.Is(err, store.ErrNoTeacher) {
		t.Errorf("of a teacher who is not there: %v", err)
	}
}

// One that has lost its workbook without knowing keeps nothing in it any more; what it kept before, the other finds.
func TestWhoHasLostAWorkbookKeepsNothing(t *testing.T) {
	_, teacher, ps := processes(t, 2)
	first, lost := taken(t, ps[0], teacher)
	if _, err := first.AddStudent("Ana"); err != nil {
		t.Fatal(err)
	}
	ps[0].Leave() // as the server sees one that was killed: its lock is free
	second, _ := taken(t, ps[1], teacher)
	if _, err := first.AddStudent("Bea"); !errors.Is(err, store.ErrElsewhere) {
		t.Errorf("the one that lost it keeps a student: %v", err)
	}
	awaited(t, "it is not told that it lost it", lost)
	if _, err := second.AddStudent("Cora"); err != nil {
		t.Error(err)
	}
	all, err := second.Students()
	if err != nil || len(all) != 2 || all[0].Name != "Ana" || all[1].Name != "Cora" {
		t.Errorf("%v %v", all, err)
	}
	// Given back it is free, and whoever gave it back keeps nothing either.
	if err := ps[1].GiveBack(second); err != nil {
		t.Fatal(err)
	}
	if _, err := second.AddStudent("Dora"); !errors.Is(err, store.ErrElsewhere) {
		t.Errorf("after it was given back: %v", err)
	}
}

// One whose connection ends takes its lock again and goes on where nobody has taken its workbooks, and is told of those that somebody
// has; while the server restarts it is the same.
func TestLockIsTakenAgain(t *testing.T) {
	owner, teacher, ps := processes(t, 2)
	p := ps[0]
	another, err := p.d.AddTeacher()
	if err != nil {
		t.Fatal(err)
	}
	stays, _ := taken(t, p, teacher)
	_, lost := taken(t, p, another)
	execute(t, owner, fmt.Sprintf(`UPDATE teachers SET process = 1, lease = lease + 1 WHERE id = %d`, another)) // as one does that found no lock
	p.mu.Lock()
	before := p.held
	p.mu.Unlock()
	execute(t, server.Start(t).URL, fmt.Sprintf(`SELECT pg_terminate_backend(pid) FROM pg_locks WHERE locktype = 'advisory' AND (classid::bigint << 32) + objid::bigint = %d`, p.id))
	awaited(t, "it is not told of the one that it lost", lost)
	p.mu.Lock()
	after := p.held
	p.mu.Unlock()
	if before == after {
		t.Error("the lock is not another")
	}
	if _, err := stays.AddStudent("Ana"); err != nil {
		t.Errorf("the one that nobody has taken: %v", err)
	}
	if _, at, err := ps[1].Take(teacher, func() {}); err != nil || at == nil || *at != (Peer{p.address, p.secret}) {
		t.Errorf("it is said to be at %v: %v", at, err)
	}
	if at, err := ps[1].Other(); err != nil || at == nil || at.Address != p.address {
		t.Errorf("the other is %v: %v", at, err)
	}
	p.Leave()
	if at, err := ps[1].Other(); err != nil || at != nil {
		t.Errorf("there is nobody else, not %v: %v", at, err)
	}
}
