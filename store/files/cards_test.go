package files_test

import (
	"testing"

	"secondpass/store/files"
)

// A draft goes and comes back with its card, and never stands in for the text of another card of the same name.
func TestDraftGoesWithItsCard(t *testing.T) {
	t.Parallel()
	c := files.In(t.TempDir(), nil).Cards
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	draft := func(want string) {
		t.Helper()
		if text, ok := c.Draft("Mine"); string(text) != want || ok != (want != "") {
			t.Errorf("the draft is %q, wanted %q", text, want)
		}
	}
	must(c.Save("Mine", []byte("first")))
	must(c.SaveDraft("Mine", []byte("half done")))
	must(c.Delete("Mine"))
	draft("")
	must(c.Restore("Mine"))
	draft("half done")

	must(c.Delete("Mine"))
	must(c.Save("Mine", []byte("second")))
	draft("")
	must(c.Delete("Mine"))
	must(c.Restore("Mine"))
	draft("")
	if text, err := c.Text("Mine"); err != nil || string(text) != "second" {
		t.Errorf("restored %q, %v", text, err)
	}
}
