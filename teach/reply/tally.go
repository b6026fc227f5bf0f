package reply

import (
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// Reply is one code of a text and what came of it.
type Reply struct {
	Found
	// Walked is the exercise with the reader's route alone, nil where the code was not read; Err says why not.
	Walked *exercise.Exercise
	Err    error
	// Later says that the same reader sent another one later, which counts in its place.
	Later bool
}

// Counts says whether the reply is in the tally.
func (r *Reply) Counts() bool { return r.Err == nil && !r.Later }

// Who is the reader's name, or otherwise where none was given.
func (r *Reply) Who(otherwise string) string {
	if r.Name == "" {
		return otherwise
	}
	return r.Name
}

// Route is the reader's route; only for a reply that was read.
func (r *Reply) Route() *exercise.Route { return r.Walked.Routes[0] }

// Collect reads all codes of a text. Of a reader with a name the last route counts that was read; who gave none counts with each code.
func Collect(e *exercise.Exercise, text string) []Reply {
	reader, found := NewReader(e), Find(text)
	all := make([]Reply, len(found))
	each(len(found), func(i int) {
		all[i].Found = found[i]
		all[i].Walked, all[i].Err = reader.Read(found[i].Code)
	})
	last := map[string]int{}
	for i := range all {
		if name := SameName(all[i].Name); name != "" && all[i].Err == nil {
			if before, again := last[name]; again {
				all[before].Later = true
			}
			last[name] = i
		}
	}
	return all
}

// each does what is to be done with each of n things, on all cores.
func each(n int, do func(int)) {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	all.Wait()
}

// columnsAtOnce is for how many replies it is kept in mind how every step stands.
const columnsAtOnce = 256

// columns gives the replies that count, in their order, with how each step stands.
func columns(replies []Reply, take func(i int, c *exercise.Column)) error {
	var counted []int
	for i := range replies {
		if replies[i].Counts() {
			counted = append(counted, i)
		}
	}
	for part := range slices.Chunk(counted, columnsAtOnce) {
		found, troubles := make([]exercise.Column, len(part)), make([]error, len(part))
		each(len(part), func(n int) {
			r := &replies[part[n]]
			found[n], troubles[n] = r.Walked.Column(r.Route())
		})
		for n, i := range part {
			if troubles[n] != nil {
				return troubles[n]
			}
			take(i, &found[n])
		}
	}
	return nil
}

// Tally is what a room of readers chose.
type Tally struct {
	// Readers is how many replies count, Over how many of these came to the end of the passing.
	Readers, Over int
	// Steps are the decisions in their order.
	Steps []Step
	// Ends are the replies that count and came to the end of the passing, nearest first.
	Ends []End
	// Away, Spare and Options are the means of these, with 95 % intervals for such readers at large.
	Away, Spare stat.Interval[unit.Tiles]
	Options     stat.Interval[unit.Count]
	// Clean is the share of clean Charlestons, for the nearest hand.
	Clean stat.Interval[unit.Chance]
}

// Step is what readers did when something was due.
type Step struct {
	Step  charleston.Step
	Phase charleston.Phase
	// Readers is how many came here, Racks how many different racks they held: 1 where nobody has parted yet.
	Readers, Racks int
	// Choices are what they did, the most frequent first.
	Choices []Choice
	// Away, Spare and Options are the means after it, of the nearest hand, with 95 % intervals for such readers at large.
	Away, Spare stat.Interval[unit.Tiles]
	Options     stat.Interval[unit.Count]
}

// standing adds up how racks stand.
type standing struct {
	away, spare stat.IntMoments[unit.Tiles]
	options     stat.IntMoments[unit.Count]
}

func (s *standing) add(a *exercise.Account) {
	s.away.Add(a.Nearest.Away)
	s.spare.Add(a.SpareBest.Size())
	s.options.Add(a.Options)
}

func (s *standing) means() (away, spare stat.Interval[unit.Tiles], options stat.Interval[unit.Count]) {
	return stat.MeanT[unit.Tiles](s.away), stat.MeanT[unit.Tiles](s.spare), stat.MeanT[unit.Count](s.options)
}

// Choice is a decision and how many made it, their replies by place.
type Choice struct {
	Decision exercise.Decision
	Replies  []int
}

// End is a reply at the end of the passing.
type End struct {
	// Reply is its place among all.
	Reply int
	exercise.Account
}

// Count counts replies as [Collect] gives them.
func Count(replies []Reply) (*Tally, error) {
	t := &Tally{}
	racks := map[moment]map[tile.Rack]bool{}
	after := map[moment]*standing{}
	var ends standing
	clean := 0
	err := columns(replies, func(i int, column *exercise.Column) {
		t.Readers++
		for n, s := range column.Trail.Snapshots {
			at := moment{s.Decision.Step, s.Decision.Phase}
			if racks[at] == nil {
				racks[at], after[at] = map[tile.Rack]bool{}, &standing{}
			}
			racks[at][s.Before] = true
			after[at].add(&column.Accounts[n+1])
			t.add(at, s.Decision, i)
		}
		if !column.Over() {
			return
		}
		end := *column.End()
		t.Ends = append(t.Ends, End{i, end})
		ends.add(&end)
		if end.CleanBest() {
			clean++
		}
	})
	if err != nil {
		return nil, err
	}
	t.Over = len(t.Ends)
	for i := range t.Steps {
		s := &t.Steps[i]
		at := moment{s.Step, s.Phase}
		s.Racks = len(racks[at])
		s.Away, s.Spare, s.Options = after[at].means()
		slices.SortStableFunc(s.Choices, func(a, b Choice) int { return len(b.Replies) - len(a.Replies) })
	}
	slices.SortFunc(t.Steps, func(a, b Step) int { return moment{a.Step, a.Phase}.order() - moment{b.Step, b.Phase}.order() })
	slices.SortStableFunc(t.Ends, func(a, b End) int {
		if a.Nearest.Away != b.Nearest.Away {
			return a.Nearest.Away - b.Nearest.Away
		}
		return a.SpareBest.Size() - b.SpareBest.Size()
	})
	t.Away, t.Spare, t.Options = ends.means()
	t.Clean = stat.Wilson(clean, t.Over)
	return t, nil
}

// moment is when a decision was due.
type moment struct {
	step  charleston.Step
	phase charleston.Phase
}

// order puts moments in the order of time: the vote comes after the pass of its step.
func (m moment) order() int { return int(m.step)*10 + int(m.phase) }

// add counts one decision.
func (t *Tally) add(at moment, d exercise.Decision, reply int) {
	i := slices.IndexFunc(t.Steps, func(s Step) bool { return s.Step == at.step && s.Phase == at.phase })
	if i < 0 {
		i = len(t.Steps)
		t.Steps = append(t.Steps, Step{Step: at.step, Phase: at.phase})
	}
	s := &t.Steps[i]
	s.Readers++
	alike := func(c Choice) bool { return decided(c.Decision) == decided(d) }
	k := slices.IndexFunc(s.Choices, alike)
	if k < 0 {
		k = len(s.Choices)
		s.Choices = append(s.Choices, Choice{Decision: d})
	}
	s.Choices[k].Replies = append(s.Choices[k].Replies, reply)
}

// decided is a decision without what it brought.
func decided(d exercise.Decision) charleston.Action { return d.Action(charleston.East) }

// Names are those of some replies, by place, as far as they have one.
func Names(replies []Reply, of []int) []string {
	var names []string
	for _, i := range of {
		if name := replies[i].Name; name != "" {
			names = append(names, name)
		}
	}
	return names
}
