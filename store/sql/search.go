package sql

import (
	"context"
	"database/sql"
	"encoding/json"
	"slices"
	"strings"

	"secondpass/rules/tile"
	"secondpass/store"
)

// searched is what an exercise is looked for by, besides its name: the name of its card, the tiles dealt, and its aims, one a line.
type searched struct{ card, deal, aims string }

// searchedIn takes it out of an exercise's file; of one that is damaged it is nothing.
func searchedIn(document string) (s searched) {
	var f struct {
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
	if json.Unmarshal([]byte(document), &f) != nil {
		return s
	}
	var aims []string
	for _, r := range f.Routes {
		aims = append(aims, r.Aim...)
		for _, n := range r.Notes {
			aims = append(aims, n.Aim...)
		}
	}
	slices.Sort(aims)
	return searched{f.Card.Name, f.Deal, strings.Join(slices.Compact(aims), "\n")}
}

// fillSearched does so for exercises that were kept before it stood in columns.
func fillSearched(ctx context.Context, tx *sql.Tx) error {
	type key struct{ teacher, id int64 }
	rows, err := tx.QueryContext(ctx, `SELECT teacher, id, document FROM exercises`)
	if err != nil {
		return err
	}
	defer rows.Close()
	found := map[key]searched{}
	for rows.Next() {
		var k key
		var document string
		if err := rows.Scan(&k.teacher, &k.id, &document); err != nil {
			return err
		}
		found[k] = searchedIn(document)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for k, f := range found {
		if _, err := tx.ExecContext(ctx, `UPDATE exercises SET card = $1, deal = $2, aims = $3 WHERE teacher = $4 AND id = $5`, f.card, f.deal, f.aims, k.teacher, k.id); err != nil {
			return err
		}
	}
	return nil
}

// Search is the exercises that are looked for, the one changed last first.
func (s *Store) Search(w store.Wish) ([]store.Entry, error) {
	return reading(s, func(tx *transaction) ([]store.Entry, error) { return search(tx, &w) })
}

func search(tx *transaction, w *store.Wish) (found []store.Entry, err error) {
	rows, err := tx.Query(`SELECT ` + columns + `, card, deal, aims FROM exercises WHERE teacher = $1 AND deleted IS NULL ORDER BY changed DESC, id DESC`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var in searched
		e, err := scan(rows, &in.card, &in.deal, &in.aims)
		if err != nil {
			return nil, err
		}
		if within(e.Name, w.Name) && (w.ByName() || in.holds(w)) {
			found = append(found, e)
		}
	}
	return found, rows.Err()
}

// holds says whether it is what is looked for.
func (s *searched) holds(w *store.Wish) bool {
	if !within(s.card, w.Card) {
		return false
	}
	if w.Has.Size() > 0 {
		tiles, err := tile.ParseList(s.deal)
		if err != nil || !tile.RackOf(tiles...).Contains(w.Has) {
			return false
		}
	}
	if w.Aim == "" {
		return true
	}
	return slices.ContainsFunc(strings.Split(s.aims, "\n"), func(aim string) bool { return within(aim, w.Aim) })
}

// within says whether a text holds a part, in capitals or not.
func within(text, part string) bool {
	return strings.Contains(strings.ToLower(text), strings.ToLower(part))
}
