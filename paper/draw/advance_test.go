package draw

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"testing"
	"unicode"
)

// What a browser lays texts out by is what the fonts say. UPDATE_ADVANCES=1 writes it anew.
func TestAdvances(t *testing.T) {
	all := map[string]map[string]float64{}
	for _, f := range faces {
		all[f.class] = map[string]float64{}
		for r := ' '; r <= unicode.ReplacementChar; r++ {
			if f.has(r) {
				all[f.class][string(r)] = math.Round(1000 * f.advance(r))
			}
		}
	}
	data, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	if os.Getenv("UPDATE_ADVANCES") != "" {
		if err := os.WriteFile("fonts/advances.json", data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	stored, err := os.ReadFile("fonts/advances.json")
	if err != nil || !bytes.Equal(stored, data) {
		t.Errorf("fonts/advances.json is not what the fonts say (%v); UPDATE_ADVANCES=1 writes it", err)
	}
}
