package hall_test

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"secondpass/hall"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/class"
)

var (
	randomRounds = flag.Int("rounds", 2000, "rounds of mixed work with writes that fail at random")
	randomSeed   = flag.Uint64("seed", 1, "seed of the mixed work")
)

// errAtRandom is a write that fails for a moment.
var errAtRandom = &store.Trouble{What: store.ErrFull, Cause: errors.New("at random")}

// TestRandomFaults is mixed work on classes of both kinds: students join, vote, change their minds, send again, are taken
// out; the teacher opens and closes votes, follows answers, lets in and keeps out; the program ends and starts, also in
// the middle of a write. A third of the time one write of three fails. After each round what is shown is what is on the
// disk, and both are what was acknowledged: nothing less, nothing more, nothing twice.
func TestRandomFaults(t *testing.T) {
	const ofOneClass = 100
	did := map[string]int{}
	for i := range uint64((*randomRounds + ofOneClass - 1) / ofOneClass) {
		synctest.Test(t, func(t *testing.T) {
			w := newWork(t, *randomSeed+i)
			defer func() { w.disk.fail(nil); w.stop() }()
			for range ofOneClass {
				w.round()
				if t.Failed() {
					t.Fatalf("seed %d, after %s", *randomSeed+i, strings.Join(w.done, ", "))
				}
			}
			w.replays()
			for _, what := range w.done {
				did[what]++
			}
		})
	}
	for _, what := range []string{"join", "vote", "vote refused", "decide", "decide refused", "close", "follow", "restart", "remove", "let in", "judge"} {
		if did[what] == 0 && *randomRounds >= 2000 {
			t.Errorf("in %d rounds there was no %q: %v", *randomRounds, what, did)
		}
	}
	t.Logf("%d rounds: %v", *randomRounds, did)
}

// replays plays the class again from its record, whatever happened in it: the record of that is the same to the byte.
func (w *work) replays() {
	now := w.room.Now()
	var record, again bytes.Buffer
	if err := now.Write(&record, "Monday"); err != nil {
		w.T.Fatal(err)
	}
	text := record.String()
	played, about, err := class.Replay(&record)
	if err == nil {
		err = played.Write(&again, about)
	}
	if err != nil || again.String() != text {
		w.T.Errorf("played again from its record: %v\n%s\nwanted\n%s", err, again.String(), text)
	}
}

// work is a class, and what was acknowledged in it.
type work struct {
	*building
	r       *rand.Rand
	mode    class.Mode
	done    []string
	names   map[int]string
	tokens  map[int]string
	joined  int
	seq     int64
	votes   map[int]map[int]class.Vote // by round and student
	decided map[int][]class.Choice
	follows map[int]int // how many by round
	judged  map[int]int // games by round
}

func newWork(t *testing.T, seed uint64) *work {
	r := rand.New(rand.NewPCG(seed, 0))
	mode := []class.Mode{class.Together, class.Together, class.Duplicate}[r.IntN(3)]
	return &work{building: open(t, mode, []int{0, 20}[r.IntN(2)]), r: r, mode: mode, names: map[int]string{}, tokens: map[int]string{},
		votes: map[int]map[int]class.Vote{}, decided: map[int][]class.Choice{}, follows: map[int]int{}, judged: map[int]int{}}
}

// round does one thing, while writes may fail, and looks at what came of it.
func (w *work) round() {
	w.Helper()
	if w.r.IntN(3) == 0 {
		w.disk.atRandom(w.r.Uint64())
	}
	acts := []func() (string, error){w.join, w.join, w.vote, w.vote, w.vote, w.votesAtOnce, w.openVote, w.closeVote, w.follow, w.remove, w.letIn, w.judge, w.restart}
	if w.mode == class.Duplicate {
		acts = []func() (string, error){w.join, w.decide, w.decide, w.decide, w.decide, w.remove, w.letIn, w.restart}
	}
	what, err := acts[w.r.IntN(len(acts))]()
	w.disk.fail(nil)
	switch kind(err) {
	case 0:
		if err != nil {
			w.Errorf("%s: an error of no kind: %v", what, err)
		}
	case hall.NotSaved:
		what += " refused"
	case hall.Wrong, hall.Late, hall.Stranger:
	default:
		w.Errorf("%s: %v", what, err)
	}
	w.done = append(w.done, what)
	if w.r.IntN(4) == 0 {
		time.Sleep(class.Grace)
		synctest.Wait()
	}
	w.look()
}

// look compares what is shown, what is on the disk and what was acknowledged.
func (w *work) look() {
	w.Helper()
	w.onDisk()
	now := w.room.Now()
	shown := map[int]string{}
	for _, st := range now.Students {
		shown[st.ID] = st.Name
	}
	if !maps.Equal(shown, w.names) {
		w.Errorf("acknowledged are the names %v; shown are %v", w.names, shown)
	}
	for id, token := range w.tokens {
		if rm, st, err := w.hall.ByToken(token); err != nil || rm != w.room || st.ID != id {
			w.Errorf("the phone of %s has lost its place: %v", w.names[id], err)
		}
	}
	for _, r := range now.Rounds {
		if !maps.EqualFunc(r.Votes, w.votes[r.N], func(a, b class.Vote) bool { return a.Seq == b.Seq && a.Choice == b.Choice }) {
			w.Errorf("vote %d: acknowledged is %v; shown is %v", r.N, w.votes[r.N], r.Votes)
		}
		if len(r.Follows) != w.follows[r.N] || r.Judgement == nil != (w.judged[r.N] == 0) || r.Judgement != nil && r.Judgement.Games != w.judged[r.N] {
			w.Errorf("vote %d: followed %d times, judged in %v", r.N, len(r.Follows), r.Judgement)
		}
	}
	if w.mode == class.Duplicate {
		for id := range w.names {
			if !slices.Equal(now.Walks[id], w.decided[id]) {
				w.Errorf("%s has decided %v; shown is %v", w.names[id], w.decided[id], now.Walks[id])
			}
		}
	}
	w.lookAtRoutes(now)
}

// lookAtRoutes sees that each vote that was followed moved its route once.
func (w *work) lookAtRoutes(now *hall.State) {
	w.Helper()
	x := must(w.disk.Load("1"))
	if want := 1 + len(now.Routes); w.mode == class.Together && len(x.Routes) != want {
		w.Errorf("the sheet has %d routes; the class walks %v", len(x.Routes), now.Routes)
	}
	for _, letter := range now.Routes {
		moved := 0
		for _, r := range now.Rounds {
			for _, f := range r.Follows {
				if f.Route == letter {
					moved = r.At + 1
				}
			}
		}
		if got := must(x.RouteAt(letter)).Len(); got != moved {
			w.Errorf("route %s has %d decisions; the class has followed %d", letter, got, moved)
		}
	}
}

// somebody is one of the students.
func (w *work) somebody() (int, bool) {
	if len(w.names) == 0 {
		return 0, false
	}
	ids := slices.Sorted(maps.Keys(w.names))
	return ids[w.r.IntN(len(ids))], true
}

func (w *work) join() (string, error) {
	w.joined++
	name := fmt.Sprint("Student ", w.joined)
	st, token, err := w.room.Join(name, name)
	if err == nil {
		w.names[st.ID], w.tokens[st.ID] = name, token
	}
	return "join", err
}

// message is a choice that a student makes now.
func (w *work) message() (v class.Vote, round int, ok bool) {
	r := w.room.Now().Round()
	if r == nil {
		return v, 0, false
	}
	w.seq++
	now := time.Now()
	return class.Vote{Seq: w.seq, Choice: w.choice(&r.Question), Made: now, Received: now}, r.N, true
}

// choice is an answer, or the beginning of one.
func (w *work) choice(q *class.Question) class.Choice {
	switch q.Phase {
	case charleston.Voting:
		return class.Choice{Said: true, Stop: w.r.IntN(8) == 0}
	case charleston.Naming:
		return class.Choice{Said: true, Count: w.r.IntN(4)}
	}
	own := slices.DeleteFunc(q.Rack.Tiles(), func(k tile.Kind) bool { return k == tile.Joker })
	w.r.Shuffle(len(own), func(i, j int) { own[i], own[j] = own[j], own[i] })
	n := q.Need
	if w.r.IntN(6) == 0 {
		n = w.r.IntN(n + 1)
	}
	return class.Choice{Own: must(charleston.ParcelOf(own[:n]...))}
}

func (w *work) keep(round, student int, v class.Vote) {
	if w.votes[round] == nil {
		w.votes[round] = map[int]class.Vote{}
	}
	if v.Seq > w.votes[round][student].Seq {
		w.votes[round][student] = v
	}
}

// vote sends a choice until it is kept or refused, as a phone does, at times after a newer one.
func (w *work) vote() (string, error) {
	student, ok := w.somebody()
	v, round, asked := w.message()
	if !ok || !asked {
		return "nobody votes", nil
	}
	if w.r.IntN(5) == 0 {
		v.Seq = max(1, v.Seq-20) // held up on its way
		if v.Seq == w.votes[round][student].Seq {
			v.Choice = w.votes[round][student].Choice
		}
	}
	err := w.room.Vote(student, round, v)
	if err == nil {
		w.keep(round, student, v)
	}
	return "vote", err
}

// votesAtOnce is a vote of everybody in the same moment.
func (w *work) votesAtOnce() (string, error) {
	type sent struct {
		student, round int
		v              class.Vote
		err            error
	}
	var all []*sent
	answers := make(chan *sent)
	for _, id := range slices.Sorted(maps.Keys(w.names)) {
		if v, round, ok := w.message(); ok {
			all = append(all, &sent{student: id, round: round, v: v})
		}
	}
	for _, s := range all {
		go func() { s.err = w.room.Vote(s.student, s.round, s.v); answers <- s }()
	}
	for range all {
		s := <-answers
		if s.err == nil {
			w.keep(s.round, s.student, s.v)
		} else if k := kind(s.err); k != hall.NotSaved && k != hall.Late {
			w.Errorf("one of many votes: %v", s.err)
		}
	}
	return "many votes", nil
}

func (w *work) decide() (string, error) {
	student, ok := w.somebody()
	if !ok {
		return "nobody decides", nil
	}
	own := w.room.Now().Walk(student)
	if own.Result.Over {
		return "at the end", nil
	}
	q := must(class.Ask(&own.Trail.Now, nil))
	n, c := own.Result.Decided, w.choice(&q)
	if w.r.IntN(4) == 0 && n > 0 {
		n-- // sent once more
	}
	err := w.room.Decide(student, n, c)
	if err == nil && n == len(w.decided[student]) {
		w.decided[student] = append(w.decided[student], c)
	}
	return "decide", err
}

func (w *work) openVote() (string, error) {
	now := w.room.Now()
	return "open", w.room.OpenVote(len(now.Rounds), now.Routes[w.r.IntN(len(now.Routes))])
}

func (w *work) closeVote() (string, error) {
	return "close", w.room.CloseVote(len(w.room.Now().Rounds))
}

func (w *work) follow() (string, error) {
	r := w.room.Now().Round()
	if r == nil {
		return "nothing to follow", nil
	}
	var choices []class.Choice
	for _, g := range r.Spread() {
		if len(choices) < 1+w.r.IntN(2) {
			choices = append(choices, g.Choice)
		}
	}
	before := len(r.Follows)
	err := w.room.Follow(r.N, choices, "")
	if err == nil && before == 0 {
		w.follows[r.N] = len(choices)
	}
	return "follow", err
}

func (w *work) remove() (string, error) {
	student, ok := w.somebody()
	if !ok || w.r.IntN(3) > 0 {
		return "nobody is taken out", nil
	}
	err := w.room.Remove(student)
	if err == nil {
		delete(w.names, student)
		delete(w.tokens, student)
		delete(w.decided, student)
		for _, votes := range w.votes {
			delete(votes, student)
		}
	}
	return "remove", err
}

func (w *work) letIn() (string, error) {
	open := w.r.IntN(2) == 0
	err := w.room.LetIn(open)
	if err == nil && open != (w.room.Now().Code != "") {
		w.Errorf("students can join: %v; the code is %q", open, w.room.Now().Code)
	}
	return "let in", err
}

func (w *work) judge() (string, error) {
	r := w.room.Now().Round()
	if r == nil || !r.Counted {
		return "nothing to judge", nil
	}
	games := 1 + w.r.IntN(1000)
	err := w.room.KeepJudging(r.N, &class.Judgement{Games: games})
	if err == nil {
		w.judged[r.N] = games
	}
	return "judge", err
}

// restart ends the program, at times with the disk first, and starts it again.
func (w *work) restart() (string, error) {
	if w.r.IntN(2) == 0 {
		w.disk.Close()
	}
	w.disk.fail(nil)
	w.building = w.again()
	return "restart", nil
}
