package sim

import (
	"context"
	"sync"
	"time"
)

// Gate lets long work step aside while somebody waits for something short, as a reader does for a page: half of the workers
// of the runs that have it rest between two pieces. It changes when work is done, never what comes of it.
type Gate struct {
	mu sync.Mutex
	// inside is who is waited for, since counts how often the last one left.
	inside, since int
	// open is closed while nobody is waited for; nil before the first.
	open chan struct{}
}

// gateLinger is how long the gate stays shut after the last one left: whoever reads a page asks for the next one soon.
const gateLinger = 300 * time.Millisecond

// Enter says that somebody waits; leave, to be called once, that it is over.
func (g *Gate) Enter() (leave func()) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.inside++; g.open == nil {
		g.open = make(chan struct{})
	}
	return g.leave
}

func (g *Gate) leave() {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.inside--
	g.since++
	if was := g.since; g.inside == 0 {
		time.AfterFunc(gateLinger, func() { g.reopen(was) })
	}
}

// reopen lets work go on if nobody came since.
func (g *Gate) reopen(was int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.inside == 0 && g.since == was && g.open != nil {
		close(g.open)
		g.open = nil
	}
}

// wait waits until nobody is waited for, or ctx ends.
func (g *Gate) wait(ctx context.Context) {
	g.mu.Lock()
	open := g.open
	g.mu.Unlock()
	if open == nil {
		return
	}
	select {
	case <-open:
	case <-ctx.Done():
	}
}

type gateKey struct{}

// WithGate is a context whose runs step aside at a gate.
func WithGate(ctx context.Context, g *Gate) context.Context {
	return context.WithValue(ctx, gateKey{}, g)
}

// gateOf is the gate of a context, or nil.
func gateOf(ctx context.Context) *Gate {
	g, _ := ctx.Value(gateKey{}).(*Gate)
	return g
}

// stepAside lets one of several workers rest while the gate of ctx is shut, if it is of the second half, and all of them while the
// steward of ctx holds them.
func stepAside(ctx context.Context, worker, workers int) {
	if s := StewardOf(ctx); s != nil {
		s.Hold(ctx)
	}
	if g := gateOf(ctx); g != nil && worker >= (workers+1)/2 {
		g.wait(ctx)
	}
}

// Steward oversees the pieces of the runs that have it. Its methods may be called by several goroutines.
type Steward interface {
	// Hold returns when a piece may begin, or ctx ends.
	Hold(ctx context.Context)
	// Spent is told how long a core had to do pieces.
	Spent(core time.Duration)
}

type stewardKey struct{}

// WithSteward is a context whose runs are overseen.
func WithSteward(ctx context.Context, s Steward) context.Context {
	return context.WithValue(ctx, stewardKey{}, s)
}

// StewardOf is the steward of a context, or nil.
func StewardOf(ctx context.Context) Steward {
	s, _ := ctx.Value(stewardKey{}).(Steward)
	return s
}

// spent tells the steward of ctx, if there is one.
func spent(ctx context.Context, core time.Duration) {
	if s := StewardOf(ctx); s != nil {
		s.Spent(core)
	}
}
