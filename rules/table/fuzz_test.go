package table

import (
	"math/rand/v2"
	"path/filepath"
	"reflect"
	"testing"

	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// recorded plays a game by seekers and keeps the record.
func recorded(t *testing.T, g *Game, p *seeker) (*Record, State) {
	t.Helper()
	racks, wall := Deal(g.Set(), p.rng)
	s, err := g.Start(racks, wall)
	if err != nil {
		t.Fatal(err)
	}
	r := &Record{Game: g, Racks: racks, Wall: wall}
	do := func(a Action) {
		apply(t, &s, a)
		r.Actions = append(r.Actions, a)
	}
	for s.phase != Over {
		if s.phase == Discarding {
			do(p.turn(s.View(s.turn)))
			continue
		}
		first := s.turn + 1
		for i := range charleston.Seat(charleston.Seats - 1) {
			if seat := (first + i) % charleston.Seats; s.Waits(seat) {
				do(p.answer(s.View(seat)))
			}
		}
	}
	return r, s
}

// A record is the same after it is written and read, and leads to the same end.
func TestRecordRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	for _, g := range []*Game{lantern(), trial(), readGame("testdata/trial.card", house.House{})} {
		p := newSeeker(g, rng)
		for n := range 60 {
			p.mistakes = n%3 == 0
			r, s := recorded(t, g, p)
			text, err := r.Text()
			if err != nil {
				t.Fatal(err)
			}
			read, err := ReadRecord(text, func(Head) (*Game, error) { return g, nil })
			if err != nil {
				t.Fatalf("%v in\n%s", err, text)
			}
			if !reflect.DeepEqual(read, r) {
				t.Fatalf("read %v, written %v", read.Actions, r.Actions)
			}
			if end, err := read.Replay(); err != nil || end != s {
				t.Fatalf("%v: another end of\n%s", err, text)
			}
		}
	}
}

// No text makes the reader panic, and what it takes it writes and reads again.
func FuzzReadRecord(f *testing.F) {
	files, err := filepath.Glob("testdata/*.game")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		f.Add(readFile(&testing.T{}, filepath.Base(file[:len(file)-len(".game")])))
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := ReadRecord(text, find)
		if err != nil {
			return
		}
		written, err := r.Text()
		if err != nil {
			t.Fatal(err)
		}
		again, err := ReadRecord(written, find)
		if err != nil {
			t.Fatalf("%v in\n%s", err, written)
		}
		if !reflect.DeepEqual(again.Actions, r.Actions) {
			t.Fatalf("read again: %v", again.Actions)
		}
	})
}

// Whatever is tried in whatever order, nothing panics, an error leaves the state as it was, and what is taken
// keeps all tiles. A byte below 128 chooses among the legal actions, four others make up an action.
func FuzzApply(f *testing.F) {
	f.Add(uint64(1), []byte{0, 1, 2, 3, 200, 5, 22, 17, 4, 0, 0, 0, 0})
	f.Add(uint64(2), []byte{130, 4, 9, 52, 1, 1, 1, 1, 0, 0, 0, 127, 127, 127})
	f.Add(uint64(3), []byte{7, 0, 129, 5, 12, 34, 0, 3, 141, 5, 12, 35, 2, 1})
	f.Fuzz(func(t *testing.T, seed uint64, choices []byte) {
		g := trial()
		s, err := g.Start(Deal(g.Set(), rand.New(rand.NewPCG(seed, 0))))
		if err != nil {
			t.Fatal(err)
		}
		for len(choices) >= 4 {
			var a Action
			if c := choices[0]; c < 128 {
				choices = choices[1:]
				seat := charleston.Seat(c % charleston.Seats)
				legal := s.Legal(seat)
				if len(legal) == 0 {
					continue
				}
				a = legal[int(c/charleston.Seats)%len(legal)]
			} else {
				a = Action{Seat: charleston.Seat(c % 5), Kind: ActionKind(choices[1] % 8), Tile: tile.Kind(choices[2] % 40),
					From: charleston.Seat(choices[3] % 5), Size: choices[3] >> 4, Jokers: choices[3] & 15}
				if choices[2] >= 200 && s.thrown > 0 {
					a.Tile = s.waiting()
				}
				choices = choices[4:]
			}
			before := s
			if check, err := s.Check(a), s.Apply(a); err != nil && (check == nil || s != before) {
				t.Fatalf("%v: check %v, error %v, changed %t", a, check, err, s != before)
			}
			checkState(t, &s)
		}
	})
}
