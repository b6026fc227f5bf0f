package experiment_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

const guide = "../../docs/experiment-files.md"

func guideText(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(guide)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The guide's example is an experiment, and every measure, population and statement that its tables show can be read.
func TestGuide(t *testing.T) {
	text := guideText(t)
	blocks := regexp.MustCompile("(?s)```\n(.*?)```").FindAllStringSubmatch(text, -1)
	if len(blocks) != 2 {
		t.Fatalf("%d blocks in the guide", len(blocks))
	}
	series, err := experiment.ReadSeries("guide", []byte(blocks[1][1]), func(_ string, set tile.Set) (*card.Card, error) { return practice(set) })
	if err != nil || len(series.Cells) != 27 {
		t.Errorf("the series of the guide: %v", err)
	}
	if s := read(t, blocks[0][1]); s.Name != "Keep flowers" || len(s.Ways) != 2 || s.Deals != 20_000 {
		t.Errorf("%+v", s)
	}
	shown := func(from, to string) []string {
		_, part, _ := strings.Cut(text, from)
		part, _, _ = strings.Cut(part, to)
		var all []string
		for _, row := range strings.Split(part, "\n") {
			first, _, _ := strings.Cut(strings.TrimPrefix(row, "| "), " | ")
			for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(first, -1) {
				if strings.HasPrefix(row, "| `") {
					all = append(all, m[1])
				}
			}
		}
		return all
	}
	measures := shown("### What can be measured", "### Populations")
	if len(measures) < 28 {
		t.Errorf("%d measures shown", len(measures))
	}
	for _, m := range measures {
		if got, err := experiment.ParseMeasure(m); err != nil || got.String() != m {
			t.Errorf("measure %q: %v", m, err)
		}
	}
	for _, p := range shown("### Populations", "### Claims") {
		read(t, head+"measure away\nclaim more by 1\nway \"a\" nearest\nway \"b\" thumb\npopulation "+p)
	}
	for _, r := range shown("### Ways", "After the player") {
		read(t, head+"measure away\nclaim more by 1\nway \"a\" nearest\nway \"b\" thumb+"+r)
	}
	for _, s := range shown("## The statements", "`rotate` moves") {
		word, _, _ := strings.Cut(s, " ")
		lines := map[string]string{"experiment": "experiment X", "measure": "measure win", "claim": "claim more by 1 %", "deals": "", "others": "", "split": "", "among": ""}
		lines[word] = strings.Replace(s, "player", "strong", 1)
		body := "way \"a\" nearest\n"
		if word != "split" && word != "among" {
			body += "way \"b\" thumb\n"
		} else if word == "among" {
			lines["split"] = "split clean best"
		}
		if word == "compare" {
			body += "way \"c\" random\n"
		}
		if word == "way" || s == "seat E" || s == "rotate" {
			delete(lines, "way")
		}
		for _, line := range lines {
			body += line + "\n"
		}
		if s != "rotate" {
			read(t, body)
		}
	}
}

// Every ready-made experiment stands in the guide's table of facts, and every one that stands there exists.
func TestGuideListsReadyMade(t *testing.T) {
	_, table, _ := strings.Cut(guideText(t), "## Ready-made experiments")
	table, _, _ = strings.Cut(table, "## Errors")
	listed := map[string]bool{}
	for _, row := range strings.Split(table, "\n") {
		if cells := strings.Split(row, "|"); len(cells) == 4 {
			for _, m := range regexp.MustCompile("`([a-z-]+)`").FindAllStringSubmatch(cells[2], -1) {
				listed[m[1]] = true
				if _, err := experiment.FindReady(m[1]); err != nil {
					t.Error(err)
				}
			}
		}
	}
	for _, r := range experiment.ReadyMade() {
		if !listed[r.Name] {
			t.Errorf("%s does not stand in the guide", r.Name)
		}
	}
	for _, words := range []string{"keep-flowers", "together", "give=F", "spoil=5", "stop-when=2", "keep-multiples"} {
		players, err := os.ReadFile("../../docs/players.md")
		if err != nil || !strings.Contains(string(players), "`"+words+"`") {
			t.Errorf("docs/players.md does not tell of %s (%v)", words, err)
		}
	}
}
