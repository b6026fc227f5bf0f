package view

import (
	"fmt"
	"slices"

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

// Keypad is the kinds to tap, in rows as they lie in a tray: the suits, then the honours, flowers and jokers but for those left out.
func Keypad(without ...tile.Kind) [][]Pick {
	var rows [][]Pick
	for k := range tile.Kind(tile.Kinds) {
		if k == 0 || k == tile.Ranked(1, tile.Craks) || k == tile.Ranked(1, tile.Dots) || k == tile.North {
			rows = append(rows, nil)
		}
		if slices.Contains(without, k) {
			continue
		}
		last := &rows[len(rows)-1]
		*last = append(*last, Pick{Code: k.String(), Name: k.Name(), Drawing: Plain([]tile.Kind{k})[0].SVG("")})
	}
	return rows
}
