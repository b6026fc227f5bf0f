package sql

import (
	"encoding/json"
	"strings"

	"secondpass/rules/tile"
	"secondpass/store"
)

// searched is what of an exercise's file is looked at in a search.
type searched struct {
	Card struct {
		Name string `json:"name"`
	} `json:"card"`
	Deal   string `json:"deal"`
	Routes []struct {
		Aim   []string `json:"aim"`
		Notes []struct {
			Aim []string `json:"aim"`
		} `json:"notes"`
	} `json:"routes"`
}

// Search is the exercises that are looked for, the one changed last first. One that is damaged is found by its name alone.
func (s *Store) Search(w store.Wish) ([]store.Entry, error) {
	return reading(s, func(tx *transaction) ([]store.Entry, error) { return search(tx, &w) })
}

func search(tx *transaction, w *store.Wish) (found []store.Entry, err error) {
	rows, err := tx.Query(`SELECT ` + columns + `, document FROM exercises WHERE teacher = $1 AND deleted IS NULL ORDER BY changed DESC, id DESC`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var document string
		e, err := scan(rows, &document)
		if err != nil {
			return nil, err
		}
		if within(e.Name, w.Name) && (w.ByName() || holds(document, w)) {
			found = append(found, e)
		}
	}
	return found, rows.Err()
}

// holds says whether an exercise's file has what is looked for besides its name.
func holds(document string, w *store.Wish) bool {
	var f searched
	if json.Unmarshal([]byte(document), &f) != nil || !within(f.Card.Name, w.Card) {
		return false
	}
	if w.Has.Size() > 0 {
		tiles, err := tile.ParseList(f.Deal)
		if err != nil {
			return false
		}
		deal := tile.RackOf(tiles...)
		for k, n := range w.Has {
			if deal[k] < n {
				return false
			}
		}
	}
	if w.Aim == "" {
		return true
	}
	for _, r := range f.Routes {
		aims := r.Aim
		for _, n := range r.Notes {
			aims = append(aims, n.Aim...)
		}
		for _, aim := range aims {
			if within(aim, w.Aim) {
				return true
			}
		}
	}
	return false
}

// within says whether a text holds a part, in capitals or not.
func within(text, part string) bool {
	return strings.Contains(strings.ToLower(text), strings.ToLower(part))
}
