package queue

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"
)

// turn is how much longer than another party one may have had a place before it makes room.
const turn = 3 * time.Second

// Room is in which the work of several parties runs, such as the teachers who share a machine. It has a number of places; those for whom
// none is left wait in line. A place goes to the party that has had places for the shortest time, within a party to what came first;
// and work that was begun makes room, between two pieces, for a party that has had less. So each party has an equal share, however much it
// asks for, as in fair queueing. Source: Goyal, Vin, Cheng, Start-time fair queueing, IEEE/ACM Transactions on Networking 5 (1997).
type Room struct {
	mu sync.Mutex
	// places is how many there are, each how many pieces of work of one party may have begun at once.
	places, each int
	taken        int
	// stays is all work that is in the room, in the order in which it came.
	stays []*stay
	// level is the least that a party in the room has had; counted is until when that is counted.
	level   time.Duration
	counted time.Time
}

// NewRoom is a room with so many places, in which each party may have so many pieces of work begun.
func NewRoom(places, each int) *Room { return &Room{places: places, each: each} }

// party is those who share what one party has.
type party struct {
	// had is for how long it has had places, as far as that matters still.
	had   time.Duration
	begun int
	// here is how much work of it is in the room.
	here int
}

// stay is a piece of work from when it came to the room until it leaves.
type stay struct {
	room  *Room
	party *party
	// placed is told where it stands in line, 0 when it has a place. It is called with the room held.
	placed func(inLine int)
	// has says that it has a place, away that it needs none now.
	has, begun, away bool
	inLine           int
	// ready is closed while it has a place.
	ready chan struct{}
}

// come puts work of a party into the line.
func (r *Room) come(p *party, placed func(inLine int)) *stay {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.count()
	if p.here++; p.here == 1 {
		p.had = max(p.had, r.level-turn) // what it did not use is not made up for, but for a turn
	}
	s := &stay{room: r, party: p, placed: placed, ready: make(chan struct{}), inLine: -1}
	r.stays = append(r.stays, s)
	r.arrange()
	return s
}

// leave ends it.
func (s *stay) leave() {
	r := s.room
	r.mu.Lock()
	defer r.mu.Unlock()
	r.count()
	s.vacate()
	if s.begun {
		s.party.begun--
	}
	s.party.here--
	r.stays = slices.DeleteFunc(r.stays, func(o *stay) bool { return o == s })
	r.arrange()
}

// wait waits for a place, or for the end of ctx, whose error it returns.
func (s *stay) wait(ctx context.Context) error {
	s.room.mu.Lock()
	ready := s.ready
	s.room.mu.Unlock()
	select {
	case <-ready:
		return nil
	default:
	}
	select {
	case <-ready:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// makeRoom gives the place to a party that has had less, if one waits.
func (s *stay) makeRoom() {
	r := s.room
	r.mu.Lock()
	defer r.mu.Unlock()
	if !s.has {
		return
	}
	r.count()
	if next := r.next(); next != nil && next.party != s.party && next.party.had+turn <= s.party.had {
		s.vacate()
		r.arrange()
	}
}

// elsewhere says that what follows is done by other machines: it has begun, but needs no place. back waits for one again.
func (s *stay) elsewhere() (back func(context.Context) error) {
	set := func(away bool) {
		s.room.mu.Lock()
		defer s.room.mu.Unlock()
		s.room.count()
		s.vacate()
		s.away = away
		s.room.arrange()
	}
	set(true)
	return func(ctx context.Context) error {
		set(false)
		return s.wait(ctx)
	}
}

// vacate takes the place back; the room is held.
func (s *stay) vacate() {
	if s.has {
		s.has = false
		s.room.taken--
		s.ready = make(chan struct{})
	}
}

// count adds up what parties have had until now. Who is far ahead of the others is as if a little ahead: what nobody else wanted is not
// to be paid for. The room is held.
func (r *Room) count() {
	now := time.Now()
	since := now.Sub(r.counted)
	r.counted = now
	least, most := time.Duration(-1), time.Duration(0)
	for _, s := range r.stays {
		if s.has {
			s.party.had += since
		}
	}
	for _, s := range r.stays {
		if !s.away && (least < 0 || s.party.had < least) {
			least = s.party.had
		}
		most = max(most, s.party.had)
	}
	if least < 0 { // nobody is there who could have more
		least = most
	}
	r.level = max(r.level, least)
	for _, s := range r.stays {
		s.party.had = min(s.party.had, r.level+2*turn)
	}
}

// next is whose turn it is among those who wait and may have a place, or nil; the room is held.
func (r *Room) next() (first *stay) {
	for _, s := range r.stays {
		if !s.has && !s.away && (s.begun || s.party.begun < r.each) && (first == nil || s.party.had < first.party.had) {
			first = s
		}
	}
	return first
}

// arrange gives free places away and tells everybody where they stand; the room is held.
func (r *Room) arrange() {
	for r.taken < r.places {
		s := r.next()
		if s == nil {
			break
		}
		if s.has = true; !s.begun {
			s.begun = true
			s.party.begun++
		}
		r.taken++
		close(s.ready)
	}
	for s, inLine := range r.line() {
		if s.inLine != inLine {
			s.inLine = inLine
			s.placed(inLine)
		}
	}
}

// line is where everybody stands: 0 for those who have what they need, then 1, 2, ... in the order in which they will go on as things are; the room is held.
func (r *Room) line() map[*stay]int {
	places, had := map[*stay]int{}, map[*party]time.Duration{}
	var wait []*stay
	for _, s := range r.stays {
		if had[s.party] = s.party.had; s.has || s.away {
			places[s] = 0
		} else {
			wait = append(wait, s)
		}
	}
	for n := 1; len(wait) > 0; n++ {
		first := 0
		for i, s := range wait {
			if had[s.party] < had[wait[first].party] {
				first = i
			}
		}
		s := wait[first]
		places[s] = n
		had[s.party] += turn
		wait = slices.Delete(wait, first, first+1)
	}
	return places
}

// inLine is where one stands in a queue, in words.
func inLine(n int) string {
	words := []string{"", "", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}
	switch {
	case n <= 1:
		return "next in the queue"
	case n < len(words):
		return words[n] + " in the queue"
	}
	return fmt.Sprintf("number %d in the queue", n)
}
