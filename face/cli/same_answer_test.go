package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/face/web"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// commandLine runs a command line on a data folder and returns what it printed.
func commandLine(t *testing.T, dir string, args ...string) string {
	t.Helper()
	return typed(t, dir, "", args...)
}

// typed is that with something typed in.
func typed(t *testing.T, dir, input string, args ...string) string {
	t.Helper()
	var out, trouble bytes.Buffer
	if status := Main(append([]string{"--data", dir, "--quiet"}, args...), strings.NewReader(input), &out, &trouble); status != command.ExitDone {
		t.Fatalf("%q: status %d, %s", args, status, &trouble)
	}
	return out.String()
}

// workbook serves a data folder as the browser sees it.
func workbook(t *testing.T, dir string) (s store.Store, address string) {
	t.Helper()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	w, err := web.New(s, files.In(dir, func(string) {}), dir, slog.New(slog.NewTextHandler(io.Discard, nil)))
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(w.Handler())
	t.Cleanup(server.Close)
	return s, server.URL
}

// askBrowser starts work as a page's form does, watches it to its end, and returns the page as it is then.
func askBrowser(t *testing.T, address string, form url.Values) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	answer, err := http.PostForm(address, form)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		t.Fatal(answer.Status)
	}
	get := func(address string) string {
		ask, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
		if err != nil {
			t.Fatal(err)
		}
		answer, err := http.DefaultClient.Do(ask)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		if err != nil || answer.StatusCode != http.StatusOK {
			t.Fatalf("%s: %v\n%s", answer.Status, err, text)
		}
		return string(text)
	}
	if last := get(address + "/live?" + form.Encode()); !strings.Contains(last, "event: over") { // it ends with the work
		t.Fatal(last)
	}
	return get(address + "?" + form.Encode())
}

// A student's record is the same from both faces: by the exercise's own seed and the same number of games.
func TestBothFacesKeepTheSameRecord(t *testing.T) {
	dir := t.TempDir()
	commandLine(t, dir, "compare", "--seed", "11", "--aim", "Runs", "--no-second-charleston", "--no-courtesy", "--save", "Same")
	commandLine(t, dir, "student", "add", "Ann")
	commandLine(t, dir, "student", "add", "Bob")
	commandLine(t, dir, "student", "record", "Ann", "Same", "--route", "A")

	s, address := workbook(t, dir)
	askBrowser(t, address+"/exercises/1/routes/A/record", url.Values{"student": {"Bob"}})

	kept := map[string]string{}
	for _, name := range []string{"Ann", "Bob"} {
		data, err := s.StudentData(name)
		if err != nil {
			t.Fatal(err)
		}
		if len(data.Tries) != 3 || len(data.Charlestons) != 1 {
			t.Fatalf("%s has %d tries, %d Charlestons", name, len(data.Tries), len(data.Charlestons))
		}
		for i := range data.Tries {
			data.Tries[i].At, data.Tries[i].ID = time.Time{}, 0
		}
		data.Charlestons[0].At = time.Time{}
		text, err := json.Marshal([]any{data.Tries, data.Charlestons})
		if err != nil {
			t.Fatal(err)
		}
		kept[name] = string(text)
	}
	if kept["Ann"] != kept["Bob"] {
		t.Errorf("from the command line\n%s\nfrom the browser\n%s", kept["Ann"], kept["Bob"])
	}
}

// What is judged of a saved exercise goes by its own seed, as in the browser; --seed wins, and is said either way.
func TestSavedExerciseIsJudgedByItsSeed(t *testing.T) {
	dir := t.TempDir()
	s, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	e, err := exercise.New("Mine", card.Practice(), house.Usual, charleston.South, tile.MustParse("1122b 3456c 78d N FF"), exercise.MockPasses, 11)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Add(e); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		seed uint64
	}{{nil, 11}, {[]string{"--seed", "1"}, 1}, {[]string{"--seed=5"}, 5}} {
		var said struct{ Seed uint64 }
		text := commandLine(t, dir, append([]string{"advise", "Mine", "--games", "8", "--json"}, c.args...)...)
		if err := json.Unmarshal([]byte(text), &said); err != nil || said.Seed != c.seed {
			t.Errorf("%q: seed %d, %d is right; %v", c.args, said.Seed, c.seed, err)
		}
	}
}

// figures is the chances on a page of advice: as they are shown, each with its interval.
var figures = regexp.MustCompile(`<td class="num"><b>([^<]+ %)</b> <span class="cap">([^<]*)</span>`)

// Advice in the passing and in play, and a review, are the same figures from both faces: each figure that the page shows is
// made of what the command line prints for programs.
func TestBothFacesJudgeAlike(t *testing.T) {
	dir := t.TempDir()
	commandLine(t, dir, "compare", "--seed", "11", "--aim", "Runs", "--no-second-charleston", "--no-courtesy", "--save", "Walked")
	s, address := workbook(t, dir)
	passing, err := exercise.New("Passing", card.Practice(), house.Usual, charleston.South, tile.MustParse("1122b 3456c 78d N FF"), exercise.MockPasses, 12)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range []*exercise.Exercise{passing, halfPlayed(t, charleston.South, 1)} {
		if _, err := s.Add(e); err != nil {
			t.Fatal(err)
		}
	}

	type interval struct {
		Value, Low, High float64
		N                int
	}
	type option struct {
		Chance *interval
		Even   bool
	}
	for _, of := range []struct{ name, path string }{{"Passing", "/exercises/2"}, {"Lesson", "/exercises/3"}} {
		var said struct {
			Passes, Judged []option
			Seed           uint64
			Games          int
			Whole          int `json:"whole_games"`
			Each           int `json:"fresh_games"`
		}
		if err := json.Unmarshal([]byte(commandLine(t, dir, "advise", of.name, "--route", "A", "--json")), &said); err != nil {
			t.Fatal(err)
		}
		page := askBrowser(t, address+of.path+"/routes/A/advice", url.Values{})
		all := append(said.Passes, said.Judged...)
		var want, got []string
		for _, o := range all {
			if o.Chance != nil {
				want = append(want, fmt.Sprintf("%.1f %% %.1f to %.1f", 100*o.Chance.Value, 100*o.Chance.Low, 100*o.Chance.High))
			}
		}
		for _, m := range figures.FindAllStringSubmatch(page, -1) {
			got = append(got, strings.ReplaceAll(m[1]+" "+m[2], "\u2212", "-"))
		}
		// A page puts those that no difference is shown of first.
		slices.Sort(want)
		slices.Sort(got)
		if len(want) < 2 || !slices.Equal(got, want) {
			t.Errorf("%s: the page shows\n%q\nthe command line says\n%q", of.name, got, want)
		}
		count := fmt.Sprintf("%d short games, then %d whole games of each", said.Games, said.Whole)
		if said.Judged != nil {
			count = fmt.Sprintf("then %d fresh ones of each", said.Each)
		}
		if !strings.Contains(page, count) || !strings.Contains(page, fmt.Sprintf("Seed %d.", said.Seed)) {
			t.Errorf("%s: no %q by seed %d on the page", of.name, count, said.Seed)
		}
	}

	// What a comparison has played for the end of the passing is what a review, from either face, ends with.
	var compared struct {
		Outlook []struct {
			Route  string
			Chance interval
		}
	}
	if err := json.Unmarshal([]byte(commandLine(t, dir, "compare", "Walked", "--games", "700", "--json")), &compared); err != nil {
		t.Fatal(err)
	}
	var rev struct {
		Seed       uint64
		Start, End interval
		Entries    []struct{ Cost, Swing interval }
	}
	if err := json.Unmarshal([]byte(commandLine(t, dir, "review", "Walked", "--route", "A", "--json")), &rev); err != nil {
		t.Fatal(err)
	}
	if a := compared.Outlook[0]; a.Route != "A" || a.Chance.N != 700 || rev.End.N != 700 || rev.End.Value != a.Chance.Value {
		t.Errorf("route %s ends with %v by %d games in the comparison, with %v by %d in the review", a.Route, a.Chance.Value, a.Chance.N, rev.End.Value, rev.End.N)
	}
	sheet, err := http.Get(address + "/exercises/1")
	if err != nil {
		t.Fatal(err)
	}
	defer sheet.Body.Close()
	shown, err := io.ReadAll(sheet.Body)
	if a := compared.Outlook[0].Chance; err != nil || !strings.Contains(string(shown), "700 games a route") || !strings.Contains(string(shown), fmt.Sprintf("<b>%.1f %%</b>", 100*a.Value)) {
		t.Errorf("the sheet does not show %.1f %% by 700 games: %v", 100*a.Value, err)
	}
	costs, swings := 0.0, 0.0
	for _, en := range rev.Entries {
		costs += en.Cost.Value
		swings += en.Swing.Value
	}
	points := func(v float64) string { return wording.Plus(unit.ChanceDifference(100*v), 1) }
	sum := fmt.Sprintf("%.1f start, costs %s, swings %s, end %.1f.", 100*rev.Start.Value, points(-costs), points(swings), 100*rev.End.Value)
	opened, err := http.Get(address + "/exercises/1/routes/A/review") // it finds the games that the command line has kept
	if err != nil {
		t.Fatal(err)
	}
	defer opened.Body.Close()
	text, err := io.ReadAll(opened.Body)
	if err != nil {
		t.Fatal(err)
	}
	page := strings.ReplaceAll(string(text), "\u2212", "-")
	if page = html.UnescapeString(page); len(rev.Entries) != 3 || !strings.Contains(page, sum) || !strings.Contains(page, fmt.Sprintf("seed %d.", rev.Seed)) {
		t.Errorf("no %q by seed %d on the page:\n%s", sum, rev.Seed, page)
	}
}
