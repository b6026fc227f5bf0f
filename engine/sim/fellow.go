package sim

import (
	"context"
	"encoding/json"
	"fmt"
)

// Circle is what joins processes that do the same work at once, each from the same beginning. Runs are numbered in the order in
// which each of them comes to them, which is the same for all.
type Circle interface {
	// Claim gives the number of the next piece of a run that none of them has taken, counted from 0.
	Claim(run int) int
	// Tell gives the result of a piece to all the others.
	Tell(piece Told)
	// Hear waits for what another one tells.
	Hear() Told
}

// Told is the result of a piece of a run, as JSON. Pieces are counted from the first of the run.
type Told struct {
	Run   int             `json:"run"`
	Piece int             `json:"piece"`
	Data  json.RawMessage `json:"data"`
}

// Fellow is a runner for processes without memory in common, the workers of a web page: each does the whole of the work, but of every
// run only the pieces that it has claimed, and takes those of the others from what they tell. All come to the same, whichever of
// them did what. One that is ended leaves the others waiting.
type Fellow struct {
	Circle Circle
	runs   int
	// heard is what was told, by run and piece: others may be ahead.
	heard map[[2]int]json.RawMessage
}

// Do does the pieces that it claims, and takes all in their order.
func (f *Fellow) Do(ctx context.Context, p *Pieces) (next int, err error) {
	run := f.runs
	f.runs++
	do, err := p.Worker()
	if err != nil {
		return p.From, err
	}
	own := map[int]any{}
	more := true // may be claimed
	for next = p.From; next < p.To; {
		if ctx.Err() != nil {
			return next, nil
		}
		result, there, err := f.due(run, next, p, own)
		if err != nil {
			return next, err
		}
		if there {
			over, err := p.take(next, result)
			if next++; over || err != nil {
				return next, err
			}
			continue
		}
		if more {
			piece := p.From + f.Circle.Claim(run)
			if more = piece < p.To; !more {
				continue
			}
			if own[piece], err = do(ctx, piece); err != nil {
				return next, cut(ctx, err)
			}
			if err := f.tell(run, piece-p.From, own[piece]); err != nil {
				return next, err
			}
			continue
		}
		f.keep(f.Circle.Hear())
	}
	return next, nil
}

// due is the result of the next piece, where there is one by now.
func (f *Fellow) due(run, next int, p *Pieces, own map[int]any) (result any, there bool, err error) {
	if result, there = own[next]; there {
		delete(own, next)
		return result, true, nil
	}
	at := [2]int{run, next - p.From}
	data, there := f.heard[at]
	if !there {
		return nil, false, nil
	}
	delete(f.heard, at)
	result, err = p.Decode(data)
	return result, true, err
}

func (f *Fellow) tell(run, piece int, result any) error {
	data, err := json.Marshal(result)
	if err != nil {
		return fmt.Errorf("piece %d of run %d: %w", piece, run, err)
	}
	f.Circle.Tell(Told{run, piece, data})
	return nil
}

func (f *Fellow) keep(t Told) {
	if f.heard == nil {
		f.heard = map[[2]int]json.RawMessage{}
	}
	f.heard[[2]int{t.Run, t.Piece}] = t.Data
}
