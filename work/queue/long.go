package queue

import (
	"context"
	"time"
)

// tellEvery is how often those who watch what runs on are told how it stands.
const tellEvery = 500 * time.Millisecond

// Seldom makes of publish one that is called as often as one likes: what is to be published is made, and told, only when some
// time has passed.
func Seldom(publish func(data any)) func(make func() any) {
	var told time.Time
	return func(make func() any) {
		if time.Since(told) > tellEvery {
			told = time.Now()
			publish(make())
		}
	}
}

// farewell is how long one who ends a job waits for what it has to be kept.
const farewell = 10 * time.Second

// KeepOn starts work that goes on without anybody watching until it is stopped. An error is why none may be begun now: see [Allowance].
func (j *Jobs) KeepOn(key string, do Work) error {
	started := false
	if err := j.Start(key, func(int, any) Work { started = true; return do }); err != nil || !started {
		return err
	}
	w := j.Find(key)
	leave := w.Watch()
	go func() {
		defer leave()
		w.over(context.Background())
	}()
	return nil
}

// over waits until a job does nothing any more, or ctx ends.
func (w *Job) over(ctx context.Context) {
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

// End stops the work of a key and waits until it is kept.
func (j *Jobs) End(key string) {
	if w := j.Find(key); w != nil {
		w.halt()
		ctx, cancel := context.WithTimeout(context.Background(), farewell)
		defer cancel()
		w.over(ctx)
	}
}

// Drain stops everything and waits until it is kept.
func (j *Jobs) Drain() {
	j.mu.Lock()
	var all []*Job
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
