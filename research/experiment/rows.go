package experiment

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"

	"secondpass/engine/sim"
	"secondpass/rules/tile"
)

// Row is one deal of an experiment as it was played, so that other programs can work out every figure anew.
type Row struct {
	// Seed is that of the run, Deal the number of the deal, from 0: together they name the deal.
	Seed uint64 `json:"seed"`
	Deal int    `json:"deal"`
	// Seat is the studied seat, Dealt the tiles dealt to it; Jokers, Pairs and AwayDealt are of these. Without pairing they are
	// those of the first way.
	Seat      string `json:"seat"`
	Dealt     string `json:"dealt"`
	Jokers    int    `json:"jokers"`
	Pairs     int    `json:"pairs"`
	AwayDealt int    `json:"away_dealt"`
	// Ways are the ways in their order. In a split, Inside says in which group the deal is; it is nil for a deal that is in none.
	Ways   []WayRow `json:"ways"`
	Inside *bool    `json:"inside,omitempty"`
}

// WayRow is one way of a deal.
type WayRow struct {
	// Value is the measure: a whole number, 0 or 1 where it is yes or no, and nil where the deal has none. Also are the further ones.
	Value *int   `json:"value"`
	Also  []*int `json:"also,omitempty"`
	// Won, 0 or 1, and Points are the seat's own win and net points; nil where the game was not played to its end.
	Won    *int `json:"won,omitempty"`
	Points *int `json:"points,omitempty"`
}

// rowShard is the rows of a shard, in order; rows that are merged are given away.
type rowShard struct {
	rows []Row
	give func(Row) error
	err  error
}

func (s *rowShard) Merge(next *rowShard) {
	for i := 0; i < len(next.rows) && s.err == nil; i++ {
		s.err = s.give(next.rows[i])
	}
}

// Rows plays the deals of a result again and gives a row of each, in order, on the goroutine that called it. told, which may be nil, is
// told now and then how many rows were given. It returns that number: all, or fewer where ctx ended or give failed.
func (r *Result) Rows(ctx context.Context, give func(Row) error, told func(given int)) (given int, err error) {
	p, err := prepare(r.experiment, r.card, r.Tuning, r.Settings.Seed)
	if err != nil {
		return 0, err
	}
	all := &rowShard{give: give}
	given, err = sim.Run(ctx, 0, r.Deals, all, p.rowShards, func(given int) bool {
		if told != nil {
			told(given)
		}
		return all.err != nil
	})
	if all.err != nil {
		err = all.err
	}
	return given, err
}

func (p *setup) rowShards() func(sim.Shard) (*rowShard, error) {
	w, err := p.newWorker()
	dealt := newGauge(Measure{Of: AwayDealt}, p.card)
	return func(s sim.Shard) (*rowShard, error) {
		if err != nil {
			return nil, err
		}
		shard := &rowShard{rows: make([]Row, 0, s.Count)}
		for n := s.First; n < s.First+s.Count; n++ {
			if err := w.play(n); err != nil {
				return nil, err
			}
			shard.rows = append(shard.rows, w.row(n, &dealt))
		}
		return shard, nil
	}
}

// row is the deal that was just played, of this number.
func (w *worker) row(n int, dealt *gauge) Row {
	first := &w.played[w.line[0]]
	pairs := gauge{pairs: true}
	row := Row{Seed: w.seed, Deal: n, Seat: first.seat.String(), Dealt: first.dealt.String(), Jokers: int(first.dealt[tile.Joker]), Pairs: pairs.count(first.dealt)}
	for i := range w.line {
		p := &w.played[w.line[i]]
		values := make([]*int, len(w.gauges))
		for k := range w.gauges {
			value, ok := w.gauges[k][i].of(p)
			if w.split != nil {
				var inside bool
				if value, inside, ok = w.splitOf(&w.gauges[k][i], p); ok {
					row.Inside = &inside
				}
			}
			if ok && !p.left {
				values[k] = &value
			}
		}
		way := WayRow{Value: values[0], Also: values[1:]}
		if w.lines[w.line[i]].whole && !p.left {
			won, points := p.own()
			way.Won, way.Points = &won, &points
		}
		row.Ways = append(row.Ways, way)
	}
	row.AwayDealt, _ = dealt.of(first) // last: it reads the rack as it was dealt
	return row
}

// RowHead is the first line of rows as CSV.
func (r *Result) RowHead() []string {
	head := []string{"seed", "deal", "seat", "dealt", "jokers", "pairs", "away_dealt"}
	if r.experiment.Split != nil {
		head = append(head, "inside")
	}
	for i := range r.experiment.Ways {
		n := strconv.Itoa(i + 1)
		head = append(head, "value_"+n)
		for k := range r.experiment.Also {
			head = append(head, fmt.Sprintf("value%d_%s", k+2, n))
		}
		head = append(head, "won_"+n, "points_"+n)
	}
	return head
}

// WriteRows writes the rows of a result, in order, as CSV (RFC 4180) with a line of heads, or as JSON with a value a line. What is not
// there is an empty field, or null. It returns how many rows were written, see [Result.Rows].
func (r *Result) WriteRows(ctx context.Context, w io.Writer, asJSON bool, told func(written int)) (written int, err error) {
	if asJSON {
		enc := json.NewEncoder(w)
		return r.Rows(ctx, func(row Row) error { return enc.Encode(row) }, told)
	}
	out := csv.NewWriter(w)
	if err := out.Write(r.RowHead()); err != nil {
		return 0, err
	}
	written, err = r.Rows(ctx, func(row Row) error { return out.Write(r.fields(&row)) }, told)
	out.Flush()
	if err == nil {
		err = out.Error()
	}
	return written, err
}

func (r *Result) fields(row *Row) []string {
	f := []string{strconv.FormatUint(row.Seed, 10), strconv.Itoa(row.Deal), row.Seat, row.Dealt, strconv.Itoa(row.Jokers), strconv.Itoa(row.Pairs), strconv.Itoa(row.AwayDealt)}
	for _, n := range r.Numbers(row) {
		text := ""
		if n != nil {
			text = strconv.Itoa(*n)
		}
		f = append(f, text)
	}
	return f
}

// Numbers are all whole numbers of a row that may be missing, in the order of the head.
func (r *Result) Numbers(row *Row) (all []*int) {
	if r.experiment.Split != nil {
		var inside *int
		if row.Inside != nil {
			n := toInt(*row.Inside)
			inside = &n
		}
		all = append(all, inside)
	}
	for _, way := range row.Ways {
		all = append(append(append(all, way.Value), way.Also...), way.Won, way.Points)
	}
	return all
}
