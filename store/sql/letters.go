package sql

import (
	"context"
	"database/sql"
	"encoding/json"
	"strings"

	"secondpass/exercise"
	"secondpass/teach/class"
)

// letterRoutes makes classes know their routes by letter, which lasts, where an earlier program kept names. A class whose exercise
// cannot be read, or has no such route any more, stays as it is.
func letterRoutes(ctx context.Context, tx *sql.Tx) error {
	walked, err := documents(ctx, tx, `SELECT c.id, e.document FROM classes c JOIN exercises e ON e.id = c.exercise`)
	if err != nil {
		return err
	}
	for id, document := range walked {
		e, err := exercise.Read(strings.NewReader(document))
		if err != nil {
			continue
		}
		letter := func(route string) string {
			if r, err := e.RouteAt(route); err == nil {
				return r.ID
			}
			return route
		}
		if err := letterClass(ctx, tx, id, letter); err != nil {
			return err
		}
		if err := letterRounds(ctx, tx, id, letter); err != nil {
			return err
		}
	}
	return nil
}

func letterClass(ctx context.Context, tx *sql.Tx, id int64, letter func(string) string) error {
	var text string
	if err := tx.QueryRowContext(ctx, `SELECT routes FROM classes WHERE id = $1`, id).Scan(&text); err != nil {
		return err
	}
	var routes []string
	if json.Unmarshal([]byte(text), &routes) != nil {
		return nil // it is named when the class is read
	}
	for i, route := range routes {
		routes[i] = letter(route)
	}
	now, err := json.Marshal(routes)
	if err == nil {
		_, err = tx.ExecContext(ctx, `UPDATE classes SET routes = $1, sum = $2 WHERE id = $3`, string(now), sum("", string(now)), id)
	}
	return err
}

func letterRounds(ctx context.Context, tx *sql.Tx, id int64, letter func(string) string) error {
	names, err := distinct(ctx, tx, `SELECT DISTINCT route FROM class_rounds WHERE class = $1`, id)
	if err != nil {
		return err
	}
	for _, route := range names {
		if _, err := tx.ExecContext(ctx, `UPDATE class_rounds SET route = $1 WHERE class = $2 AND route = $3`, letter(route), id, route); err != nil {
			return err
		}
	}
	followed, err := distinct(ctx, tx, `SELECT DISTINCT follows FROM class_rounds WHERE class = $1`, id)
	if err != nil {
		return err
	}
	for _, text := range followed {
		var follows []class.Follow
		if json.Unmarshal([]byte(text), &follows) != nil || len(follows) == 0 {
			continue
		}
		for i := range follows {
			follows[i].Route = letter(follows[i].Route)
		}
		now, err := json.Marshal(follows)
		if err == nil {
			_, err = tx.ExecContext(ctx, `UPDATE class_rounds SET follows = $1, follows_sum = $2 WHERE class = $3 AND follows = $4`, string(now), sum("", string(now)), id, text)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
