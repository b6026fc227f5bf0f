package files_test

import (
	"errors"
	"os"
	"sync"
	"testing"

	"secondpass/store"
	"secondpass/store/files"
)

// deck is cards with a hand for each thing that is done to them.
type deck struct {
	*testing.T
	store.Cards
}

func (d deck) must(err error) {
	d.Helper()
	if err != nil {
		d.Fatal(err)
	}
}

// keep keeps a text and a draft in place of what is there.
func (d deck) keep(text, draft string) {
	d.Helper()
	_, err := d.Keep("Mine", d.Revision("Mine"), []byte(text), []byte(draft))
	d.must(err)
}

func (d deck) wants(text, draft string) {
	d.Helper()
	got, err := d.Text("Mine")
	beside, ok := d.Draft("Mine")
	if err != nil || string(got) != text || string(beside) != draft || ok != (draft != "") {
		d.Errorf("the card is %q with the draft %q, wanted %q and %q; %v", got, beside, text, draft, err)
	}
}

// A draft goes and comes back with its card, and never stands in for the text of another card of the same name.
func TestDraftGoesWithItsCard(t *testing.T) { everywhere(t, testDraftGoesWithItsCard) }

func testDraftGoesWithItsCard(t *testing.T, room, _ files.Room) {
	c := deck{t, files.On(room, nil).Cards}
	c.keep("first", "half done")
	c.must(c.Delete("Mine"))
	if text, ok := c.Draft("Mine"); ok {
		t.Errorf("the draft %q is left", text)
	}
	c.must(c.Restore("Mine"))
	c.wants("first", "half done")
	c.must(c.Delete("Mine"))
	c.keep("second", "")
	c.wants("second", "")
	c.must(c.Delete("Mine"))
	c.must(c.Restore("Mine"))
	c.wants("second", "")
}

// Deleting a second and third card of a name does not destroy the first: they come back one after the other, the last
// deleted first, each with its own draft.
func TestDeletedCardsOfOneName(t *testing.T) { everywhere(t, testDeletedCardsOfOneName) }

func testDeletedCardsOfOneName(t *testing.T, room, _ files.Room) {
	c := deck{t, files.On(room, nil).Cards}
	for _, text := range []string{"first", "second", "third"} {
		c.keep(text, text+" draft")
		c.must(c.Delete("Mine"))
	}
	for _, text := range []string{"third", "second", "first"} {
		c.must(c.Restore("Mine"))
		c.wants(text, text+" draft")
		if err := c.Restore("Mine"); !errors.Is(err, store.ErrNameTaken) {
			t.Error(err)
		}
		for _, ext := range []string{"", ".draft"} { // taken elsewhere, so that the name is free
			c.must(room.Remove("cards/Mine.card" + ext))
		}
	}
	if err := c.Restore("Mine"); !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
	if names, err := c.List(); err != nil || len(names) != 0 {
		t.Error(names, err)
	}
}

// What was not seen is not overwritten, whether another window or another program has put it there.
func TestUnseenIsNotOverwritten(t *testing.T) { everywhere(t, testUnseenIsNotOverwritten) }

func testUnseenIsNotOverwritten(t *testing.T, room, other files.Room) {
	c := deck{t, files.On(room, nil).Cards}
	if c.Revision("Mine") != "" {
		t.Error("a revision of nothing")
	}
	refused := func(seen string) {
		t.Helper()
		if _, err := c.Keep("Mine", seen, []byte("lost?"), nil); !errors.Is(err, store.ErrCardChanged) {
			t.Error(err)
		}
	}
	refused("of a card that is gone")
	first, err := c.Keep("Mine", "", []byte("first"), nil)
	c.must(err)
	refused("") // a new card of the name
	second, err := c.Keep("Mine", first, nil, []byte("half done"))
	c.must(err)
	refused(first)
	c.wants("first", "half done")
	c.must(room.Write("cards/Mine.card", []byte("by an editor")))
	refused(second)
	c.wants("by an editor", "half done")
	if c.Revision("Mine") != files.On(other, nil).Cards.Revision("Mine") {
		t.Error("another program has another revision of the same")
	}

	var all sync.WaitGroup
	var won sync.Map
	seen := c.Revision("Mine")
	for i := range 8 {
		all.Go(func() {
			if _, err := c.Keep("Mine", seen, []byte{byte('a' + i)}, nil); err == nil {
				won.Store(i, true)
			}
		})
	}
	all.Wait()
	n := 0
	won.Range(func(any, any) bool { n++; return true })
	if n != 1 {
		t.Errorf("%d of 8 at once were kept", n)
	}
}
