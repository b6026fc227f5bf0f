package experiment

import (
	"testing"

	"secondpass/engine/fit"
	"secondpass/engine/sim"
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// A gift moves one tile from the wall to the rack and one back, brings the hand that was nearest one tile nearer, and fills
// what it says: a single of which none was held, or a group of three or more of which two were.
func TestGift(t *testing.T) {
	c := card.Practice()
	accountant, err := exercise.NewAccountant(c, nil)
	if err != nil {
		t.Fatal(err)
	}
	given := 0
	for n := range uint64(400) {
		racks, wall := table.Deal(tile.Usual, sim.Stream(5, n, "gift"))
		account := accountant.Account(racks[1])
		before := account.Nearest
		for fill, singles := range map[Fill]int{FillGap: 1, FillShort: 0} {
			rack, left := racks[1], append([]tile.Kind(nil), wall...)
			if !gift(fill, &account, c, &rack, left) {
				if rack != racks[1] {
					t.Fatalf("no gift, and %s becomes %s", racks[1], rack)
				}
				continue
			}
			given++
			if rack.Plus(tile.RackOf(left...)) != racks[1].Plus(tile.RackOf(wall...)) || rack.Size() != 13 {
				t.Fatalf("%s becomes %s, and tiles are lost", racks[1], rack)
			}
			after := fit.Read(c, before.Variant, rack)
			if after.Away != before.Away-1 || after.MissingSingles != before.MissingSingles-singles {
				t.Errorf("%s: away %d, missing singles %d; after %s it is %s, %d and %d", racks[1], before.Away, before.MissingSingles,
					fillWords[fill], rack, after.Away, after.MissingSingles)
			}
			got := rack.Minus(racks[1]).Tiles()[0]
			if held := racks[1][got]; fill == FillGap && held != 0 || fill == FillShort && held < 2 {
				t.Errorf("%s gets %s by %s", racks[1], got, fillWords[fill])
			}
		}
	}
	if given < 20 {
		t.Errorf("%d gifts: the test shows little", given)
	}
}
