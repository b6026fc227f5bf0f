package experiment_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// The ten questions of the documents can be asked, and each stands on their page.
func TestQuestions(t *testing.T) {
	files, err := filepath.Glob("../../docs/questions/*" + experiment.Ext)
	page, err2 := os.ReadFile("../../docs/questions.md")
	if err != nil || err2 != nil || len(files) != 10 {
		t.Fatal(len(files), err, err2)
	}
	cells := 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimSuffix(filepath.Base(file), experiment.Ext)
		asks := ""
		if experiment.IsSeries(data) {
			s, err := experiment.ReadSeries(name, data, func(_ string, set tile.Set) (*card.Card, error) { return practice(set) })
			if err != nil {
				t.Fatal(err)
			}
			asks, cells = s.Asks, cells+len(s.Cells)
		} else {
			asks, cells = read(t, string(data)).Asks, cells+1
		}
		if asks == "" || !strings.Contains(string(page), "questions/"+name+".experiment") {
			t.Errorf("%s: not on the page, or without a question", name)
		}
	}
	if cells != 23 || !strings.Contains(string(page), "23 experiments") {
		t.Errorf("%d experiments", cells)
	}
}
