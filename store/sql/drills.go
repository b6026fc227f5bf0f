package sql

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/drill"
)

// AddDrill keeps a drill of a card and gives it its number. One of the same kind at the same position, keyed for the same
// hands, is kept once: then d gets the number of the one that is there, which stays as it is.
func (s *Store) AddDrill(d *drill.Drill, c *card.Card) error {
	_, err := s.AddDrills([]*drill.Drill{d}, c)
	return err
}

// AddDrills is AddDrill for several at once, all or none. It says how many were new.
func (s *Store) AddDrills(drills []*drill.Drill, c *card.Card) (fresh int, err error) {
	now := s.Now().Unix()
	ids := make([]int64, len(drills))
	err = s.within(func(tx *sql.Tx) error {
		fresh = 0
		for i, d := range drills {
			id, isNew, err := addDrill(tx, d, c, now)
			if err != nil {
				return err
			}
			if ids[i] = id; isNew {
				fresh++
			}
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	for i, d := range drills {
		d.ID = ids[i]
	}
	return fresh, nil
}

// written is a drill as it is kept, and the mark of what it asks.
func written(d *drill.Drill) (document, position string, err error) {
	text, err := json.Marshal(d)
	if err != nil {
		return "", "", err
	}
	if d.Kind == drill.Own {
		var texts []string
		for _, c := range d.Choices {
			texts = append(texts, c.String())
		}
		position, err = digest(ownMark{d.Position, texts})
	} else {
		position, err = digest(&d.Position)
	}
	return string(text), position, err
}

// ownMark is what tells a teacher's own drills apart: at one position they may ask about different answers.
type ownMark struct {
	Position drill.Position `json:"position"`
	Choices  []string       `json:"choices"`
}

func addDrill(tx *sql.Tx, d *drill.Drill, c *card.Card, now int64) (id int64, fresh bool, err error) {
	document, position, err := written(d)
	if err != nil {
		return 0, false, err
	}
	err = tx.QueryRow(`SELECT id FROM drills WHERE fingerprint = $1 AND kind = $2 AND position = $3 AND deleted IS NULL`,
		d.Key.Fingerprint, string(d.Kind), position).Scan(&id)
	if !errors.Is(err, sql.ErrNoRows) {
		return id, false, err // it is there, or cannot be asked for
	}
	if err := keepCard(tx, c); err != nil {
		return 0, false, err
	}
	if id, err = next(tx, "drills"); err != nil {
		return 0, false, err
	}
	_, err = tx.Exec(`INSERT INTO drills (id, fingerprint, kind, position, document, sum, rating, deviation, volatility, made)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		id, d.Key.Fingerprint, string(d.Kind), position, document, sum("", document), d.Rating.Value, d.Rating.Deviation, d.Rating.Volatility, now)
	return id, true, err
}

func keepCard(tx *sql.Tx, c *card.Card) error {
	_, err := tx.Exec(`INSERT INTO drill_cards (fingerprint, name, source, flowers, jokers) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT (fingerprint) DO UPDATE SET name = excluded.name, source = excluded.source`,
		player.Fingerprint(c), c.Name, c.Source, int(c.Set[tile.Flower]), int(c.Set[tile.Joker]))
	return err
}

// SaveDrill keeps a drill as it is now, with a key for a card. Its rating is not touched: that is for students' tries.
func (s *Store) SaveDrill(d *drill.Drill, c *card.Card) error {
	document, position, err := written(d)
	if err != nil {
		return err
	}
	now := s.Now().Unix()
	return s.within(func(tx *sql.Tx) error {
		if err := keepCard(tx, c); err != nil {
			return err
		}
		res, err := tx.Exec(`UPDATE drills SET fingerprint = $1, kind = $2, position = $3, document = $4, sum = $5, made = $6 WHERE id = $7 AND deleted IS NULL`,
			d.Key.Fingerprint, string(d.Kind), position, document, sum("", document), now, d.ID)
		return oneRow(res, err, fmt.Errorf("%d: %w", d.ID, store.ErrNoDrill))
	})
}

// oneRow is the error of a statement, or missing where it met nothing.
func oneRow(res sql.Result, err, missing error) error {
	if err != nil {
		return err
	}
	n, err := res.RowsAffected()
	if err == nil && n == 0 {
		return missing
	}
	return err
}

const drillColumns = `id, document, sum, rating, deviation, volatility`

func scanDrill(row interface{ Scan(...any) error }) (*drill.Drill, error) {
	var id int64
	var document, kept string
	var r drill.Rating
	if err := row.Scan(&id, &document, &kept, &r.Value, &r.Deviation, &r.Volatility); err != nil {
		return nil, err
	}
	if kept != sum("", document) {
		return nil, damaged(fmt.Sprintf("drill %d", id), errSum)
	}
	d := &drill.Drill{}
	if err := json.Unmarshal([]byte(document), d); err != nil {
		return nil, damaged(fmt.Sprintf("drill %d", id), err)
	}
	d.ID, d.Rating = id, r
	return d, nil
}

// Drills lists drills by number.
func (s *Store) Drills(f store.DrillFilter) (list []*drill.Drill, err error) {
	defer unread(&err)
	rows, err := s.db.Query(`SELECT `+drillColumns+` FROM drills WHERE (deleted IS NOT NULL) = $3
		AND ($1 = '' OR fingerprint = $1) AND ($2 = '' OR kind = $2) ORDER BY id`, f.Fingerprint, string(f.Kind), f.Deleted)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		d, err := scanDrill(rows)
		if err != nil {
			return nil, err
		}
		list = append(list, d)
	}
	return list, rows.Err()
}

// Drill finds a drill by its number.
func (s *Store) Drill(id int64) (d *drill.Drill, err error) {
	defer unread(&err)
	d, err = scanDrill(s.db.QueryRow(`SELECT `+drillColumns+` FROM drills WHERE id = $1 AND deleted IS NULL`, id))
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%d: %w", id, store.ErrNoDrill)
	}
	return d, err
}

// DeleteDrill puts drills away, all or none. What students did with them stays in their results.
func (s *Store) DeleteDrill(ids ...int64) error {
	now := s.Now().Unix()
	return s.within(func(tx *sql.Tx) error {
		for _, id := range ids {
			res, err := tx.Exec(`UPDATE drills SET deleted = $1 WHERE id = $2 AND deleted IS NULL`, now, id)
			if err := oneRow(res, err, fmt.Errorf("%d: %w", id, store.ErrNoDrill)); err != nil {
				return err
			}
		}
		return nil
	})
}

// RestoreDrill brings deleted drills back, all or none.
func (s *Store) RestoreDrill(ids ...int64) error {
	return s.within(func(tx *sql.Tx) error {
		for _, id := range ids {
			res, err := tx.Exec(`UPDATE drills SET deleted = NULL WHERE id = $1 AND deleted IS NOT NULL`, id)
			if err := oneRow(res, err, fmt.Errorf("%d: %w", id, store.ErrNoDrill)); err != nil {
				return err
			}
		}
		return nil
	})
}

// DrillCard is the card for which a key was made, by its fingerprint.
func (s *Store) DrillCard(fingerprint string) (c *card.Card, err error) {
	defer unread(&err)
	var name, source string
	var flowers, jokers int
	err = s.db.QueryRow(`SELECT name, source, flowers, jokers FROM drill_cards WHERE fingerprint = $1`, fingerprint).Scan(&name, &source, &flowers, &jokers)
	if err != nil {
		return nil, fmt.Errorf("the card of a drill: %w", err)
	}
	set, err := tile.NewSet(flowers, jokers)
	if err != nil {
		return nil, err
	}
	return prepared.Read(name, source, set)
}
