package practice

import (
	"encoding/csv"
	"net/http"
	"strconv"
	"strings"
	"time"

	"secondpass/face/web/page"
	"secondpass/teach/drill"
)

// exportAll is every try of every student as rows for a spreadsheet. Costs are percentage points of the chance to win, empty where they
// are not known.
func (s *Area) exportAll(w http.ResponseWriter, _ *http.Request) error {
	students, err := s.store.Students()
	if err != nil {
		return err
	}
	rows := [][]string{{"student", "at", "kind", "step", "about", "answer", "right", "cost", "cost low", "cost high", "games", "seconds", "late"}}
	for _, st := range students {
		tries, err := s.store.Tries(st.ID)
		if err != nil {
			return err
		}
		for i := range tries {
			rows = append(rows, csvRow(&st, &tries[i]))
		}
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", page.Attachment("students", ".csv"))
	out := csv.NewWriter(w)
	return out.WriteAll(rows)
}

func csvRow(st *drill.Student, t *drill.Try) []string {
	about := t.About
	if t.Drill != 0 {
		about = "drill " + strconv.FormatInt(t.Drill, 10)
	}
	cost := make([]string, 4)
	if t.Cost.N > 0 {
		cost = []string{points(float64(t.Cost.Value)), points(float64(t.Cost.Low)), points(float64(t.Cost.High)), strconv.Itoa(t.Cost.N)}
	}
	seconds := ""
	if t.Taken > 0 {
		seconds = strconv.FormatFloat(t.Taken.Seconds(), 'f', 1, 64)
	}
	return []string{harmless(st.Name), t.At.UTC().Format(time.RFC3339), t.Kind, t.Step, harmless(about), harmless(t.Answer), strconv.FormatBool(t.Right), cost[0], cost[1], cost[2],
		cost[3], seconds, strconv.FormatBool(t.Late())}
}

func points(x float64) string { return strconv.FormatFloat(100*x, 'f', 2, 64) }

// harmless is text that no spreadsheet takes for a formula: nicknames are the students' own.
func harmless(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}
