package web

import (
	"context"
	"time"
)

// farewell is how long one who ends a job waits for what it has to be kept.
const farewell = 10 * time.Second

// keepOn starts work that goes on without anybody watching until it is stopped.
func (j *jobs) keepOn(key string, do work) {
	started := false
	j.start(key, func(int, any) work { started = true; return do })
	if !started {
		return
	}
	w := j.find(key)
	leave := w.Watch()
	go func() {
		defer leave()
		w.over(context.Background())
	}()
}

// over waits until a job does nothing any more, or ctx ends.
func (w *job) over(ctx context.Context) {
	for {
		now, changed := w.Show()
		if !now.Active() {
			return
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return
		}
	}
}

// end stops the work of a key and waits until it is kept.
func (j *jobs) end(key string) {
	if w := j.find(key); w != nil {
		w.halt()
		ctx, cancel := context.WithTimeout(context.Background(), farewell)
		defer cancel()
		w.over(ctx)
	}
}

// drain stops everything and waits until it is kept.
func (j *jobs) drain() {
	j.mu.Lock()
	var all []*job
	for _, w := range j.byKey {
		all = append(all, w)
	}
	j.mu.Unlock()
	ctx, cancel := context.WithTimeout(context.Background(), farewell)
	defer cancel()
	for _, w := range all {
		w.halt()
		w.over(ctx)
	}
}
