package reply

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

func dealt(t testing.TB, seat charleston.Seat, in exercise.Incoming, seed uint64) *exercise.Exercise {
	t.Helper()
	racks, _ := table.Deal(tile.Usual, rand.New(rand.NewPCG(seed, 1)))
	deal := racks[seat]
	e, err := exercise.New("Monday lesson", card.Practice(), house.Usual, seat, deal, in, seed)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// walkAtRandom makes up to n decisions, all legal ones equally likely.
func walkAtRandom(t testing.TB, e *exercise.Exercise, n int, rng *rand.Rand) *exercise.Route {
	t.Helper()
	r := e.Routes[0]
	for range n {
		trail, err := e.Replay(r)
		if err != nil {
			t.Fatal(err)
		}
		view := trail.Now.View()
		choices := view.Legal()
		if len(choices) == 0 {
			break
		}
		if _, err := e.Do(r.Name, decision(choices[rng.IntN(len(choices))])); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

// A code brings back the very decisions, of whole and broken passings, at every seat, with mock passes and simulated players;
// it has at most 60 letters.
func TestCodeBringsTheRouteBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	longest := 0
	for n := range 60 {
		in := exercise.MockPasses
		if n%10 == 0 {
			in = exercise.TablePasses
		}
		e := dealt(t, charleston.Seat(n%charleston.Seats), in, uint64(n))
		r := walkAtRandom(t, e, rng.IntN(12), rng)
		code, err := Code(e, r)
		if err != nil {
			t.Fatal(err)
		}
		longest = max(longest, len(code))
		back, err := NewReader(e).Read(strings.ToLower(code))
		if err != nil {
			t.Fatalf("%s: %v", code, err)
		}
		if got, want := fmt.Sprint(back.Routes[0].Decisions), fmt.Sprint(r.Decisions); got != want {
			t.Errorf("%s brings back\n%s, wanted\n%s", code, got, want)
		}
	}
	if longest > 60 {
		t.Errorf("the longest code has %d letters", longest)
	}
	t.Logf("the longest code has %d characters", longest)
}

// No change of one letter and no exchange of two neighbours is taken for a code, 10,000 of each, nor a letter lost or doubled.
func TestSlipsAreFound(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	const codes = 10_000
	e := dealt(t, charleston.East, exercise.MockPasses, 5)
	reader := NewReader(e)
	var changed, exchanged int
	for n := 0; changed < codes || exchanged < codes; n++ {
		// Words of all lengths, as sealed ones are; what they tell does not matter to the checks.
		message := make([]int, 6+rng.IntN(longest-checks-6+1))
		for i := range message {
			message[i] = rng.IntN(field)
		}
		copy(message, append([]int{version}, reader.mark...))
		word := spelt(sealed(message))
		if body, _ := body(Sign + "-" + word); !holds(symbols(body)) {
			t.Fatalf("%s does not hold as it was sealed", word)
		}
		bare := []byte(strings.ReplaceAll(word, "-", ""))
		at := rng.IntN(len(bare))
		wrong := append([]byte{}, bare...)
		for wrong[at] == bare[at] {
			wrong[at] = letters[rng.IntN(field)]
		}
		changed += refuses(t, reader, wrong, true)
		if at+1 < len(bare) && bare[at] != bare[at+1] {
			wrong = append([]byte{}, bare...)
			wrong[at], wrong[at+1] = wrong[at+1], wrong[at]
			exchanged += refuses(t, reader, wrong, true)
		}
		if n%8 == 0 {
			refuses(t, reader, append(append([]byte{}, bare[:at]...), bare[at+1:]...), false)
			refuses(t, reader, append(append([]byte{}, bare[:at+1]...), bare[at:]...), false)
		}
	}
}

// refuses makes sure that a code with a slip is not read, as damaged where it must be, and counts 1.
func refuses(t *testing.T, r *Reader, wrong []byte, damaged bool) int {
	t.Helper()
	if _, err := r.Read(Sign + "-" + string(wrong)); err == nil || damaged && !errors.Is(err, ErrDamaged) {
		t.Fatalf("%s is taken for a code: %v", wrong, err)
	}
	return 1
}

// Three is a primitive root modulo 31 (any table of primitive roots; from memory): its powers are all symbols but 0, on which the distance of the code rests.
func TestRootIsPrimitive(t *testing.T) {
	seen := map[int]bool{}
	for n := range field - 1 {
		seen[power(root, n)] = true
	}
	if len(seen) != field-1 || seen[0] {
		t.Errorf("%d powers of %d modulo %d", len(seen), root, field)
	}
}

// Whole codes of another deal, card or version are told apart from damaged ones; entered passes have no code.
func TestCodesOfOthers(t *testing.T) {
	e := dealt(t, charleston.South, exercise.MockPasses, 1)
	rng := rand.New(rand.NewPCG(3, 1))
	code, err := Code(e, walkAtRandom(t, e, 4, rng))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := NewReader(dealt(t, charleston.South, exercise.MockPasses, 2)).Read(code); !errors.Is(err, ErrOther) {
		t.Errorf("of another deal: %v", err)
	}
	body, _ := body(code)
	word := symbols(body)
	later := sealed(append([]int{version + 1}, word[1:len(word)-checks]...))
	if _, err := NewReader(e).Read(Sign + "-" + spelt(later)); !errors.Is(err, ErrVersion) {
		t.Errorf("of a later version: %v", err)
	}
	many := sealed(append(append([]int{version}, mark(e)...), packed([]digit{{15, mostDecisions}, {0, 1}})...))
	if _, err := NewReader(e).Read(Sign + "-" + spelt(many)); err == nil || errors.Is(err, ErrDamaged) {
		t.Errorf("15 decisions: %v", err)
	}
	entered := dealt(t, charleston.South, exercise.EnteredPasses, 1)
	if _, err := Code(entered, entered.Routes[0]); err == nil {
		t.Error("a code where the tiles that came are typed in")
	}
}

// Codes are found among remarks, with names, in any case, with dashes that a phone makes of hyphens, and over a broken line.
func TestFind(t *testing.T) {
	e := dealt(t, charleston.South, exercise.MockPasses, 1)
	code, err := Code(e, walkAtRandom(t, e, 9, rand.New(rand.NewPCG(4, 1))))
	if err != nil {
		t.Fatal(err)
	}
	text := "I liked this one!\nRosa: " + code + ", what a rack\n\nTom - " + strings.ToLower(strings.ReplaceAll(code, "-", "–")) +
		"\nsee " + strings.Replace(code, "-", "-\n", 3) + "\n2P is no code\n"
	found := Find(text)
	if len(found) != 3 {
		t.Fatalf("%d codes: %+v", len(found), found)
	}
	for i, want := range []Found{{code, 2, "Rosa"}, {code, 4, "Tom"}, {code, 5, "see"}} {
		if found[i] != want {
			t.Errorf("found %+v, wanted %+v", found[i], want)
		}
	}
	if damaged := Find("Ann: " + code[:len(code)-1] + "0"); len(damaged) != 1 {
		t.Errorf("a code with a nought: %+v", damaged)
	} else if _, err := NewReader(e).Read(damaged[0].Code); !errors.Is(err, ErrDamaged) {
		t.Errorf("a code with a nought: %v", err)
	}
}

func FuzzRead(f *testing.F) {
	e := dealt(f, charleston.South, exercise.MockPasses, 1)
	code, err := Code(e, walkAtRandom(f, e, 9, rand.New(rand.NewPCG(5, 1))))
	if err != nil {
		f.Fatal(err)
	}
	f.Add("Rosa: " + code)
	f.Add("2P-22")
	reader := NewReader(e)
	f.Fuzz(func(t *testing.T, text string) {
		for _, found := range Find(text) {
			back, err := reader.Read(found.Code)
			if err != nil {
				continue
			}
			if again, err := Code(back, back.Routes[0]); err != nil || again != found.Code {
				t.Errorf("%s is read, and written as %s (%v)", found.Code, again, err)
			}
		}
	})
}
