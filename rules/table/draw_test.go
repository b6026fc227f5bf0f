package table

import (
	"testing"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// checkDraw takes back the last tile drawn and draws it again: the state is as it was, whatever came before. Meanwhile nobody can act,
// and the tile lies unseen in the wall.
func checkDraw(t *testing.T, s *State) (drew bool) {
	t.Helper()
	before, ok := s.Undrawn()
	if !ok {
		return false
	}
	seat := s.Turn()
	v, then := s.View(seat), before.View(seat)
	tile := tile.Kind(s.wall[before.drawn])
	seen, unseen := v.Rack(), then.Unseen()
	if then.Rack()[tile] != seen[tile]-1 || unseen[tile] != v.Unseen()[tile]+1 || then.WallLeft() != v.WallLeft()+1 {
		t.Fatalf("%s taken back is not in the wall", tile)
	}
	for other := range charleston.Seat(charleston.Seats) {
		if before.Waits(other) || len(before.Legal(other)) > 0 || before.Check(Action{Seat: other, Kind: Discard, Tile: tile}) == nil {
			t.Fatalf("%s may act while %s draws", other, seat)
		}
	}
	laid := before
	racks := before.racks
	if err := laid.Redeal(seat, &racks, before.Wall()); err != nil {
		t.Fatal(err)
	}
	if laid.Draw(); laid.View(seat).Rack() != seen || laid.Phase() != Discarding {
		t.Fatal("laid out as it was, another tile is drawn")
	}
	before.Draw()
	if before != *s {
		t.Fatal("drawn again, the state is another")
	}
	if before.Draw(); before != *s {
		t.Fatal("drawn a second time")
	}
	return true
}
