package view

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"secondpass/engine/stat"
	"secondpass/rules/tile"
)

// wellFormed reads markup as XML and counts its elements by name.
func wellFormed(t *testing.T, markup string) map[string]int {
	t.Helper()
	count := map[string]int{}
	d := xml.NewDecoder(strings.NewReader(markup))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return count
		}
		if err != nil {
			t.Fatalf("%v in %s", err, markup)
		}
		if e, ok := token.(xml.StartElement); ok {
			count[e.Name.Local]++
		}
	}
}

func TestStrip(t *testing.T) {
	rack, err := tile.Parse("3b 3b 7c N J", tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	text := string(RackStrip(`Rack of "A" <b>`, rack))
	if n := wellFormed(t, text); n["li"] != 5 || n["svg"] != 5 || n["b"] != 0 {
		t.Errorf("five tiles are drawn as %v: %s", n, text)
	}
	if !strings.Contains(text, "3 bam") {
		t.Errorf("a tile has no name for those who hear it: %s", text)
	}
	spare := string(SpareStrip("Rack", rack, tile.Rack{tile.Joker: 1}))
	if strings.Count(spare, "#m-spare") != 1 || strings.Count(spare, ", spare") != 1 {
		t.Errorf("one tile is spare: %s", spare)
	}
	if hidden := string(Plain(rack.Tiles())[0].SVG("")); !strings.Contains(hidden, `aria-hidden="true"`) || strings.Contains(hidden, "aria-label") {
		t.Errorf("a drawing beside its name is heard twice: %s", hidden)
	}
}

func TestBar(t *testing.T) {
	i := stat.Interval[float64]{Value: 0.5, Low: 0.25, High: 0.75, N: 100}
	s := ScaleOf(100, i)
	if n := wellFormed(t, string(s.Bar(i))); n["line"] != 1+len(s.ticks())+2 {
		t.Errorf("a bounded interval is drawn as %v with %d ticks", n, len(s.ticks()))
	}
	if n := wellFormed(t, string(s.BarWith(i, 0.3, 0.6))); n["line"] != 1+len(s.ticks())+4 {
		t.Errorf("a bar with two marks is drawn as %v", n)
	}
	axis := string(s.Axis())
	if n := wellFormed(t, axis); n["text"] != len(s.ticks()) || strings.Count(axis, `"start"`) != 1 || strings.Count(axis, `"end"`) != 1 {
		t.Errorf("the axis: %s", axis)
	}
	if at := s.At(s.High / s.Factor); at != 100 {
		t.Errorf("the upper end stands at %v %%", at)
	}
}
