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
	err = s.within(func(tx *transaction) error {
		fresh, tx.grows = 0, true
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

func addDrill(tx *transaction, d *drill.Drill, c *card.Card, now int64) (id int64, fresh bool, err error) {
	document, position, err := written(d)
	if err != nil {
		return 0, false, err
	}
	err = tx.QueryRow(`SELECT id FROM drills WHERE teacher = $1 AND fingerprint = $2 AND kind = $3 AND position = $4 AND deleted IS NULL`,
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
	_, err = tx.Exec(`INSERT INTO drills (teacher, id, fingerprint, kind, position, document, sum, rating, deviation, volatility, made)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`,
		id, d.Key.Fingerprint, string(d.Kind), position, document, sum("", document), d.Rating.Value, d.Rating.Deviation, d.Rating.Volatility, now)
	return id, true, err
}

func keepCard(tx *transaction, c *card.Card) error {
	_, err := tx.Exec(`INSERT INTO drill_cards (teacher, fingerprint, name, source, flowers, jokers) VALUES ($1, $2, $3, $4, $5, $6)
		ON CONFLICT (teacher, fingerprint) DO UPDATE SET name = excluded.name, source = excluded.source`,
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
	return s.within(func(tx *transaction) error {
		if err := keepCard(tx, c); err != nil {
			return err
		}
		res, err := tx.Exec(`UPDATE drills SET fingerprint = $2, kind = $3, position = $4, document = $5, sum = $6, made = $7 WHERE teacher = $1 AND id = $8 AND deleted IS NULL`,
			d.Key.Fingerprint, string(d.Kind), position, document, sum("", document), now, d.ID)
		return oneRow(res, err, fmt.Errorf("%d: %w", d.ID, store.ErrNoDrill))
	})
}

const drillColumns = `id, document, sum, rating, deviation, volatility`

func scanDrill(from row) (*drill.Drill, error) {
	var id int64
	var document, kept string
	var r drill.Rating
	if err := from.Scan(&id, &document, &kept, &r.Value, &r.Deviation, &r.Volatility); err != nil {
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
func (s *Store) Drills(f store.DrillFilter) ([]*drill.Drill, error) {
	return reading(s, func(tx *transaction) ([]*drill.Drill, error) { return drills(tx, f) })
}

func drills(tx *transaction, f store.DrillFilter) ([]*drill.Drill, error) {
	return all(tx, scanDrill, `SELECT `+drillColumns+` FROM drills WHERE teacher = $1 AND (deleted IS NOT NULL) = $4
		AND ($2 = '' OR fingerprint = $2) AND ($3 = '' OR kind = $3) ORDER BY id`, f.Fingerprint, string(f.Kind), f.Deleted)
}

// Drill finds a drill by its number.
func (s *Store) Drill(id int64) (*drill.Drill, error) {
	return reading(s, func(tx *transaction) (*drill.Drill, error) { return drillOf(tx, id) })
}

func drillOf(tx *transaction, id int64) (*drill.Drill, error) {
	d, err := scanDrill(tx.QueryRow(`SELECT `+drillColumns+` FROM drills WHERE teacher = $1 AND id = $2 AND deleted IS NULL`, id))
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%d: %w", id, store.ErrNoDrill)
	}
	return d, err
}

// DeleteDrill puts drills away, all or none. What students did with them stays in their results.
func (s *Store) DeleteDrill(ids ...int64) error {
	now := s.Now().Unix()
	return s.within(func(tx *transaction) error {
		for _, id := range ids {
			res, err := tx.Exec(`UPDATE drills SET deleted = $2 WHERE teacher = $1 AND id = $3 AND deleted IS NULL`, now, id)
			if err := oneRow(res, err, fmt.Errorf("%d: %w", id, store.ErrNoDrill)); err != nil {
				return err
			}
		}
		return nil
	})
}

// RestoreDrill brings deleted drills back, all or none.
func (s *Store) RestoreDrill(ids ...int64) error {
	return s.within(func(tx *transaction) error {
		for _, id := range ids {
			res, err := tx.Exec(`UPDATE drills SET deleted = NULL WHERE teacher = $1 AND id = $2 AND deleted IS NOT NULL`, id)
			if err := oneRow(res, err, fmt.Errorf("%d: %w", id, store.ErrNoDrill)); err != nil {
				return err
			}
		}
		return nil
	})
}

// DrillCard is the card for which a key was made, by its fingerprint.
func (s *Store) DrillCard(fingerprint string) (*card.Card, error) {
	return reading(s, func(tx *transaction) (*card.Card, error) { return drillCard(tx, fingerprint) })
}

func drillCard(tx *transaction, fingerprint string) (*card.Card, error) {
	var name, source string
	var flowers, jokers int
	err := tx.QueryRow(`SELECT name, source, flowers, jokers FROM drill_cards WHERE teacher = $1 AND fingerprint = $2`, fingerprint).Scan(&name, &source, &flowers, &jokers)
	if err != nil {
		return nil, fmt.Errorf("the card of a drill: %w", err)
	}
	set, err := tile.NewSet(flowers, jokers)
	if err != nil {
		return nil, err
	}
	return prepared.Read(name, source, set)
}
