package files

import (
	"errors"
	"os"
)

// jobs is work that was stopped: unfinished/KEY.json.
type jobs struct{ room Room }

func (j jobs) path(key string) string { return "unfinished/" + key + ".json" }

// Job is what was kept, or nil.
func (j jobs) Job(key string) ([]byte, error) {
	data, err := j.room.Read(j.path(key))
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	return data, err
}

// KeepJob keeps a job in place of what was there.
func (j jobs) KeepJob(key string, data []byte) error { return j.room.Write(j.path(key), data) }

// DropJob removes a job, if it is there.
func (j jobs) DropJob(key string) error {
	if err := j.room.Remove(j.path(key)); !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}
