package rowfile_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"testing"

	goparquet "github.com/fraugster/parquet-go"

	"secondpass/engine/player"
	"secondpass/research/experiment"
	"secondpass/research/rowfile"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// As Parquet the same rows are read back, in order, by another library (github.com/fraugster/parquet-go): columns by their names, every
// value as the CSV has it, and nulls where that has nothing.
func TestRowsAsParquet(t *testing.T) {
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	for _, name := range []string{"rows_turns", "rows_split", "several"} {
		text, err := os.ReadFile("../experiment/testdata/" + name + ".experiment")
		if err != nil {
			t.Fatal(err)
		}
		e, _, err := experiment.Read(name, text, func(tile.Set) (*card.Card, error) { return c, nil })
		if err != nil {
			t.Fatal(err)
		}
		r, err := experiment.Start(e, c, tuning, 5, 200, "test")
		if err == nil {
			err = r.Run(t.Context(), nil)
		}
		if err != nil {
			t.Fatal(err)
		}
		var lines, file bytes.Buffer
		if n, err := r.WriteRows(t.Context(), &lines, false, nil); err != nil || n != 200 {
			t.Fatal(n, err)
		}
		if n, err := rowfile.Write(t.Context(), &file, r, nil); err != nil || n != 200 {
			t.Fatal(n, err)
		}
		rows, err := csv.NewReader(&lines).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		other, err := goparquet.NewFileReader(bytes.NewReader(file.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range other.GetSchemaDefinition().RootColumn.Children {
			if c.SchemaElement.Name != rows[0][i] {
				t.Errorf("%s: column %d is %s, not %s", name, i, c.SchemaElement.Name, rows[0][i])
			}
		}
		missing := 0
		for _, row := range rows[1:] {
			got, err := other.NextRow()
			if err != nil {
				t.Fatal(err)
			}
			for i, column := range rows[0] {
				text := ""
				switch v := got[column].(type) {
				case nil:
					missing++
				case []byte:
					text = string(v)
				default:
					text = fmt.Sprint(v)
				}
				if text != row[i] {
					t.Fatalf("%s: %s of deal %s is %q, not %q", name, column, row[1], text, row[i])
				}
			}
		}
		if _, err := other.NextRow(); !errors.Is(err, io.EOF) || name == "rows_turns" && missing == 0 {
			t.Errorf("%s: after the last row %v; %d values missing", name, err, missing)
		}
	}
}
