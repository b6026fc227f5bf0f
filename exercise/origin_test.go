package exercise

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"secondpass/rules/charleston"
)

// Where a route was forked is kept by the letter of its origin, which stays whatever routes are called: also when two
// exchange their names.
func TestOriginStaysUnderOtherNames(t *testing.T) {
	e := newExercise(t, charleston.East, MockPasses, 9)
	if _, err := e.WalkAll([][]string{nil}); err != nil {
		t.Fatal(err)
	}
	for _, from := range []string{"A", "B"} {
		if _, err := e.Fork(from, 2, ""); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range [][2]string{{"A", "x"}, {"B", "A"}, {"x", "B"}} {
		if err := e.RenameRoute(name[0], name[1]); err != nil {
			t.Fatal(err)
		}
	}
	var file bytes.Buffer
	if err := e.Write(&file); err != nil {
		t.Fatal(err)
	}
	back, err := Read(&file)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"", "A", "B"} {
		if r := back.Routes[i]; r.From != want {
			t.Errorf("route %s was forked from the route with the letter %q, wanted %q", r.ID, r.From, want)
		}
	}
	// A file from before routes had letters says it by name.
	var written bytes.Buffer
	for i, name := range []string{"One", "Two", "Three"} {
		e.Routes[i].Name = name
	}
	if err := e.Write(&written); err != nil {
		t.Fatal(err)
	}
	earlier := regexp.MustCompile(` *"(id|letters)": .*\n`).ReplaceAllString(written.String(), "")
	earlier = strings.NewReplacer(`"from": "A"`, `"from": "One"`, `"from": "B"`, `"from": "two"`).Replace(earlier)
	if !strings.Contains(earlier, `"from": "two"`) {
		t.Fatal(earlier)
	}
	old, err := Read(strings.NewReader(earlier))
	if err != nil || old.Origin(old.Routes[1]) != old.Routes[0] || old.Origin(old.Routes[2]) != old.Routes[1] {
		t.Errorf("%v\n%s", err, earlier)
	}
}
