package desk

import (
	"errors"
	"slices"
	"testing"

	"secondpass/store"
	"secondpass/store/sql"
	"secondpass/teach/reply"
)

// Readers are found among the students whatever the capitals, accents and blanks of their names; of two students whose names are alike the one that
// is written so, or nobody; others by hand alone. Of a student's replies the last counts.
func TestReplyStudents(t *testing.T) {
	s, err := sql.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, name := range []string{"Zoë Müller", "Rene", "René", "Ana"} {
		if _, err := s.AddStudent(name); err != nil {
			t.Fatal(err)
		}
	}
	d := &Desk{Store: s}
	tally := &reply.Tally{}
	var replies []reply.Reply
	for i, name := range []string{"zoe  MULLER", "Ann", "RENÉ", "Renè", "Zoe\u0308 Mu\u0308ller ", "", "Anna"} {
		replies = append(replies, reply.Reply{Found: reply.Found{Name: name}})
		tally.Ends = append(tally.Ends, reply.End{Reply: i})
	}
	got, err := d.ReplyStudents(replies, tally, map[string]string{"ánn": "ana"})
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"Zoë Müller", "Ana", "René"}; !slices.Equal(got.Names, want) {
		t.Errorf("the students %q, wanted %q", got.Names, want)
	}
	if want := []string{"Renè", "Anna"}; !slices.Equal(got.Unknown, want) {
		t.Errorf("unknown are %q, wanted %q", got.Unknown, want)
	}
	if got.replies["Zoë Müller"] != 4 || got.replies["Ana"] != 1 || got.replies["René"] != 2 {
		t.Errorf("their replies are %v", got.replies)
	}
	if _, err := d.ReplyStudents(replies, tally, map[string]string{"Ann": "Bo"}); !errors.Is(err, store.ErrNoStudent) {
		t.Errorf("a student who is none: %v", err)
	}
}
