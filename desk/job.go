package desk

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"secondpass/store"
	"secondpass/work"
)

// GoOn does work that takes minutes, of which there is nothing to show before its end: what was played is kept every few
// seconds and where ctx ends, and the same work, asked for again, goes on from there to the same result as in one go.
func GoOn[R any](ctx context.Context, d *Desk, w work.Work, tell work.Tell) (result R, err error) {
	key, err := jobKey(w)
	if err != nil {
		return result, err
	}
	job := d.unfinished(key, w)
	keep := func() error {
		data, err := job.Bytes()
		if err == nil {
			err = d.Files.Jobs.KeepJob(key, data)
		}
		if err != nil {
			return fmt.Errorf("what was played could not be kept: %w", err)
		}
		return nil
	}
	saved := time.Now()
	var trouble error
	result, err = work.Run[R](ctx, job, func(p work.Progress) (stop bool) {
		if time.Since(saved) > keepEvery && ctx.Err() == nil {
			trouble, saved = keep(), time.Now()
		}
		return trouble != nil || tell != nil && tell(p)
	})
	switch {
	case trouble != nil:
		return result, trouble
	case ctx.Err() != nil:
		if trouble := keep(); trouble != nil {
			return result, trouble
		}
		return result, err
	case err != nil:
		return result, err
	}
	return result, d.Files.Jobs.DropJob(key)
}

// unfinished is the job that was kept of a work, or a new one where nothing was that can be gone on with.
func (d *Desk) unfinished(key string, w work.Work) *work.Job {
	data, err := d.Files.Jobs.Job(key)
	if err != nil || data == nil {
		return work.New(w)
	}
	job, err := work.Read(data)
	if err != nil || job.Kind() != w.Kind() {
		return work.New(w)
	}
	job.Work = w // the same, with what is no part of its bytes
	return job
}

// jobKey stands for all that a job depends on, the program that does it among that.
func jobKey(w work.Work) (string, error) {
	data, err := json.Marshal(w)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\n%s\n%s", store.Program(), w.Kind(), data))
	return hex.EncodeToString(sum[:12]), nil
}
