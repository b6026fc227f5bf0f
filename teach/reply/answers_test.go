package reply

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"secondpass/teach/lesson"
)

// Answers to drills come back from their codes, whatever was answered and whatever else stands in the text; a code in which a letter was
// changed, or two exchanged, tells nothing.
func TestAnswersComeBack(t *testing.T) {
	for _, name := range []string{"opening", "blind"} {
		l, err := lesson.ReadReady(name)
		if err != nil {
			t.Fatal(err)
		}
		drills, _ := l.Drills()
		rng := rand.New(rand.NewPCG(1, 1))
		for range 20 {
			answers := make([]string, len(drills))
			for i, d := range drills {
				answers[i] = answerOf(d, rng.IntN(answerCount(d)))
			}
			codes, err := AnswerCodes(drills, answers)
			if err != nil {
				t.Fatal(err)
			}
			if got := ReadAnswers(drills, "Here: "+strings.ToLower(strings.Join(codes, ", and "))+"!"); !slices.Equal(got, answers) {
				t.Fatalf("%s: %q came back as %q from %s", name, answers, got, codes)
			}
			spoilt := []byte(codes[0])
			at := 3 + rng.IntN(len(spoilt)-4)
			for spoilt[at] == '-' || spoilt[at+1] == '-' {
				at = 3 + rng.IntN(len(spoilt)-4)
			}
			if spoilt[at] == spoilt[at+1] {
				spoilt[at] = letters[(strings.IndexByte(letters, spoilt[at])+1)%field]
			} else {
				spoilt[at], spoilt[at+1] = spoilt[at+1], spoilt[at]
			}
			if got := ReadAnswers(drills, string(spoilt)); slices.ContainsFunc(got, func(a string) bool { return a != "" }) {
				t.Fatalf("%s, spoilt of %s, is read as %q", spoilt, codes[0], got)
			}
			if len(codes[0]) > 60 {
				t.Errorf("%s has %d letters", codes[0], len(codes[0]))
			}
		}
	}
}
