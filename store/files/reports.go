package files

import (
	"encoding/json"
	"errors"
	"os"
	"time"

	"secondpass/research/cardreport"
)

// reports is the counts of card reports: reports/KEY.json.
type reports struct{ room Room }

func (r reports) path(key string) string { return "reports/" + key + ".json" }

// Counts is what was last kept, or nil where nothing is that this version can go on with.
func (r reports) Counts(key string) (*cardreport.Counts, error) {
	data, err := r.room.Read(r.path(key))
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	c := &cardreport.Counts{}
	if err := json.Unmarshal(data, c); err != nil || c.Tally == nil {
		return nil, nil // of another version, or damaged: it is counted anew
	}
	return c, nil
}

// SaveCounts keeps counts in place of what was there.
func (r reports) SaveCounts(key string, c *cardreport.Counts) error {
	data, err := json.Marshal(c)
	if err != nil {
		return err
	}
	return r.room.Write(r.path(key), data)
}

// Changed is when counts were last kept.
func (r reports) Changed(key string) (time.Time, error) {
	file, err := r.room.Look(r.path(key))
	if errors.Is(err, os.ErrNotExist) {
		return time.Time{}, nil
	}
	if err != nil {
		return time.Time{}, err
	}
	return file.Changed, nil
}
