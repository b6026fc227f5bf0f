package work

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"

	"secondpass/exercise"
)

// Repeats walks the deal of an exercise along several aims over fresh incoming tiles. Its result is an [exercise.Repeated].
type Repeats struct {
	// Exercise is the exercise file.
	Exercise json.RawMessage `json:"exercise"`
	// Aims are names of sections and hands, the plan of each route.
	Aims  [][]string `json:"aims"`
	Games int        `json:"games"`
}

// RepeatsOf is the work for an exercise.
func RepeatsOf(e *exercise.Exercise, aims [][]string, games int) (*Repeats, error) {
	var b strings.Builder
	err := e.Write(&b)
	return &Repeats{json.RawMessage(b.String()), aims, games}, err
}

// Kind is KindRepeats.
func (*Repeats) Kind() Kind { return KindRepeats }

// Do plays the games.
func (r *Repeats) Do(ctx context.Context, tell Tell) (any, error) {
	e, err := exercise.Read(bytes.NewReader(r.Exercise))
	if err != nil {
		return nil, err
	}
	return e.Repeat(ctx, r.Aims, r.Games, func(done int) { tell(Progress{Stage: "games", Done: done, Of: r.Games}) })
}
