package web_test

import (
	"html"
	"math"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// judged starts the review of a route, or goes on with it, watches it to its end, and gives the page.
func (b *book) judged(step string) string {
	b.t.Helper()
	b.post(step+"/review", url.Values{"act": {"go"}})
	if code, events := b.get(step + "/review/live"); code != 200 || !strings.Contains(events, "event: over") {
		b.t.Fatalf("the review's events: %d %s", code, events[:min(len(events), 500)])
	}
	_, text := b.get(step + "/review")
	return html.UnescapeString(text)
}

var (
	fallRow   = regexp.MustCompile(`(?s)<tr class="(\w*) (\w*)[^"]*">(.*?)</tr>`)
	figField  = regexp.MustCompile(`class="fig">([−+]?[\d.]+)( %)?<`)
	sumField  = regexp.MustCompile(`([\d.]+) start, costs ([−+][\d.]+), swings ([−+][\d.]+), end ([\d.]+)\.`)
	adviceRow = regexp.MustCompile(`href="([^"]*/advice\?at=\d+)"`)
)

// signed reads a number with the sign that figures have.
func signed(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.NewReplacer("−", "-", "+", "").Replace(text), 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// checkLedger adds up what is printed. Every figure is rounded to a tenth, so that n of them may be n halves of a tenth
// off. It gives the number of decisions in the ledger.
func checkLedger(t *testing.T, text string) int {
	t.Helper()
	m := sumField.FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("no sum is written out: %s", shorten(text))
	}
	var sum [4]float64
	for i := range sum {
		sum[i] = signed(t, m[i+1])
	}
	if off := sum[0] + sum[1] + sum[2] - sum[3]; math.Abs(off) > 4*.05+1e-9 {
		t.Errorf("%q is %.2f off", m[0], off)
	}
	var ends []float64
	costs, swings, unshown, n := 0., 0., 0, 0
	for _, row := range fallRow.FindAllStringSubmatch(text, -1) {
		class, kind, cells := row[1], row[2], row[3]
		figure := 0.
		if m := figField.FindStringSubmatch(cells); m != nil {
			figure = signed(t, m[1])
		} else if class != "nil" {
			t.Fatalf("a row without its figure: %s", cells)
		}
		switch kind {
		case "":
			ends = append(ends, figure)
		case "cost":
			n++
			costs += figure
			shown := !strings.Contains(cells, "no cost shown")
			if figure > 0 && shown {
				t.Errorf("a cost of %+.1f: %s", figure, cells)
			}
			if !shown {
				unshown++
			}
			checkShown(t, cells, shown)
		case "swing":
			swings += figure
		}
	}
	if len(ends) != 2 || ends[0] != sum[0] || ends[1] != sum[3] {
		t.Errorf("the rows start and end with %v, the sum with %.1f and %.1f", ends, sum[0], sum[3])
	}
	rounding := .05*float64(n+1) + 1e-9
	if math.Abs(costs-sum[1]) > rounding || math.Abs(swings-sum[2]) > rounding {
		t.Errorf("the rows have costs %.1f and swings %.1f, the sum %.1f and %.1f", costs, swings, sum[1], sum[2])
	}
	t.Logf("%d decisions, %d costs not shown; %s", n, unshown, m[0])
	return n
}

// checkShown holds the words of a cost against its interval: "no cost shown" where that holds 0, and only there.
func checkShown(t *testing.T, cells string, shown bool) {
	t.Helper()
	m := regexp.MustCompile(`([−+][\d.]+) to ([−+][\d.]+)`).FindStringSubmatch(cells)
	if m == nil {
		if shown {
			t.Errorf("a cost without its interval: %s", cells)
		}
		return
	}
	// An end that rounds to nothing may lie on either side.
	if high := signed(t, m[2]); high != 0 && shown != (high < 0) {
		t.Errorf("an interval up to %.1f, and shown is %v: %s", high, shown, cells)
	}
}

func TestReviewOfThePassing(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := b.deal("seed", "7", "seat", "S")
	if _, text := b.get(step + "/review"); !strings.Contains(text, "Nothing to review yet") {
		t.Errorf("before the first pass: %s", shorten(text))
	}
	if code, _ := b.send("POST", step+"/review", "act=go"); code != 422 {
		t.Errorf("a review of nothing: %d, wanted 422", code)
	}
	b.stepOnce(step)
	b.stepOnce(step)
	text := b.judged(step)
	if n := checkLedger(t, text); n != 2 {
		t.Errorf("%d decisions in the ledger of two", n)
	}
	if !strings.Contains(text, "1000 games a decision") {
		t.Errorf("the number of games is not said: %s", shorten(text))
	}
	for _, m := range adviceRow.FindAllStringSubmatch(text, -1) {
		if code, page := b.get(m[1]); code != 200 {
			t.Errorf("%s: %d %s", m[1], code, shorten(page))
		}
	}
	if again := b.judged(step); !strings.Contains(again, "4000 games a decision") {
		t.Errorf("gone on with, it has not four times the games: %s", shorten(again))
	} else {
		checkLedger(t, again)
	}
}

func TestReviewOfThePlay(t *testing.T) {
	t.Parallel()
	b := open(t)
	step := atPlay(b, "seat", "S", "seed", "11", "players", "strong") // at the usual table, whose games come with the program
	_, text := b.get(step)
	passed := int(signed(t, first(atField, text)))
	for range 2 {
		_, text = b.get(step)
		b.post(step+"/play", keenly(text, false))
	}
	review := b.judged(step)
	if n := checkLedger(t, review); n < passed+1 {
		t.Errorf("%d decisions in the ledger, %d are of the passing", n, passed)
	}
	if !regexp.MustCompile(`>Play \d+<`).MatchString(review) || !strings.Contains(review, "where the play stands") {
		t.Errorf("the play is not in the ledger: %s", shorten(review))
	}
}

// A review that is stopped keeps what it had before, and so does the workbook that is opened again: the same figures, and nothing is
// played.
func TestReviewIsStopped(t *testing.T) {
	t.Parallel()
	dir, step, before := t.TempDir(), "", ""
	t.Run("first", func(t *testing.T) {
		b := openIn(t, dir)
		step = b.deal("seed", "9", "seat", "S")
		b.stepOnce(step)
		b.judged(step)
		b.post(step+"/review", url.Values{"act": {"go"}})
		b.post(step+"/review", url.Values{"act": {"stop"}})
		b.get(step + "/review/live")
		_, text := b.get(step + "/review")
		if !strings.Contains(text, `class="fall"`) {
			t.Errorf("stopped, it lost the ledger it had: %s", shorten(text))
		}
		before = html.UnescapeString(text)
		checkLedger(t, before)
	})
	b := openIn(t, dir)
	_, text := b.get(step + "/review")
	text = html.UnescapeString(text)
	checkLedger(t, text)
	if !strings.Contains(text, "00 games a decision") || strings.Contains(text, "hx-sse:connect") {
		t.Errorf("opened again, the review does not stand: %s", shorten(text))
	}
	if was, now := sumField.FindString(before), sumField.FindString(text); was != now {
		t.Errorf("opened again, the review is %q, where it was %q", now, was)
	}
	if code, events := b.get(step + "/review/live"); code != 200 || !strings.Contains(events, sumField.FindString(text)) {
		t.Errorf("watched, it says otherwise: %d %s", code, shorten(events))
	}
	judge(t, b.see(browser.Desk, step+"/review"), "review")
}
