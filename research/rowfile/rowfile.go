// Package rowfile writes the rows of an experiment as an Apache Parquet file. It stands apart from package experiment, which pages need
// that run in a browser.
package rowfile

import (
	"context"
	"fmt"
	"io"
	"reflect"

	"github.com/parquet-go/parquet-go"

	"secondpass/research/experiment"
)

// column is a column of rows in Parquet: a text, a whole number, or one that may be missing.
type column struct {
	name string
	of   reflect.Type
}

var (
	aText   = reflect.TypeFor[string]()
	aSeed   = reflect.TypeFor[uint64]()
	aNumber = reflect.TypeFor[int32]()
)

// schemaOf is the columns of the head, in its order.
func schemaOf(r *experiment.Result) (*parquet.Schema, []column) {
	var columns []column
	var fields []reflect.StructField
	for i, name := range r.RowHead() {
		c, option := column{name, aNumber}, ""
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

// Write writes the rows of a result, in order, with the columns of [experiment.Result.RowHead] in their order and nulls for what is not
// there. It returns how many rows were written, see [experiment.Result.Rows].
func Write(ctx context.Context, w io.Writer, r *experiment.Result, told func(written int)) (written int, err error) {
	schema, columns := schemaOf(r)
	out := parquet.NewWriter(w, schema)
	line := make(parquet.Row, len(columns))
	written, err = r.Rows(ctx, func(row experiment.Row) error {
		fixed := []parquet.Value{parquet.ValueOf(row.Seed), parquet.ValueOf(int32(row.Deal)), parquet.ValueOf(row.Seat), parquet.ValueOf(row.Dealt),
			parquet.ValueOf(int32(row.Jokers)), parquet.ValueOf(int32(row.Pairs)), parquet.ValueOf(int32(row.AwayDealt))}
		for i, v := range fixed {
			line[i] = v.Level(0, 0, i)
		}
		for i, n := range r.Numbers(&row) {
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
