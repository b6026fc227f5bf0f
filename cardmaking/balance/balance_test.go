package balance

import (
	"context"
	"errors"
	"flag"
	"math"
	"os"
	"reflect"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"secondpass/cardmaking/compose"
	"secondpass/engine/stat"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

var (
	long      = flag.Bool("long", false, "check too that a search is the same on any cores and when it is stopped")
	pointsOf  = flag.Bool("points", false, "work out the points of the practice card by its shares of the games won, a minute or two of a core")
	set       = flag.Bool("set", false, "as -points, and write them into the card")
	bandGames = flag.Int("band", 0, "games of TestPracticeHolds; 0 is a quick look, 40000 shows that the band holds")
)

// The games by which the practice card's points are set.
const pointsSeed, pointsGames = 20_27, 200_000

// The hands of the card built in are won as often as the band says, on games that no choice was made by, and the points
// of each are within a step of those that its share asks for. A
// quick look asks that no interval contradicts it, with one slip allowed, as 62 intervals of 95 % have; a
// long one that all lie in it.
func TestPracticeHolds(t *testing.T) {
	games := *bandGames
	if games == 0 {
		games = 64 * 60
	}
	c := card.Practice()
	w, err := Play(context.Background(), c, 20_26, games, nil)
	if err != nil {
		t.Fatal(err)
	}
	table := Measure(c, w)
	low, high := table.Extremes()
	t.Logf("%d games: hands from %.2f to %.2f times the even share, nobody won %.1f %%", games, low, high, 100*table.Wall.Value)
	if *bandGames > 0 && !table.Within(Usual) {
		t.Errorf("outside of the band, or reaching out of it: %v; %v", table.Outside(Usual), table)
	}
	slips := 0
	for i, s := range table.Hands {
		if s.Ratio.High < Usual.HandLow || s.Ratio.Low > Usual.HandHigh {
			slips++
			t.Logf("%s: %+v", s.Name, s.Ratio)
		}
		if s.Won.Value == 0 {
			t.Errorf("%s was never won", s.Name)
		}
		// No end of a share's interval asks for points that are more than a step away.
		dearest, cheapest := points(math.Log(float64(s.Ratio.Low))), points(math.Log(float64(s.Ratio.High)))
		if set := c.Hands[i].Points; set > dearest+pointStep || set < cheapest-pointStep {
			t.Errorf("%s has %d points; by its share it were %d to %d", s.Name, set, cheapest, dearest)
		}
	}
	for _, s := range table.Sections {
		if s.Ratio.High < Usual.SectionLow || s.Ratio.Low > Usual.SectionHigh {
			slips++
			t.Logf("%s: %+v", s.Name, s.Ratio)
		}
	}
	if slips > 1 {
		t.Errorf("%d shares lie surely outside of the band", slips)
	}
}

// The points of the card built in are those that its shares of the games won ask for, on games that nothing else is judged by: so many that
// most shares are known to half a step of points. -points says the same of the games of the card's head in minutes, and with -set
// writes what they ask for into the card.
func TestPracticePoints(t *testing.T) {
	if !*pointsOf && !*set {
		t.Skip("takes a minute or two of a core; -points does it")
	}
	c := card.Practice()
	w, err := Play(context.Background(), c, pointsSeed, pointsGames, nil)
	if err != nil {
		t.Fatal(err)
	}
	table := Measure(c, w)
	lines := strings.SplitAfter(card.PracticeText, "\n")
	changed := 0
	for i, s := range table.Hands {
		h := &c.Hands[i]
		asked := points(math.Log(float64(s.Ratio.Value)))
		t.Logf("%-15s %2d points, times %.2f (%.2f-%.2f) asks for %d", s.Name, h.Points, s.Ratio.Value, s.Ratio.Low, s.Ratio.High, asked)
		if asked == h.Points {
			continue
		}
		changed++
		line := &lines[h.Line-1]
		*line = strconv.Itoa(asked) + strings.TrimPrefix(*line, strconv.Itoa(h.Points))
	}
	for _, s := range table.Sections {
		t.Logf("%-15s times %.2f (%.2f-%.2f)", s.Name, s.Ratio.Value, s.Ratio.Low, s.Ratio.High)
	}
	low, high := table.Extremes()
	t.Logf("%d games of seed %d: hands from %.2f to %.2f times the even share, outside of the band %v, nobody won %.2f %%", w.Games, pointsSeed, low, high, table.Outside(Usual), 100*table.Wall.Value)
	switch {
	case *set && changed > 0:
		if err := os.WriteFile("../../rules/card/practice/lantern.card", []byte(strings.Join(lines, "")), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Logf("%d of %d hands have other points now", changed, len(c.Hands))
	case changed > 0:
		t.Errorf("%d of %d hands have other points than their shares ask for; -set sets them", changed, len(c.Hands))
	}
}

// A search finds and measures the same on one core and on three; one that is stopped ends with the error of its context.
func TestSameOnAnyCores(t *testing.T) {
	if !*long {
		t.Skip("only with -long: it draws and balances a card three times over")
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	draft := func() *compose.Draft {
		d, err := compose.NewDraft(4, compose.Wish{})
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	const round = 640
	s := Search{Seed: 4, Games: 3 * round, ReportGames: 640, RoundGames: round}
	runtime.GOMAXPROCS(1)
	first, err := s.Card(context.Background(), draft())
	if err != nil {
		t.Fatal(err)
	}
	if first.SearchGames != 3*round || first.Rounds != 3 || first.Redrawn == 0 {
		t.Errorf("%d games in %d rounds, %d hands redrawn", first.SearchGames, first.Rounds, first.Redrawn)
	}
	runtime.GOMAXPROCS(3)
	second, err := s.Card(context.Background(), draft())
	if err != nil {
		t.Fatal(err)
	}
	if second.Text != first.Text || !reflect.DeepEqual(second.Report, first.Report) {
		t.Errorf("1 core found\n%s\n3 cores\n%s", first.Text, second.Text)
	}
	if _, problems, err := card.Read("found", []byte(first.Text), tile.Usual); err != nil || len(problems) > 0 {
		t.Error(err, problems)
	}
	if !strings.Contains(first.Text, "card compose --seed 4 --games 1920\n") {
		t.Errorf("the head does not say how many games found the card:\n%.400s", first.Text)
	}
	ctx, stop := context.WithCancel(context.Background())
	s.Progress = func(step Step, done, all int) {
		if step == Searching && done > round {
			stop()
		}
	}
	if _, err := s.Card(ctx, draft()); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped in the second round: %v", err)
	}
}

// Shares are of the games won, intervals Wilson's, ratios by the even share; checked by hand.
func TestMeasure(t *testing.T) {
	c, _, err := card.Read("own", []byte("card Own\nsection A\n25 exposed 11111x 222x 444x 777x\n30 concealed 11111x 222y 444x 777y\nsection B\n25 exposed FFF 22x 444y 66z 8888x\n"), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	w := &Wins{Games: 1000, Wall: 100, Hands: []int{600, 0, 300}}
	m := Measure(c, w)
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	near("share", float64(m.Hands[0].Won.Value), 2./3)
	near("ratio", float64(m.Hands[0].Ratio.Value), 2)
	near("interval", float64(m.Hands[2].Ratio.Low), 3*stat.Wilson(300, 900).Plain().Low)
	near("section", float64(m.Sections[0].Ratio.Value), 1)
	near("section", float64(m.Sections[1].Ratio.Value), 1)
	near("wall", float64(m.Wall.Value), 0.1)
	if out := m.Outside(Usual); len(out) != 1 || out[0] != m.Hands[1].Name || m.Within(Usual) {
		t.Errorf("outside: %v", out)
	}
	if low, high := m.Extremes(); low != 0 || high != m.Hands[0].Ratio.Value {
		t.Errorf("from %v to %v", low, high)
	}
	if wide := (Band{HandLow: 0, HandHigh: 3, SectionLow: .5, SectionHigh: 2}); !m.Within(wide) {
		t.Error("not within a wide band")
	}
}

// Counts add up, and the games of a run are those of its parts.
func TestPlay(t *testing.T) {
	c := card.Practice()
	w, err := Play(context.Background(), c, 8, 192, nil)
	if err != nil {
		t.Fatal(err)
	}
	sum := w.Wall
	for _, n := range w.Hands {
		sum += n
	}
	if sum != 192 || w.Games != 192 || w.Won() != 192-w.Wall {
		t.Errorf("%d games of %d: %+v", sum, w.Games, w)
	}
}

// The rarer a hand, the more points, and all steps of five from 20 to 80 are given.
func TestPoints(t *testing.T) {
	given := map[int]bool{}
	last := 0
	for factor := 3.; factor > .2; factor *= 0.99 {
		p := points(math.Log(factor))
		if p < last || p%5 != 0 {
			t.Errorf("a factor of %v is worth %d, a larger one %d", factor, p, last)
		}
		last = p
		given[p] = true
	}
	if len(given) != 13 || !given[20] || !given[80] {
		t.Errorf("points given: %v", given)
	}
}

// The model finds strengths that it is shown: hands of known strength, of which some are played, are
// told in the right order, the unplayed by their worth.
func TestModelLearns(t *testing.T) {
	const n = 40
	m := &model{worth: make([]float64, n), section: make([]int, n), played: make([]float64, n), precision: make([]float64, n), mean: make([]float64, n), doubt: make([]float64, n)}
	truth := make([]float64, n)
	for i := range n {
		m.worth[i] = float64(i%10) - 20
		truth[i] = 0.5*float64(i%10) + 0.3*float64(i%3-1)
		m.mean[i], m.doubt[i] = m.worth[i], firstDoubt
	}
	for _, part := range [][2]int{{0, 20}, {10, 30}} {
		var numbers []int
		sum := 0.0
		for i := part[0]; i < part[1]; i++ {
			numbers = append(numbers, i)
			sum += math.Exp(truth[i])
		}
		w := &Wins{Games: 0, Hands: make([]int, len(numbers))}
		for i, h := range numbers {
			w.Hands[i] = int(20_000 * math.Exp(truth[h]) / sum)
			w.Games += w.Hands[i]
		}
		m.learn(numbers, w)
	}
	for i := range 30 {
		for j := range 30 {
			if d := (m.mean[i] - m.mean[j]) - (truth[i] - truth[j]); math.Abs(d) > 0.3 {
				t.Fatalf("hands %d and %d: apart %.2f, in truth %.2f", i, j, m.mean[i]-m.mean[j], truth[i]-truth[j])
			}
		}
	}
	for i := 30; i < n; i++ {
		if d := m.mean[i] - m.mean[i-10] - (truth[i] - truth[i-10]); math.Abs(d) > 0.7 || m.doubt[i] <= m.doubt[0] {
			t.Errorf("unplayed hand %d: off by %.2f, doubt %.3f beside %.3f", i, d, m.doubt[i], m.doubt[0])
		}
	}
}
