package class_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"secondpass/teach/class"
)

// A class that is played again from its record stands as it stood, to the byte; what the rules do not allow is refused.
func TestReplay(t *testing.T) {
	c, r := vote(t, 20, 3)
	for id, text := range map[int]string{1: "1b 4c 7d", 2: "2b 4c 7d", 3: "1b 4c 7d"} {
		if _, err := keep(c, id, int64(10+id), pass(t, text), 3, float64(4+id)); err != nil {
			t.Fatal(err)
		}
	}
	r.Close(at(9))
	r.Tick(at(12))
	if err := c.Follow(1, class.Follow{Choice: pass(t, "1b 4c 7d"), Route: "Class"}, class.Follow{Choice: pass(t, "2b 4c 7d"), Route: "B"}); err != nil {
		t.Fatal(err)
	}
	r.Judgement = &class.Judgement{Games: 10, Whole: 20, Seed: 3, Costs: []class.Cost{{Choice: pass(t, "1b 4c 7d"), Best: true, Final: true,
		Reason: &class.Reason{Text: "Keeps 22b.", Hand: "Evens 1", Groups: []class.Tiles{{Kind: "2b", Size: 3, Held: 2}}}}}}
	if _, err := c.Remove(2); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Join("Late", at(14)); err != nil {
		t.Fatal(err)
	}
	second, err := c.OpenVote("B", 1, r.Question, at(15))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Keep(4, 2, class.Vote{Seq: 2, Choice: pass(t, "1b 4c 7d"), Made: at(20), Received: at(36)}); err != nil {
		t.Fatal(err) // made before the deadline, and held up on its way
	}
	second.Tick(at(40))
	if err := c.End(at(60)); err != nil {
		t.Fatal(err)
	}
	var first, again bytes.Buffer
	if err := c.Write(&first, "Monday"); err != nil {
		t.Fatal(err)
	}
	text := first.String()
	played, about, err := class.Replay(&first)
	if err != nil || about != "Monday" {
		t.Fatalf("%q, %v", about, err)
	}
	if err := played.Write(&again, about); err != nil || again.String() != text {
		t.Errorf("%v; the record of the record is\n%s\nwanted\n%s", err, again.String(), text)
	}
	for i := range c.Rounds {
		if !reflect.DeepEqual(played.Rounds[i].Spread(), c.Rounds[i].Spread()) || played.Rounds[i].Counted != c.Rounds[i].Counted {
			t.Errorf("vote %d is counted as %v, was %v", i+1, played.Rounds[i].Spread(), c.Rounds[i].Spread())
		}
	}
	for _, wrong := range [][3]string{
		{`"student": 1`, `"student": 7`, "vote 1: the answer of student 7: nobody of that number"},
		{`"tiles": "1b 4c 7d"`, `"tiles": "9b 4c 7d"`, "vote 1: "},
		{`"format": "secondpass class"`, `"format": "other"`, "no record of a class"},
		{`"route": "B"`, `"route": "Z"`, "does not walk route B"},
		{`"joined": 4`, `"joined": 3`, "student 4"},
	} {
		if !strings.Contains(text, wrong[0]) {
			t.Fatalf("%s does not stand in the record", wrong[0])
		}
		if _, _, err := class.Replay(strings.NewReader(strings.Replace(text, wrong[0], wrong[1], 1))); err == nil || !strings.Contains(err.Error(), wrong[2]) {
			t.Errorf("with %s the error is %v, wanted %s", wrong[1], err, wrong[2])
		}
	}
}
