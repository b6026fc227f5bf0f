package advice

import (
	"context"
	"reflect"
	"testing"

	"secondpass/exercise"
)

// still is a shelf on which nothing may be put any more.
type still struct {
	shelfOf
	t *testing.T
}

func (s still) Put(key string, _ []byte) {
	s.t.Errorf("%s was put on the shelf though nothing may be played", key)
}

// recallOn is the review of a route by the games on a shelf, as another program finds it: nothing is played, nor waited for.
func recallOn(t *testing.T, c *Counsel, games Shelf, e *exercise.Exercise) Recalled {
	t.Helper()
	again := *c
	again.Games, again.Shelf = still{games.(shelfOf), t}, still{shelfOf{}, t}
	again.Waits = func(context.Context) { t.Error("games were played to recall some") }
	rec, err := again.RecallReview(e, e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// recalls checks that a review is found again as it was; without the games of one decision it ends before
// that.
func recalls(t *testing.T, c *Counsel, e *exercise.Exercise, rev *Review, budget int) {
	t.Helper()
	shelf := c.Games.(shelfOf)
	rec := recallOn(t, c, shelf, e)
	if rec.Part || rec.Games != budget || !reflect.DeepEqual(rec.Review, rev) {
		t.Errorf("recalled with %d games, part %t:\n%+v\nwhere it was\n%+v", rec.Games, rec.Part, rec.Review, rev)
	}
	trail, err := e.Replay(e.Routes[0])
	if err != nil {
		t.Fatal(err)
	}
	const gone = 3
	less := shelfOf{}
	for key, data := range shelf {
		if key != c.decided(&trail.Snapshots[gone].View).key {
			less[key] = data
		}
	}
	part := recallOn(t, c, less, e)
	if !part.Part || part.Review == nil || len(part.Entries) != gone-1 || part.End != rev.Entries[gone-1].Before {
		t.Errorf("without the games of decision %d: %+v", gone, part)
	} else {
		telescopes(t, part.Review)
	}
	if none := recallOn(t, c, shelfOf{}, e); none.Review != nil {
		t.Errorf("recalled of nothing: %+v", none)
	}
}
