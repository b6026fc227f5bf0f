package view

import (
	"fmt"

	"secondpass/rules/tile"
)

// ReadTiles reads tiles of a form that were chosen one by one.
func ReadTiles(codes []string) (tile.Rack, []tile.Kind, error) {
	var rack tile.Rack
	var kinds []tile.Kind
	for _, c := range codes {
		k, err := tile.ParseList(c)
		if err != nil || len(k) != 1 {
			return rack, nil, fmt.Errorf("%q is no tile", c)
		}
		rack[k[0]]++
		kinds = append(kinds, k[0])
	}
	return rack, kinds, nil
}
