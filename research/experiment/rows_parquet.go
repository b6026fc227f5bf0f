package experiment

import (
	"context"
	"fmt"
	"io"
	"reflect"

	"github.com/parquet-go/parquet-go"
)

// parquetColumn is a column of rows in Parquet: a text, a whole number, or one that may be missing.
type parquetColumn struct {
	name string
	of   reflect.Type
}

var (
	aText   = reflect.TypeFor[string]()
	aSeed   = reflect.TypeFor[uint64]()
	aNumber = reflect.TypeFor[int32]()
)

// parquetSchema is the columns of the head, in its order.
func (r *Result) parquetSchema() (*parquet.Schema, []parquetColumn) {
	var columns []parquetColumn
	var fields []reflect.StructField
	for i, name := range r.RowHead() {
		c, option := parquetColumn{name, aNumber}, ""
		switch name {
		case "seed":
			c.of = aSeed
		case "seat", "dealt":
			c.of = aText
		case "deal", "jokers", "pairs", "away_dealt":
		default:
			option = ",optional"
		}
		columns = append(columns, c)
		// The library knows structs alone to have their columns in an order.
		fields = append(fields, reflect.StructField{Name: fmt.Sprintf("Column%d", i), Type: c.of, Tag: reflect.StructTag(fmt.Sprintf(`parquet:"%s%s"`, name, option))})
	}
	return parquet.SchemaOf(reflect.New(reflect.StructOf(fields)).Interface()), columns
}

// numbers are all whole numbers of a row that may be missing, in the order of the head.
func (r *Result) numbers(row *Row) (all []*int) {
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

// writeParquet writes the rows as an Apache Parquet file, with the columns of the head in their order and nulls for what is not there.
func (r *Result) writeParquet(ctx context.Context, w io.Writer, told func(int)) (written int, err error) {
	schema, columns := r.parquetSchema()
	out := parquet.NewWriter(w, schema)
	line := make(parquet.Row, len(columns))
	written, err = r.Rows(ctx, func(row Row) error {
		fixed := []parquet.Value{parquet.ValueOf(row.Seed), parquet.ValueOf(int32(row.Deal)), parquet.ValueOf(row.Seat), parquet.ValueOf(row.Dealt),
			parquet.ValueOf(int32(row.Jokers)), parquet.ValueOf(int32(row.Pairs)), parquet.ValueOf(int32(row.AwayDealt))}
		for i, v := range fixed {
			line[i] = v.Level(0, 0, i)
		}
		for i, n := range r.numbers(&row) {
			at := len(fixed) + i
			if line[at] = parquet.NullValue().Level(0, 0, at); n != nil {
				line[at] = parquet.ValueOf(int32(*n)).Level(0, 1, at)
			}
		}
		_, err := out.WriteRows([]parquet.Row{line})
		return err
	}, told)
	if closed := out.Close(); err == nil {
		err = closed
	}
	return written, err
}
