package findings_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"

	"secondpass/engine/player"
	"secondpass/paper/draw"
	"secondpass/paper/findings"
	"secondpass/research/cardreport"
	"secondpass/research/experiment"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// resultOf plays an experiment of nearest players, which takes no time, to its end.
func resultOf(t *testing.T, text string, seed uint64) *experiment.Result {
	t.Helper()
	s, c, err := experiment.Read("test", []byte(text), func(tile.Set) (*card.Card, error) { return card.Practice(), nil })
	if err != nil {
		t.Fatal(err)
	}
	tuning, _ := player.TuningFor(c)
	r, err := experiment.Start(s, c, tuning, seed, 0, "test")
	if err == nil {
		err = r.Run(context.Background(), nil)
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// One who passes flowers first of all passes more of them than one who never does: known beforehand, by the rules of the
// two players. A deal of 13 of 152 tiles holds 13 x 8 / 152, about 0.7 flowers, so that the difference is far above 0.1.
const planted = `experiment "Planted"
asks "Is a planted difference found?"
others nearest
measure passed F
claim more by 0.1
deals 512
way "flowers kept" nearest+keep-flowers
way "flowers given" nearest+give=F
`

// textOf reads an SVG as any XML program does (encoding/xml) and gives the titles and texts in it.
func textOf(t *testing.T, svg []byte) string {
	t.Helper()
	var b strings.Builder
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return b.String()
		}
		if err != nil {
			t.Fatalf("no well-formed SVG: %v", err)
		}
		if text, ok := token.(xml.CharData); ok {
			b.Write(text)
			b.WriteByte('\n')
		}
	}
}

func TestPlotsOfAPlantedResult(t *testing.T) {
	t.Parallel()
	r := resultOf(t, planted, 7)
	plots := findings.ExperimentPlots(r)
	if len(plots) != 3 {
		t.Fatalf("%d plots, wanted differences, ways and values", len(plots))
	}
	for _, p := range plots {
		for _, width := range []float64{0, 320} {
			scene := p.Draw(width)
			for _, svg := range [][]byte{[]byte(scene.InlineSVG()), scene.SVG(&draw.Light), scene.SVG(&draw.Print)} {
				text := textOf(t, svg)
				for _, want := range []string{"512 deals", "seed 7", "interval"} {
					if !strings.Contains(text, want) {
						t.Errorf("plot %s, %v wide: no %q in its texts", p.Key, width, want)
					}
				}
			}
		}
	}
	words := textOf(t, []byte(findings.FindPlot(plots, "differences").Draw(0).InlineSVG()))
	for _, want := range []string{"holds", "smallest that matters: more by 0.1", "flowers given less flowers kept", "tiles"} {
		if !strings.Contains(words, want) {
			t.Errorf("the plot of the differences has no %q:\n%s", want, words)
		}
	}
	if findings.FindPlot(plots, "nothing") != nil {
		t.Error("a plot was found under a name that none has")
	}
}

func TestWordsOfTheOtherVerdicts(t *testing.T) {
	t.Parallel()
	twin := strings.NewReplacer("nearest+give=F", "nearest", "nearest+keep-flowers", "nearest").Replace(planted)
	for _, c := range []struct{ text, want string }{
		{strings.Replace(planted, "more by", "less by", 1), "does not hold"},
		{strings.NewReplacer("measure passed F", "measure win", "more by 0.1", "more by 0.1 %").Replace(planted), "not shown"},
		{strings.Replace(twin, "more by 0.1", "more by 5", 1), "does not hold"},
	} {
		r := resultOf(t, strings.Replace(c.text, "deals 512", "deals 256", 1), 3)
		words := strings.Join(strings.Fields(textOf(t, []byte(findings.FindPlot(findings.ExperimentPlots(r), "differences").Draw(0).InlineSVG()))), " ")
		if !strings.Contains(words, ": "+c.want) {
			t.Errorf("wanted %q in\n%s", c.want, words)
		}
	}
}

// RFC 4180, section 2, rule 4: every line has as many fields as the header. encoding/csv holds readers to it.
func TestCSV(t *testing.T) {
	t.Parallel()
	r := resultOf(t, strings.Replace(planted, `"Planted"`, `"A, planted one"`, 1), 7)
	var b bytes.Buffer
	if err := findings.WriteExperimentCSV(&b, r); err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	games := map[string]int{}
	for _, line := range lines[1:] {
		if line[0] != "A, planted one" || line[2] != "7" {
			t.Fatalf("a line of another experiment: %q", line)
		}
		if line[3] == "games by value" {
			n, err := strconv.Atoi(line[7])
			if err != nil {
				t.Fatal(err)
			}
			games[line[4]] += n
		}
	}
	for _, way := range []string{"flowers kept", "flowers given"} {
		if games[way] != 512 {
			t.Errorf("%s: the histogram has %d of 512 deals", way, games[way])
		}
	}
}

func TestReport(t *testing.T) {
	t.Parallel()
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	s, err := cardreport.New(cardreport.Settings{Card: c, Tuning: tuning, House: house.Usual, Seed: 5, Deals: 200, Games: 4})
	if err != nil {
		t.Fatal(err)
	}
	var tally cardreport.Tally
	if err := s.Run(context.Background(), &tally, nil); err != nil {
		t.Fatal(err)
	}
	r := s.Report(&tally)
	for _, p := range findings.ReportPlots(r) {
		text := textOf(t, []byte(p.Draw(0).InlineSVG()))
		for _, want := range []string{"seed", "interval", "Lantern"} {
			if !strings.Contains(text, want) {
				t.Errorf("plot %s: no %q in its texts", p.Key, want)
			}
		}
	}
	for _, paper := range []draw.PaperSize{draw.Letter, draw.A4} {
		data, err := findings.ReportDocument(r, c, paper).PDF(&draw.Light)
		if err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
			t.Errorf("paper %d: no PDF: %v", paper, err)
		}
	}
}

// A report on paper begins with pages for people: what the card is like, hands with their tiles drawn and their neighbours, where to look
// and what the passing leaves, before all figures.
func TestReportBeginsForPeople(t *testing.T) {
	t.Parallel()
	c := card.Practice()
	tuning, _ := player.TuningFor(c)
	s, err := cardreport.New(cardreport.Settings{Card: c, Tuning: tuning, House: house.Usual, Seed: 5, Deals: 400, Games: 200})
	if err != nil {
		t.Fatal(err)
	}
	var tally cardreport.Tally
	if err := s.Run(t.Context(), &tally, nil); err != nil {
		t.Fatal(err)
	}
	r := s.Report(&tally)
	for _, paper := range []draw.PaperSize{draw.Letter, draw.A4} {
		text := ""
		for i, page := range findings.ReportDocument(r, c, paper).Pages() {
			text += " " + strings.Join(strings.Fields(textOf(t, []byte(page.InlineSVG()))), " ")
			if i == 2 {
				break
			}
		}
		at := 0
		for _, want := range []string{"What the card is like", "Won most", "Won least", "If you hold this, look here", "What is kept in the passing", "All figures"} {
			next := strings.Index(text[at:], want)
			if next < 0 {
				t.Fatalf("paper %d: no %q after the first %d letters of three pages", paper, want, at)
			}
			at += next
		}
	}
	concealed := 0
	for _, h := range c.Hands {
		if h.Concealed {
			concealed++
		}
	}
	if like := findings.CardIsLike(r, c); !strings.Contains(like, fmt.Sprintf("Of its %d hands %d are concealed", len(c.Hands), concealed)) {
		t.Error(like)
	}
	for h := range c.Hands {
		if tiles := findings.Pattern(c, h); len(tiles) != card.HandTiles {
			t.Errorf("hand %d is drawn with %d tiles", h, len(tiles))
		}
	}
}

// The tiles that stand for a sign are such that a rack of them has it.
func TestSignTiles(t *testing.T) {
	t.Parallel()
	for _, h := range []cardreport.Holding{
		{Measure: cardreport.Copies, Of: int(tile.Flower), Least: 3, Most: 14}, {Measure: cardreport.RankCopies, Of: 7, Least: 3, Most: 14}, {Measure: cardreport.RankTiles, Of: 4, Least: 4, Most: 14},
		{Measure: cardreport.RankSuits, Of: 9, Least: 3, Most: 14}, {Measure: cardreport.WindKinds, Least: 4, Most: 14}, {Measure: cardreport.DragonKinds, Least: 3, Most: 14},
		{Measure: cardreport.Copies, Of: int(tile.Joker), Least: 0, Most: 0},
	} {
		rack := tile.RackOf(findings.SignTiles(h)...)
		if !h.In(&rack) {
			t.Errorf("%s: the rack %s does not have it", h, rack)
		}
	}
}
