package exercise

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

func routesOf(t *testing.T) *Exercise {
	t.Helper()
	deal, err := tile.Parse("123b 456c 789d NEWS", tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	e, err := New("Evens", card.Practice(), house.Usual, charleston.South, deal, MockPasses, 5)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func ids(e *Exercise) string {
	var list []string
	for _, r := range e.Routes {
		list = append(list, r.ID+"="+r.Name)
	}
	return strings.Join(list, " ")
}

func fork(t *testing.T, e *Exercise, from, name string) {
	t.Helper()
	if _, err := e.Fork(from, 0, name); err != nil {
		t.Fatal(err)
	}
}

func reread(t testing.TB, e *Exercise) *Exercise {
	t.Helper()
	var b bytes.Buffer
	err := e.Write(&b)
	if err == nil {
		e, err = Read(&b)
	}
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// Renaming a route and removing another leaves its letter as it is, and no letter is given twice, also when the file was
// read again meanwhile.
func TestRoutesKeepTheirLetters(t *testing.T) {
	e := routesOf(t)
	fork(t, e, "A", "")
	fork(t, e, "A", "Odds")
	if got := ids(e); got != "A=A B=B C=Odds" {
		t.Fatal(got)
	}
	if err := e.RenameRoute("B", "Runs"); err != nil {
		t.Fatal(err)
	}
	if err := e.RemoveRoute("A"); err != nil {
		t.Fatal(err)
	}
	if got := ids(e); got != "B=Runs C=Odds" {
		t.Fatal(got)
	}
	if err := e.RemoveRoute("Odds"); err != nil { // the one given last
		t.Fatal(err)
	}
	e = reread(t, e)
	fork(t, e, "Runs", "")
	if got := ids(e); got != "B=Runs D=D" {
		t.Fatal(got)
	}
	// A name that is the next letter does not stop it from being given.
	if err := e.RenameRoute("D", "E"); err != nil {
		t.Fatal(err)
	}
	fork(t, e, "Runs", "")
	if got := ids(e); got != "B=Runs D=E E=E 2" {
		t.Fatal(got)
	}
	// A letter is an address before a name is; a name goes first where somebody types it.
	if r, err := e.RouteAt("E"); err != nil || r.Name != "E 2" {
		t.Error("the letter E leads to", r)
	}
	if r, err := e.Route("e"); err != nil || r.ID != "D" {
		t.Error("the name e leads to", r, err)
	}
	if r, err := e.Route("d"); err != nil || r.ID != "D" {
		t.Error("the letter d leads to", r, err)
	}
	if r, err := e.RouteAt("Runs"); err != nil || r.ID != "B" {
		t.Error("a name leads to", r)
	}
	if r, err := e.RouteAt("A"); err == nil {
		t.Error("a removed letter leads to", r)
	}
}

// Routes of earlier files get letters when they are read: those called by a letter that one, the rest those that follow.
func TestRoutesWithoutLettersGetThem(t *testing.T) {
	e := routesOf(t)
	for _, name := range []string{"B", "Runs", "D", "Odds"} {
		fork(t, e, "A", name)
	}
	if err := e.RemoveRoute("A"); err != nil {
		t.Fatal(err)
	}
	e.forget(e.Removed[0]) // earlier programs kept none
	var b bytes.Buffer
	if err := e.Write(&b); err != nil {
		t.Fatal(err)
	}
	var lines []string
	for line := range strings.Lines(b.String()) {
		if !strings.Contains(line, `"id":`) && !strings.Contains(line, `"letters":`) {
			lines = append(lines, line)
		}
	}
	earlier := strings.Join(lines, "")
	e, err := Read(strings.NewReader(earlier))
	if err != nil {
		t.Fatal(err)
	}
	if got := ids(e); got != "B=B E=Runs D=D F=Odds" {
		t.Error(got)
	}
	fork(t, e, "B", "")
	if got := e.Routes[len(e.Routes)-1].ID; got != "G" {
		t.Errorf("the next letter is %s", got)
	}
}

func TestWrongLetters(t *testing.T) {
	e := routesOf(t)
	fork(t, e, "A", "Runs")
	var b bytes.Buffer
	if err := e.Write(&b); err != nil {
		t.Fatal(err)
	}
	for _, test := range [][3]string{
		{`"id": "B"`, `"id": "A"`, `route Runs: id: "A", which route A has`},
		{`"id": "B"`, `"id": "b"`, `route Runs: id: "b"; a letter, as A or B2, is right`},
		{`"id": "B"`, `"id": "A1"`, `route Runs: id: "A1"; a letter, as A or B2, is right`},
		{`"letters": 2`, `"letters": 1`, `letters: 1 given, but route Runs has the letter B`},
		{`"letters": 2`, `"letters": 4000000000`, `letters: 4000000000 given; 1073741824 are the most`},
		{`"letters": 2`, `"letters": -2`, `letters: -2 given, but route A has the letter A`},
	} {
		text := b.String()
		if !strings.Contains(text, test[0]) {
			t.Fatalf("no %s in the file", test[0])
		}
		_, err := Read(strings.NewReader(strings.Replace(text, test[0], test[1], 1)))
		if err == nil || err.Error() != test[2] {
			t.Errorf("%s: %v", test[1], err)
		}
	}
}

func TestLettersCount(t *testing.T) {
	var seen []string
	for i := range 1000 {
		letter := routeLetter(i)
		if n, ok := letterNumber(letter); !ok || n != i {
			t.Fatalf("letter %d is %s, read as %d", i, letter, n)
		}
		seen = append(seen, letter)
	}
	slices.Sort(seen)
	if len(slices.Compact(seen)) != 1000 {
		t.Error("a letter comes twice")
	}
	for _, text := range []string{"", "a", "AA", "A1", "A02", "A-2", "A99999999999999999999", "Ä", "2"} {
		if _, ok := letterNumber(text); ok {
			t.Errorf("%q is a letter", text)
		}
	}
}
