//go:build unix

package folder_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"secondpass/engine/player"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/internal/postgres"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/store/folder"
	"secondpass/store/sql"
	"secondpass/teach/class"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

// fuller is a data folder with something of every sort, also of what was deleted.
func fuller(t *testing.T) (dir string) {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	dir, _ = full(t, 3)
	s := open(t, dir)
	defer s.Close()
	_, err := s.Delete("Exercise no. 2")
	must(err)
	x, err := s.Load("Exercise no. 1")
	must(err)
	v := charleston.View{Seat: charleston.South, Rules: house.Usual.Passing, Step: charleston.FirstLeft, Phase: charleston.Voting, Rack: tile.MustParse("123b 456c 789d NEWS")}
	d := &drill.Drill{Kind: drill.Stopping, Position: drill.Position{Seat: v.Seat, View: v}, Rating: drill.NewRating}
	for _, stop := range []bool{false, true} {
		d.Choices = append(d.Choices, drill.Choice{Action: charleston.Action{Seat: v.Seat, Kind: charleston.Vote, Stop: stop}})
	}
	d.Key = drill.Key{Version: drill.KeyVersion, Card: "Lantern", Fingerprint: player.Fingerprint(card.Practice()), Games: 256, Answers: []drill.Answer{
		{Right: true, Cost: stat.Interval[unit.ChanceDifference]{N: 256}}, {Cost: stat.Interval[unit.ChanceDifference]{Value: 0.05, Low: 0.03, High: 0.07, N: 256}}}}
	must(s.AddDrill(d, card.Practice()))
	for i := range 3 {
		try, err := d.Answered(i%2, time.Unix(int64(2_000_000+i), 0), time.Second, 0)
		must(err)
		_, err = s.AddTry("Ana", try)
		must(err)
	}
	must(s.AddExercise("Ana", []drill.Try{{Kind: drill.OfExercise, About: "Monday, route A", Step: "courtesy", At: time.Unix(9, 0)}},
		&drill.Charleston{Exercise: "Monday", Route: "A", SpareBest: 3, At: time.Unix(9, 0)}))
	_, err = s.AddLesson(&lesson.Lesson{Title: "Flowers", Items: []lesson.Item{{Exercise: x.Exercise, Route: "A"}}})
	must(err)
	c, err := class.New(class.Together, 30, "A", time.UnixMicro(1_700_000_000_000_000))
	must(err)
	room := &store.SavedClass{Code: "CDFGH", Link: "link", Key: "key", Exercise: x.ID, Class: c}
	must(s.AddClass(room, nil))
	plum, err := c.Join("Plum", c.Opened)
	must(err)
	must(s.AddClassStudent(room.ID, plum, "token", "phone"))
	tr, err := x.Replay(x.Routes[0])
	must(err)
	q, err := class.Ask(&tr.Now, []string{"Runs 1"})
	must(err)
	r, err := c.OpenVote("A", 0, q, c.Opened)
	must(err)
	must(s.SaveRound(room.ID, r))
	log := s.NewVoteLog()
	defer log.Close()
	parcel, err := charleston.ParcelOf(tile.MustParse("1b 4c 7d").Tiles()...)
	must(err)
	must(log.Append(t.Context(), store.KeptVote{Class: room.ID, Round: 1, Student: 1, Vote: class.Vote{Seq: 1, Choice: class.Choice{Own: parcel}, Made: c.Opened, Received: c.Opened}}))
	kept := s.Files(nil)
	_, err = kept.Cards.Keep("Mine", kept.Cards.Revision("Mine"), nil, []byte("half done"))
	must(err)
	_, err = kept.Cards.Keep("Gone", "", []byte("card Gone\n"), nil)
	must(err)
	must(kept.Cards.Delete("Gone"))
	tuning, _ := player.TuningFor(card.Practice())
	tuning.Calibration.A++
	_, err = kept.Tunings.SaveTuning(tuning)
	must(err)
	must(kept.Jobs.KeepJob("job", []byte(`{"of":1}`)))
	kept.Games.Put("decision", []byte("\x00\xffgames"))
	return dir
}

// contents is everything that a store shows.
func contents(t *testing.T, s *sql.Store) string {
	t.Helper()
	var all []any
	add := func(v any, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, v)
	}
	for _, deleted := range []bool{false, true} {
		list, err := s.List(deleted)
		add(list, err)
		for _, e := range list {
			if x, err := s.Load(e.Name); err == nil {
				add(document(t, x.Exercise), nil)
			}
		}
	}
	add(s.Drills(store.DrillFilter{}))
	add(s.Students())
	data, err := s.StudentData("Ana")
	add(data, err)
	add(s.StudentToken("Ana"))
	lessons, err := s.Lessons()
	add(lessons, err)
	for _, l := range lessons {
		add(s.Lesson(l.ID))
	}
	classes, err := s.Classes()
	add(classes, err)
	for _, c := range classes {
		loaded, err := s.LoadClass(c.ID)
		add(loaded, err)
	}
	paths, err := s.Room().All()
	add(nil, err)
	slices.Sort(paths)
	for _, path := range paths {
		f, err := s.Room().Look(path)
		data, bad := s.Room().Read(path)
		add([]any{path, f.Changed.Unix(), data}, errors.Join(err, bad))
	}
	text, err := json.MarshalIndent(all, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// same tells of the first line that differs.
func same(t *testing.T, what, got, want string) {
	t.Helper()
	for a, b := strings.Split(got, "\n"), strings.Split(want, "\n"); ; a, b = a[1:], b[1:] {
		switch {
		case len(a) == 0 && len(b) == 0:
			return
		case len(a) == 0 || len(b) == 0 || a[0] != b[0]:
			t.Errorf("%s it is\n%.200s\nwanted\n%.200s", what, strings.Join(a[:min(len(a), 5)], "\n"), strings.Join(b[:min(len(b), 5)], "\n"))
			return
		}
	}
}

// A folder is moved into a teacher's account, where somebody else keeps the same already, and back out, as it was; so it is restored into
// another, empty database too.
func TestMovedInAndOut(t *testing.T) {
	dir := fuller(t)
	s := open(t, dir)
	want := contents(t, s)
	s.Close()
	backup := filepath.Join(t.TempDir(), "backup.zip")
	if err := folder.Backup(dir, backup); err != nil {
		t.Fatal(err)
	}
	server := postgres.Start(t)
	for n := range 2 {
		owner, serving := server.NewDatabase(t, fmt.Sprintf("club%d", n), "")
		d, err := sql.Connect(serving, owner)
		if err != nil {
			t.Fatal(err)
		}
		defer d.Close()
		account := func() *sql.Store {
			t.Helper()
			teacher, err := d.AddTeacher()
			if err != nil {
				t.Fatal(err)
			}
			return d.For(teacher)
		}
		other, ana := account(), account()
		if _, err := other.Add(newExercise(t, "Exercise no. 1", 9)); err != nil {
			t.Fatal(err)
		}
		if err := folder.MoveIn(backup, other); !errors.Is(err, store.ErrNotEmpty) {
			t.Errorf("moved in over something: %v", err)
		}
		if err := folder.MoveIn(backup, ana); err != nil {
			t.Fatal(err)
		}
		same(t, "moved in", contents(t, ana), want)
		if counts, problems := ana.Check(); len(problems) > 0 || len(counts) == 0 {
			t.Errorf("%v, %v", counts, problems)
		}
		if list, err := other.List(false); err != nil || len(list) != 1 {
			t.Errorf("the other has %v, %v", list, err)
		}
		third := account()
		if err := folder.MoveIn(backup, third); !errors.Is(err, store.ErrKeptByAnother) || strings.Contains(err.Error(), "SQL") {
			t.Errorf("moved in twice: %v", err)
		}
		if list, err := third.List(false); err != nil || len(list) != 0 {
			t.Errorf("a part of what was refused is kept: %v, %v", list, err)
		}
		back := filepath.Join(t.TempDir(), "back.zip")
		if err := folder.MoveOut(ana, back); err != nil {
			t.Fatal(err)
		}
		again := filepath.Join(t.TempDir(), "again")
		if _, err := folder.Restore(again, back, time.Now()); err != nil {
			t.Fatal(err)
		}
		restored := open(t, again)
		same(t, "moved out", contents(t, restored), want)
		x, err := restored.Add(newExercise(t, "New", 1))
		if err != nil || x.ID != 4 {
			t.Errorf("the next exercise is %+v, %v", x, err)
		}
		restored.Close()
		backup = back // the next database gets what came out of this one
	}
}
