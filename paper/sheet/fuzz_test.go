package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"testing"

	"secondpass/exercise"
	"secondpass/paper/draw"
)

// Whatever name an exercise may have, its pictures are well-formed XML (W3C, Extensible Markup Language 1.0, as
// encoding/xml reads it).
func FuzzNames(f *testing.F) {
	for _, name := range []string{"Monday", `<script>alert("1")</script>`, "a\u202eb", "\xff\xfe", "\ufffe", "&#0;", "日本語 العربية", "]]>", "é́́", "\U0001F004"} {
		f.Add(name)
	}
	_, columns := walked(f, "", "")
	f.Fuzz(func(t *testing.T, name string) {
		if exercise.CheckName(name) != nil {
			t.Skip()
		}
		columns[0].Route.Name = name
		for _, scene := range []*draw.Scene{Comparison(name, columns, nil, Square), Pass(&columns[0], 0, Square), Rack(name, nil, name, Natural)} {
			svg := scene.SVG(&draw.Light)
			d := xml.NewDecoder(bytes.NewReader(svg))
			for {
				_, err := d.Token()
				if errors.Is(err, io.EOF) {
					break
				}
				if err != nil {
					t.Fatalf("%q: %v", name, err)
				}
			}
		}
	})
}
