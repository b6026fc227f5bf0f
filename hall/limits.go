package hall

import (
	"context"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Limits bounds how often something happens: for each address (or phone), and for all together where that is set. Its
// methods may be called by several goroutines.
type Limits struct {
	each  rate.Limit
	burst int
	all   *rate.Limiter
	now   func() time.Time

	mu sync.Mutex
	by map[string]*rate.Limiter
}

// addressesKept bounds the memory that addresses take.
const addressesKept = 4096

// NewLimits lets each address do something burst times at once and then each times a second. all bounds all addresses
// together; nil for no such bound.
func NewLimits(each rate.Limit, burst int, all *rate.Limiter, now func() time.Time) *Limits {
	return &Limits{each: each, burst: burst, all: all, now: now, by: map[string]*rate.Limiter{}}
}

// newGuesses bounds wrong codes; right ones are not counted. There are 5.2 million codes: with one class open, sixty
// wrong ones a minute take a month to come to an even chance of a right one.
func newGuesses(now func() time.Time) *Limits {
	return NewLimits(rate.Every(6*time.Second), 10, rate.NewLimiter(rate.Every(time.Second), 120), now)
}

// arriveWithin is the longest that somebody who joins is made to wait.
const arriveWithin = time.Minute

// newJoins bounds how fast names come from one address: the 500 of a hall behind one address are in within 50 seconds,
// and somebody who makes names up is seen before the class is full.
func newJoins(now func() time.Time) *Limits { return NewLimits(10, 30, nil, now) }

// newTaps bounds how often one student sends.
func newTaps(now func() time.Time) *Limits { return NewLimits(rate.Limit(10), 100, nil, now) }

// May says whether an address may do it now, and takes nothing. One that has taken nothing yet may: what all together
// have left is for those who took before.
func (l *Limits) May(address string) bool {
	now := l.now()
	l.mu.Lock()
	own, known := l.by[address]
	l.mu.Unlock()
	return !known || own.TokensAt(now) >= 1 && (l.all == nil || l.all.TokensAt(now) >= 1)
}

// Take takes one from what the address has left. ok is false where nothing is; refund gives it back.
func (l *Limits) Take(address string) (refund func(), ok bool) {
	now := l.now()
	own := l.own(address, now)
	mine, ok := takeNow(own, now)
	if !ok {
		return nil, false
	}
	if l.all == nil {
		return mine, true
	}
	ours, ok := takeNow(l.all, now)
	if !ok {
		mine()
		return nil, false
	}
	return func() { mine(); ours() }, true
}

// own is the limiter of an address.
func (l *Limits) own(address string, now time.Time) *rate.Limiter {
	l.mu.Lock()
	defer l.mu.Unlock()
	own, known := l.by[address]
	if !known {
		l.makeRoom(now)
		own = rate.NewLimiter(l.each, l.burst)
		l.by[address] = own
	}
	return own
}

// Wait waits until an address may do it and takes one. Where that is after the end of ctx it is an error at once. Those
// who wait take their turns by this machine's time.
func (l *Limits) Wait(ctx context.Context, address string) error {
	return l.own(address, l.now()).Wait(ctx)
}

// takeNow takes one of a limiter if that needs no waiting.
func takeNow(l *rate.Limiter, now time.Time) (refund func(), ok bool) {
	r := l.ReserveN(now, 1)
	if !r.OK() || r.DelayFrom(now) > 0 {
		r.CancelAt(now)
		return nil, false
	}
	return func() { r.CancelAt(now) }, true
}

// makeRoom forgets addresses that have everything left, and if that does not help all of them; l.mu is held.
func (l *Limits) makeRoom(now time.Time) {
	if len(l.by) < addressesKept {
		return
	}
	for a, own := range l.by {
		if own.TokensAt(now) >= float64(l.burst) {
			delete(l.by, a)
		}
	}
	if len(l.by) >= addressesKept {
		clear(l.by)
	}
}
