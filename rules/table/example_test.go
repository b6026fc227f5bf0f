package table_test

import (
	"fmt"

	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// A small card and a game on it as text: South claims East's discard and throws a wind that West may answer.
func Example() {
	c, _, err := card.Read("small.card", []byte(`
		card Small
		section All
		25 exposed FF 111b 1b 2222c 333d 3d
	`), tile.Usual)
	if err != nil {
		fmt.Println(err)
		return
	}
	game := table.NewGame(c, house.Usual)

	record, err := table.ReadRecord(`
		record 1
		card Small
		tiles 8 flowers, 8 jokers
		points on
		East  2c 456789b 5678d EWS
		South 22c J FF 1111b 333d N
		West  5555c 6666c 7777c N
		North 8888c 9999c 9999d N
		wall RRRRGGGG0000 FFFFFF JJJJJJJ NEEEWWWSSS
		wall 2222b 3333b 444b 555b 666b 777b 888b 999b 1111c 2c 3333c 4444c 1111d 2222d 3d 4444d 555d 666d 777d 888d
		play
		E discards 2c
		S claims 2c: 222c J
		S discards N
	`, func(table.Head) (*table.Game, error) { return game, nil })
	if err != nil {
		fmt.Println(err)
		return
	}
	state, err := record.Replay()
	if err != nil {
		fmt.Println(err)
		return
	}
	view := state.View(1) // South's
	groups, n := view.Open(view.Seat())
	fmt.Println("South holds", view.Rack(), "and has open", groups[:n])
	fmt.Println("West may:", state.Legal(2))
	// Output:
	// South holds 1111b 333d FF and has open [222c J]
	// West may: [W declines]
}
