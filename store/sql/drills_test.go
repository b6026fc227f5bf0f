package sql

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"secondpass/advice"
	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/drill"
)

// newDrill is a vote with a key that was made up.
func newDrill() *drill.Drill {
	v := charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: charleston.FirstLeft, Phase: charleston.Voting,
		Rack: tile.MustParse("123b 456c 789d NEWS")}
	d := &drill.Drill{Kind: drill.Stopping, Position: drill.Position{Seat: v.Seat, View: v}, Rating: drill.Rating{Value: 1500, Deviation: 300, Volatility: 0.06}}
	for _, stop := range []bool{false, true} {
		d.Choices = append(d.Choices, drill.Choice{Action: charleston.Action{Seat: v.Seat, Kind: charleston.Vote, Stop: stop}})
	}
	d.Key = drill.Key{Version: drill.KeyVersion, Card: "Lantern", Fingerprint: player.Fingerprint(card.Practice()), Games: 256, Answers: []drill.Answer{
		{Right: true, Cost: stat.Interval[unit.ChanceDifference]{N: 256}}, {Cost: stat.Interval[unit.ChanceDifference]{Value: 0.05, Low: 0.03, High: 0.07, N: 256}}}}
	return d
}

func TestDrillsAreKept(t *testing.T) { everywhere(t, testDrillsAreKept) }

func testDrillsAreKept(t *testing.T, at *place) {
	s := at.open(t)
	d := newDrill()
	if err := s.AddDrill(d, card.Practice()); err != nil || d.ID != 1 {
		t.Fatal(d.ID, err)
	}
	same := newDrill()
	if err := s.AddDrill(same, card.Practice()); err != nil || same.ID != 1 {
		t.Error("the same drill was kept twice", same.ID, err)
	}
	back, err := s.Drill(1)
	if err != nil || !reflect.DeepEqual(back, d) {
		t.Fatalf("%v\n%+v\n%+v", err, back, d)
	}
	c, err := s.DrillCard(d.Key.Fingerprint)
	if err != nil || player.Fingerprint(c) != d.Key.Fingerprint {
		t.Fatal(err)
	}
	for f, want := range map[store.DrillFilter]int{{}: 1, {Kind: drill.Stopping}: 1, {Kind: drill.Blind}: 0, {Fingerprint: d.Key.Fingerprint}: 1, {Fingerprint: "x"}: 0} {
		if list, err := s.Drills(f); err != nil || len(list) != want {
			t.Errorf("%+v: %d, %v", f, len(list), err)
		}
	}
	d.Key.Seed, d.Rating.Value = 7, 9
	if err := s.SaveDrill(d, card.Practice()); err != nil {
		t.Fatal(err)
	}
	if back, err := s.Drill(1); err != nil || back.Key.Seed != 7 || back.Rating.Value != 1500 {
		t.Errorf("%+v, %v", back, err)
	}
	if err := s.DeleteDrill(1); err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{s.DeleteDrill(1), s.SaveDrill(d, card.Practice()), func() error { _, err := s.Drill(1); return err }()} {
		if !errors.Is(err, store.ErrNoDrill) {
			t.Error(err)
		}
	}
}

// A teacher's own drills at one position are told apart by their answers; AddDrills says how many are new.
func TestOwnDrillsAreToldApart(t *testing.T) { everywhere(t, testOwnDrillsAreToldApart) }

func testOwnDrillsAreToldApart(t *testing.T, at *place) {
	s := at.open(t)
	own := func(list ...string) *drill.Drill {
		d := newDrill()
		d.Kind, d.Position.View.Phase, d.Choices = drill.Own, charleston.Passing, nil
		for _, text := range list {
			c, err := drill.ParseChoice(drill.AskPass, charleston.South, text)
			if err != nil {
				t.Fatal(err)
			}
			d.Choices = append(d.Choices, c)
		}
		return d
	}
	one, other, again := own("1b 4c 7d", "N E W"), own("1b 4c 7d", "N E S"), own("1b 4c 7d", "N E W")
	fresh, err := s.AddDrills([]*drill.Drill{one, other, again}, card.Practice())
	if err != nil || fresh != 2 || one.ID == other.ID || again.ID != one.ID {
		t.Errorf("%d new, numbers %d, %d, %d, %v", fresh, one.ID, other.ID, again.ID, err)
	}
	if fresh, err := s.AddDrills([]*drill.Drill{one}, card.Practice()); err != nil || fresh != 0 {
		t.Errorf("%d new of what is there, %v", fresh, err)
	}
}

func TestTriesMoveRatingsAndQueue(t *testing.T) { everywhere(t, testTriesMoveRatingsAndQueue) }

func testTriesMoveRatingsAndQueue(t *testing.T, at *place) {
	s := at.open(t)
	d := newDrill()
	if err := s.AddDrill(d, card.Practice()); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddStudent("Ana"); err != nil {
		t.Fatal(err)
	}
	now := time.Unix(2_000_000, 0)
	wrong, err := d.Answered(1, now, 3*time.Second, 0)
	if err != nil || wrong.Right || wrong.Cost.Value != 0.05 {
		t.Fatal(wrong, err)
	}
	st, err := s.AddTry("ANA", wrong)
	if err != nil || st.Rating.Value >= 1500 {
		t.Fatal(st, err)
	}
	rated, err := s.Drill(1)
	if err != nil || rated.Rating.Value <= 1500 {
		t.Fatal("the drill is no harder after a student failed", rated, err)
	}
	right, _ := d.Answered(0, now.Add(11*time.Minute), 2*time.Second, time.Second)
	if _, err := s.AddTry("Ana", right); err != nil {
		t.Fatal(err)
	}
	again, err := s.Drill(1)
	if err != nil || math.Abs(again.Rating.Value-rated.Rating.Value) > 0 {
		t.Error("a second try of the same student moved the drill's rating")
	}
	reopened := at.open(t)
	memories, err := reopened.Memories(st.ID)
	if m := memories[1]; err != nil || m.Tries != 2 || m.Lapses != 1 || !m.Due.Equal(right.At.Add(10*time.Minute)) { // late is not known
		t.Errorf("%+v, %v", memories, err)
	}
	tries, err := reopened.Tries(st.ID)
	if err != nil || len(tries) != 2 || tries[0].Answer != "stop" || !tries[1].Late() || tries[1].Taken != 2*time.Second {
		t.Errorf("%+v, %v", tries, err)
	}
	if _, err := s.AddTry("Ben", right); !errors.Is(err, store.ErrNoStudent) {
		t.Error(err)
	}
	right.Drill = 99
	if _, err := s.AddTry("Ana", right); !errors.Is(err, store.ErrNoDrill) {
		t.Error(err)
	}
	if tries, _ := s.Tries(st.ID); len(tries) != 2 {
		t.Error("a refused try was kept")
	}
}

func TestStudentsAreApartAndGoForGood(t *testing.T) { everywhere(t, testStudentsAreApartAndGoForGood) }

func testStudentsAreApartAndGoForGood(t *testing.T, at *place) {
	s := at.open(t)
	d := newDrill()
	if err := s.AddDrill(d, card.Practice()); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"Ben", "ana"} {
		if _, err := s.AddStudent(name); err != nil {
			t.Fatal(err)
		}
		x, _ := d.Answered(0, time.Unix(5, 0), 0, 0)
		if _, err := s.AddTry(name, x); err != nil {
			t.Fatal(err)
		}
		kept := []drill.Try{{Kind: drill.OfExercise, About: "Monday, route A", Step: "courtesy"}, {Kind: drill.OfExercise, About: "Monday, route A", Step: "play"}}
		for range 2 { // the second review takes the place of the first
			if err := s.AddExercise(name, kept, &drill.Charleston{Exercise: "Monday", Route: "A", SpareBest: 3}); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, err := s.AddStudent("BEN"); !errors.Is(err, store.ErrNameTaken) {
		t.Error(err)
	}
	if _, err := s.AddStudent(" "); err == nil {
		t.Error("an empty name")
	}
	if list, err := s.Students(); err != nil || len(list) != 2 || list[0].Name != "ana" {
		t.Error(list, err)
	}
	token, err := s.StudentToken("ben")
	if st, known := s.StudentByToken(token); err != nil || known != nil || st.Name != "Ben" || len(token) < 26 {
		t.Errorf("%q is %+v, %v, %v", token, st, err, known)
	}
	if other, err := s.StudentToken("Ana"); err != nil || other == token {
		t.Errorf("two students are known by %q, %v", other, err)
	}
	if err := s.DeleteStudent("BEN"); err != nil {
		t.Fatal(err)
	}
	for _, nobody := range []string{token, "", "Ana"} {
		if st, err := s.StudentByToken(nobody); !errors.Is(err, store.ErrNoStudent) {
			t.Errorf("%q is %+v, %v", nobody, st, err)
		}
	}
	if _, err := s.StudentData("Ben"); !errors.Is(err, store.ErrNoStudent) {
		t.Error(err)
	}
	for _, name := range []string{"tries", "memories", "charlestons"} {
		if n := count(t, s, `SELECT COUNT(*) FROM `+name+` WHERE student NOT IN (SELECT id FROM students)`); n != 0 {
			t.Errorf("%s: %d left", name, n)
		}
	}
	data, err := s.StudentData("Ana")
	if err != nil || len(data.Tries) != 3 || len(data.Charlestons) != 1 || len(data.Memories) != 1 {
		t.Errorf("%+v, %v", data, err)
	}
}

// A whole exercise becomes tries of its decisions.
// A student's file comes back as it was, under another drill's number where the drill has one, and without the drill where it is not here.
func TestStudentComesFromAFile(t *testing.T) { everywhere(t, testStudentComesFromAFile) }

func testStudentComesFromAFile(t *testing.T, at *place) {
	s := at.open(t)
	teacher, err := s.AddTeacher()
	if err != nil {
		t.Fatal(err)
	}
	other := s.For(teacher)
	first, second := newDrill(), newDrill()
	second.Position.View.Rack = tile.MustParse("234b 456c 789d NEWS")
	for _, d := range []*drill.Drill{first, second} {
		if err := s.AddDrill(d, card.Practice()); err != nil {
			t.Fatal(err)
		}
	}
	if err := other.AddDrill(newDrill2(second), card.Practice()); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddStudent("Ana"); err != nil {
		t.Fatal(err)
	}
	for _, d := range []*drill.Drill{first, second} {
		x, _ := d.Answered(1, time.Unix(1000+d.ID, 0), time.Second, 0)
		x.Themes = []drill.Theme{drill.Flowers}
		if _, err := s.AddTry("Ana", x); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.AddExercise("Ana", []drill.Try{{Kind: drill.OfExercise, About: "Monday, route A", Step: "courtesy", At: time.Unix(9, 0)}}, &drill.Charleston{Exercise: "Monday", Route: "A", SpareBest: 3, At: time.Unix(9, 0)}); err != nil {
		t.Fatal(err)
	}
	data, err := s.StudentData("ana")
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := data.Write(&b); err != nil {
		t.Fatal(err)
	}
	read, err := store.ReadStudentData(&b)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddStudentData(read); !errors.Is(err, store.ErrNameTaken) {
		t.Errorf("a name is taken twice: %v", err)
	}
	if _, err := other.AddStudentData(read); err != nil {
		t.Fatal(err)
	}
	back, err := other.StudentData("Ana")
	if err != nil {
		t.Fatal(err)
	}
	if len(back.Tries) != 3 || back.Tries[1].Drill != 0 || back.Tries[2].Drill != 1 || back.Tries[1].Cost != data.Tries[1].Cost || !reflect.DeepEqual(back.Tries[2].Themes, data.Tries[2].Themes) {
		t.Errorf("tries %+v", back.Tries)
	}
	if len(back.Memories) != 1 || back.Memories[1] != data.Memories[2] || !reflect.DeepEqual(back.Charlestons, data.Charlestons) || back.Student.Rating != data.Student.Rating {
		t.Errorf("came back as %+v", back)
	}
	// All of it goes again, and nothing of it stands in the data file's tables.
	if err := other.DeleteStudent("Ana"); err != nil {
		t.Fatal(err)
	}
	for _, table := range []string{"students", "tries", "memories", "charlestons"} {
		if n := count(t, other, fmt.Sprintf(`SELECT COUNT(*) FROM %s WHERE teacher = %d`, table, teacher)); n != 0 {
			t.Errorf("%s holds %d rows after the student was deleted", table, n)
		}
	}
	for _, bad := range []string{"", "{}", `{"format":"secondpass student","version":2}`, `{"format":"secondpass student","version":1,"student":{"name":"","rating":{}}}`} {
		if _, err := store.ReadStudentData(strings.NewReader(bad)); err == nil {
			t.Errorf("%q is a student's file", bad)
		}
	}
}

// newDrill2 is a copy of a drill as another folder has it.
func newDrill2(d *drill.Drill) *drill.Drill {
	other := *d
	other.ID = 0
	return &other
}

func TestReviewedExercise(t *testing.T) { everywhere(t, testReviewedExercise) }

func testReviewedExercise(t *testing.T, at *place) {
	e := newExercise(t, "Monday")
	pass(t, e, "N E W")
	d := e.Routes[0].Decisions[0]
	rev := &advice.Review{Entries: []advice.Entry{{Decision: d, Worth: advice.Worth{Cost: stat.Interval[unit.ChanceDifference]{Value: 0.04, Low: 0.02, High: 0.06, N: 500}}}}}
	tries := drill.Reviewed(rev, e.Name, "A", time.Unix(1, 0), []time.Duration{4 * time.Second})
	if len(tries) != 1 || tries[0].Right || tries[0].Answer != "NEW" || tries[0].Step != "first-right" || tries[0].Taken != 4*time.Second {
		t.Errorf("%+v", tries)
	}
	if _, over, err := drill.Ended(e, e.Routes[0], time.Unix(1, 0)); over || err != nil {
		t.Error("the passing is not over", err)
	}
}
