package class_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/teach/class"
)

var noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

func at(seconds float64) time.Time { return noon.Add(time.Duration(seconds * float64(time.Second))) }

func rack(t interface{ Fatal(...any) }, text string) tile.Rack {
	r, err := tile.Parse(text, tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func pass(t interface{ Fatal(...any) }, text string) class.Choice {
	p, err := charleston.ParcelOf(rack(t, text).Tiles()...)
	if err != nil {
		t.Fatal(err)
	}
	return class.Choice{Own: p}
}

// vote opens a class with so many students and its first vote, on the first left, where blind is allowed.
func vote(t interface{ Fatal(...any) }, seconds, students int) (*class.Class, *class.Round) {
	c, err := class.New(class.Together, seconds, "Class", noon)
	if err != nil {
		t.Fatal(err)
	}
	for i := range students {
		if _, err := c.Join(fmt.Sprint("Student ", i+1), noon); err != nil {
			t.Fatal(err)
		}
	}
	q := class.Question{Step: charleston.FirstLeft, Phase: charleston.Passing, Rack: rack(t, "1223b 456c 789d NEJ"), Need: 3, Blind: true, Plans: []string{"Runs 1"}}
	r, err := c.OpenVote("Class", 2, q, noon)
	if err != nil {
		t.Fatal(err)
	}
	return c, r
}

// keep sends a choice that was made at a second and arrives at another.
func keep(c *class.Class, student int, seq int64, choice class.Choice, made, received float64) (class.Kept, error) {
	return c.Keep(student, 1, class.Vote{Seq: seq, Choice: choice, Made: at(made), Received: at(received)})
}

func TestOlderMessageNeverReplacesNewer(t *testing.T) {
	c, r := vote(t, 0, 1)
	newer, older := pass(t, "2b 4c 7d"), pass(t, "1b 4c 7d")
	if kept, err := keep(c, 1, 5, newer, 2, 3); kept != class.Taken || err != nil {
		t.Fatal(kept, err)
	}
	if kept, err := keep(c, 1, 4, older, 1, 4); kept != class.Older || err != nil {
		t.Errorf("the older message: %v %v", kept, err)
	}
	if kept, err := keep(c, 1, 5, newer, 2, 5); kept != class.Again || err != nil {
		t.Errorf("the same message again: %v %v", kept, err)
	}
	if r.Votes[1].Choice != newer {
		t.Errorf("kept is %v", r.Votes[1].Choice)
	}
}

func TestTheClose(t *testing.T) {
	for _, test := range []struct {
		name           string
		seconds        int
		closed         float64 // by hand; 0 for not
		made, received float64
		want           error
	}{
		{"by hand, before it", 0, 10, 9, 9.5, nil},
		{"by hand, made before and held up", 0, 10, 9.9, 11.5, nil},
		{"by hand, made after", 0, 10, 10.1, 10.2, class.ErrClosed},
		{"by hand, held up longer than the grace", 0, 10, 9.9, 12, class.ErrClosed},
		{"by hand, by a clock that was set forward an hour", 0, 10, 3609, 11, nil},
		{"by hand, by a clock that was set back an hour", 0, 10, -3591, 11, nil},
		{"deadline, in the last moment", 20, 0, 20, 20.4, nil},
		{"deadline, made after", 20, 0, 20.2, 20.4, class.ErrClosed},
		{"deadline, held up too long", 20, 0, 19, 22.1, class.ErrClosed},
		{"closed by hand before the deadline", 20, 5, 6, 6.5, class.ErrClosed},
	} {
		c, r := vote(t, test.seconds, 1)
		if test.closed > 0 {
			r.Close(at(test.closed))
		}
		if _, err := keep(c, 1, 1, pass(t, "1b 4c 7d"), test.made, test.received); !errors.Is(err, test.want) {
			t.Errorf("%s: %v", test.name, err)
		}
	}
}

// A vote whose deadline passed while the server was away waits for what phones kept meanwhile.
func TestResume(t *testing.T) {
	c, r := vote(t, 20, 1)
	r.Resume(at(50))
	if _, err := keep(c, 1, 1, pass(t, "1b 4c 7d"), 18, 60); err != nil {
		t.Errorf("a choice kept on the phone is refused after the server came back: %v", err)
	}
	if _, err := keep(c, 1, 2, pass(t, "1b 4c 8d"), 66, 66.5); !errors.Is(err, class.ErrClosed) {
		t.Errorf("after the longer deadline: %v", err)
	}
	_, r = vote(t, 20, 1)
	r.Resume(at(-3590)) // the server's clock was set back an hour meanwhile
	if r.Open(at(-3569)) {
		t.Error("a vote of 20 seconds is open for an hour")
	}
	_, r = vote(t, 0, 1)
	r.Close(at(10))
	r.Resume(at(50))
	if r.Tick(at(64.9)); r.Counted {
		t.Error("a closed vote was counted before phones could send again")
	}
	if r.Tick(at(65)); !r.Counted {
		t.Error("a closed vote is never counted")
	}
}

func TestNothingChangesOnceCounted(t *testing.T) {
	c, r := vote(t, 0, 2)
	if _, err := keep(c, 1, 1, pass(t, "1b 4c 7d"), 1, 1); err != nil {
		t.Fatal(err)
	}
	r.Close(at(5))
	r.Tick(at(8))
	before := r.Spread()
	if _, err := keep(c, 1, 9, pass(t, "2b 4c 7d"), 4, 9); !errors.Is(err, class.ErrClosed) {
		t.Error(err)
	}
	if !reflect.DeepEqual(before, r.Spread()) {
		t.Error("the spread changed after the count")
	}
	asked := r.Asked(c.Students)
	if _, err := c.Join("Late", at(10)); err != nil {
		t.Fatal(err)
	}
	if n := r.Asked(c.Students); n != asked || n != len(c.Students)-1 {
		t.Errorf("one who joined after the close makes %d asked of %d", n, asked)
	}
	if err := c.Follow(1, class.Follow{Choice: pass(t, "1b 4c 7d"), Route: "Class"}, class.Follow{Choice: pass(t, "1b 4c 7d"), Route: "B"}); err == nil {
		t.Error("two equal forks were taken")
	}
	if err := c.Follow(1, class.Follow{Choice: pass(t, "1b 4c 7d"), Route: "Class"}, class.Follow{Choice: pass(t, "2b 4c 7d"), Route: "B"}); err != nil {
		t.Fatal(err)
	}
	if err := c.Follow(1, class.Follow{Choice: pass(t, "2b 4c 7d"), Route: "Class"}); err == nil {
		t.Error("a vote was followed twice")
	}
	if !reflect.DeepEqual(c.Routes, []string{"Class", "B"}) {
		t.Error(c.Routes)
	}
}

// Every student counts once: whatever is sent, in whatever order and however often, the spread holds everybody whose
// last choice is complete, exactly once, and that choice is the one with the greatest number.
func TestEveryStudentCountsOnce(t *testing.T) {
	kinds := rack(t, "1223b 456c 789d NE").Tiles()
	rapid.Check(t, func(t *rapid.T) {
		students := rapid.IntRange(1, 6).Draw(t, "students")
		c, r := vote(t, 0, students)
		last := map[int]class.Vote{}
		for range rapid.IntRange(0, 40).Draw(t, "messages") {
			n := rapid.IntRange(0, 3).Draw(t, "tiles")
			var own []tile.Kind
			for _, i := range rapid.Permutation([]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}).Draw(t, "order")[:n] {
				own = append(own, kinds[i])
			}
			p, err := charleston.ParcelOf(own...)
			if err != nil {
				t.Fatal(err)
			}
			v := class.Vote{Seq: rapid.Int64Range(1, 30).Draw(t, "seq"), Choice: class.Choice{Own: p, Count: rapid.IntRange(0, 3).Draw(t, "blind"),
				Plan: rapid.SampledFrom([]string{"", "Runs 1"}).Draw(t, "plan")}, Made: at(1), Received: at(2)}
			id := rapid.IntRange(1, students).Draw(t, "who")
			if _, err := c.Keep(id, 1, v); err != nil {
				t.Fatal(err)
			}
			if v.Seq > last[id].Seq {
				last[id] = v
			}
		}
		counted := map[int]class.Choice{}
		total, largest := 0, students+1
		for _, g := range r.Spread() {
			if len(g.Students) > largest {
				t.Fatalf("a group of %d stands after one of %d", len(g.Students), largest)
			}
			largest = len(g.Students)
			for _, id := range g.Students {
				if _, twice := counted[id]; twice {
					t.Fatalf("student %d counts twice", id)
				}
				counted[id] = g.Choice
				total++
			}
		}
		if answered, _ := r.Answered(); answered != total {
			t.Fatalf("%d answered, the spread holds %d", answered, total)
		}
		plans := 0
		for _, p := range r.Plans() {
			plans += p.N
		}
		if plans != total {
			t.Fatalf("%d plans of %d answers", plans, total)
		}
		for id := 1; id <= students; id++ {
			v, complete := last[id], last[id].Choice.Own.Len()+last[id].Choice.Count == 3
			if got, in := counted[id]; in != complete || in && got != v.Choice.Bare() {
				t.Fatalf("student %d: counted %v %v, sent last %v", id, in, got, v.Choice)
			}
		}
	})
}

// What the class calls an answer is what the rules of the passing let pass.
func TestCompleteAgreesWithTheRules(t *testing.T) {
	held := rack(t, "1223b 456c 789d NEJ")
	for _, now := range []charleston.Solo{charleston.NewSolo(charleston.South, held, house.Usual.Passing, &charleston.Mock{}), left(t, held)} {
		q, err := class.Ask(&now, nil)
		if err != nil {
			t.Fatal(err)
		}
		for n := range 4 {
			parcels := append(charleston.Parcels(q.Rack, n), pass(t, "J").Own, pass(t, "9b 9b 9b").Own)
			for _, own := range parcels {
				for blind := range 5 {
					c := class.Choice{Own: own, Count: blind}
					ours := q.Check(c) == nil && q.Complete(c)
					if rules := now.Check(own, blind) == nil; ours != rules {
						t.Fatalf("%s and %d blind at the %s: an answer %v, by the rules %v", own, blind, q.Step, ours, rules)
					}
				}
			}
		}
	}
}

// left is the passing at the first left.
func left(t *testing.T, held tile.Rack) charleston.Solo {
	mock, err := charleston.DrawMock(held, tile.Usual, zero{})
	if err != nil {
		t.Fatal(err)
	}
	s := charleston.NewSolo(charleston.South, held, house.Usual.Passing, &mock)
	for range 2 {
		if _, err := s.Pass(charleston.Parcels(s.Rack(), 3)[0], 0); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

type zero struct{}

func (zero) IntN(int) int { return 0 }

func TestNicknames(t *testing.T) {
	c, _ := vote(t, 0, 0)
	for name, want := range map[string]string{"  Plum \t Pie ": "Plum Pie", "<b>Fig</b>": "<b>Fig</b>", "Łucja": "Łucja"} {
		if st, err := c.Join(name, noon); err != nil || st.Name != want {
			t.Errorf("%q became %q: %v", name, st.Name, err)
		}
	}
	for _, name := range []string{"", "   ", strings.Repeat("x", 25), "a\x00b", "a\u202eb", "a\u200bb", "...", "PLUM PIE", "a\xffb"} {
		if st, err := c.Join(name, noon); err == nil {
			t.Errorf("%q was let in as %q", name, st.Name)
		}
	}
	if _, err := c.Join("plum pie", noon); err == nil || !strings.Contains(err.Error(), "plum pie 2") {
		t.Errorf("a taken name: %v", err)
	}
	for i := len(c.Students); i < class.MaxStudents; i++ {
		if _, err := c.Join(fmt.Sprint("N", i), noon); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := c.Join("One more", noon); !errors.Is(err, class.ErrFull) {
		t.Error(err)
	}
}

func TestCodes(t *testing.T) {
	for in, want := range map[string]string{"cd-fgh": "CDFGH", " C D F G H ": "CDFGH"} {
		if code, err := class.ParseCode(in); code != want || err != nil {
			t.Errorf("%q: %q %v", in, code, err)
		}
	}
	for _, bad := range []string{"", "CDFG", "CDFGHJ", "CDFGO", "CDFG0", "ÄDFGH"} {
		if code, err := class.ParseCode(bad); err == nil {
			t.Errorf("%q was read as %q", bad, code)
		}
	}
	// Bytes 0 to 255 once each must give every letter equally often: 11 times, the rest being thrown away.
	all := make([]byte, 256)
	for i := range all {
		all[i] = byte(i)
	}
	seen := map[rune]int{}
	for source := strings.NewReader(string(all)); ; {
		code, err := class.NewCode(source)
		if err != nil {
			break
		}
		for _, c := range code {
			seen[c]++
		}
	}
	for _, c := range class.CodeLetters {
		if seen[c] < 10 || seen[c] > 11 { // the last, unfinished code takes a few along
			t.Errorf("letter %c %d times", c, seen[c])
		}
	}
}

func TestChoicesAndQuestionsKeepTheirText(t *testing.T) {
	_, r := vote(t, 0, 1)
	b, err := json.Marshal(r.Question)
	if err != nil {
		t.Fatal(err)
	}
	var q class.Question
	if err := json.Unmarshal(b, &q); err != nil || !reflect.DeepEqual(q, r.Question) {
		t.Errorf("%s became %v: %v", b, q, err)
	}
	c := pass(t, "22b J")
	c.Count, c.Plan, c.Said = 1, "Runs 1", true
	if b, err = json.Marshal(c); err != nil {
		t.Fatal(err)
	}
	var back class.Choice
	if err := json.Unmarshal(b, &back); err != nil || back != c {
		t.Errorf("%s became %v: %v", b, back, err)
	}
	for _, bad := range []string{`{"tiles":"1234b"}`, `{"tiles":"x"}`, `[]`} {
		if json.Unmarshal([]byte(bad), &back) == nil {
			t.Errorf("%s was read", bad)
		}
	}
}

// Worked by hand: spares 2, 4, 3 have the mean 3; chances 0.30, 0.20, 0.10 the mean 0.20.
func TestScores(t *testing.T) {
	scores, spares, chance := class.Scores([]class.Result{{Student: 1, Over: true, Spares: 3, Chance: .10}, {Student: 2, Decided: 2},
		{Student: 3, Over: true, Spares: 4, Chance: .20}, {Student: 4, Over: true, Spares: 2, Chance: .30}})
	if spares != 3 || chance < .1999 || chance > .2001 {
		t.Errorf("means %v %v", spares, chance)
	}
	var order []string
	for _, s := range scores {
		order = append(order, fmt.Sprintf("%d:%d:%+.0f:%+.2f", s.Student, s.Rank, s.SparesGap, s.ChanceGap+1e-9))
	}
	if got := strings.Join(order, " "); got != "4:1:-1:+0.10 3:2:+1:+0.00 1:3:+0:-0.10 2:0:+0:+0.00" {
		t.Error(got)
	}
}

func TestDuplicate(t *testing.T) {
	c, err := class.New(class.Duplicate, 0, "A", noon)
	if err != nil {
		t.Fatal(err)
	}
	c.Join("Plum", noon)
	q := class.Question{Step: charleston.FirstRight, Phase: charleston.Passing, Rack: rack(t, "1223b 456c 789d NEJ"), Need: 3}
	if _, err := c.Decide(1, 0, &q, pass(t, "1b 4c")); err == nil {
		t.Error("an unfinished choice was taken")
	}
	if done, err := c.Decide(1, 0, &q, pass(t, "1b 4c 7d")); !done || err != nil {
		t.Error(done, err)
	}
	if done, err := c.Decide(1, 0, &q, pass(t, "2b 4c 7d")); done || err != nil || c.Walks[1][0] != pass(t, "1b 4c 7d") {
		t.Error("a second tap changed the decision", done, err)
	}
	if _, err := c.Decide(1, 5, &q, pass(t, "2b 4c 7d")); err == nil {
		t.Error("a decision that is not due was taken")
	}
}

// A copy and what it was made of change apart.
func TestClone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, _ := vote(t, 0, 3)
		text := func() string {
			b, err := json.Marshal(c)
			if err != nil {
				t.Fatal(err)
			}
			return string(b)
		}
		before := text()
		d := c.Clone()
		for range rapid.IntRange(1, 8).Draw(t, "changes") {
			switch rapid.IntRange(0, 4).Draw(t, "change") {
			case 0:
				d.Join(fmt.Sprint("Late ", len(d.Students)), noon)
			case 1:
				keep(d, rapid.IntRange(1, 3).Draw(t, "student"), rapid.Int64Range(1, 9).Draw(t, "seq"), pass(t, "2b 4c 7d"), 1, 1)
			case 2:
				d.Round().Close(at(2))
			case 3:
				d.Round().Tick(at(9))
				d.Follow(1, class.Follow{Choice: pass(t, "1b 4c 7d"), Route: "Class"}, class.Follow{Choice: pass(t, "2b 4c 7d"), Route: "B"})
			case 4:
				d.End(at(9))
			}
			d = d.Clone()
		}
		if after := text(); after != before {
			t.Fatalf("what was copied changed from\n%s\nto\n%s", before, after)
		}
	})
}
