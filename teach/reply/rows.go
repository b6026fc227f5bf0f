package reply

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/rules/charleston"
)

// rowNames are the columns of [WriteCSV].
var rowNames = []string{"line", "reader", "code", "counts", "why_not", "step", "passed", "blind", "stop", "offer", "came", "nearest", "away", "spare", "options", "cost", "cost_low", "cost_high"}

// WriteCSV writes a line for each decision of each reply, with how the rack stands after it: nearest hand of the card, how far away in
// tiles, spare tiles, options, and, where costs are known, what the decision cost in chance to win, with its 95 % interval. A reply that was not read has one line, with the reason that why gives. Fields that do not apply are
// empty. A reader's name that a spreadsheet would take for a formula has an apostrophe before it.
func WriteCSV(out io.Writer, replies []Reply, costs *Costs, why func(*Reply) string) error {
	w := csv.NewWriter(out)
	if err := w.Write(rowNames); err != nil {
		return err
	}
	for i := range replies {
		r := &replies[i]
		head := []string{strconv.Itoa(r.Line), plainText(r.Name), r.Code, strconv.FormatBool(r.Counts()), why(r)}
		if r.Err != nil {
			if err := w.Write(append(head, make([]string, len(rowNames)-len(head))...)); err != nil {
				return err
			}
			continue
		}
		column, err := r.Walked.Column(r.Route())
		if err != nil {
			return err
		}
		for n := range column.Trail.Snapshots {
			row := append(append([]string{}, head...), decisionFields(&column.Trail.Snapshots[n].Decision)...)
			a := &column.Accounts[n+1]
			row = append(row, a.Nearest.OnCard().Name, strconv.Itoa(a.Nearest.Away), strconv.Itoa(a.SpareBest.Size()), strconv.Itoa(a.Options))
			row = append(row, costs.fields(i, n)...)
			if err := w.Write(row); err != nil {
				return err
			}
		}
	}
	w.Flush()
	return w.Error()
}

// fields are what decision n of a reply cost, empty where that is not known.
func (c *Costs) fields(reply, n int) []string {
	if c == nil || c.Reviews[reply] == nil || n >= len(c.Reviews[reply].Entries) {
		return []string{"", "", ""}
	}
	cost := c.Reviews[reply].Entries[n].Cost
	text := func(x unit.ChanceDifference) string { return strconv.FormatFloat(float64(x), 'g', 6, 64) }
	if !cost.Bounded() {
		return []string{text(cost.Value), "", ""}
	}
	return []string{text(cost.Value), text(cost.Low), text(cost.High)}
}

// decisionFields are those of a decision, from step to came.
func decisionFields(d *exercise.Decision) []string {
	fields := []string{d.Step.Key(), "", "", "", "", d.Came.String()}
	switch d.Phase {
	case charleston.Passing:
		fields[1], fields[2] = d.Own.String(), strconv.Itoa(d.Count)
	case charleston.Voting:
		fields[3] = strconv.FormatBool(d.Stop)
	case charleston.Naming:
		fields[4] = strconv.Itoa(d.Count)
	default:
		fields[1] = d.Own.String()
	}
	return fields
}

// plainText is a text as a spreadsheet shows it and does not work it out.
func plainText(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}
