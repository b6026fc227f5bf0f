package experiments

import (
	"bytes"
	"net/http"

	"secondpass/face/web/page"
	"secondpass/paper/findings"
	"secondpass/research/experiment"
)

// experimentFile is what can be taken away of a result: its figures as CSV or JSON, the result itself, the experiment file.
func (s *Area) experimentFile(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	result, err := s.shelf.read(name)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	kind, ext := "application/json; charset=utf-8", ".json"
	file := plainFile(name)
	switch as := r.FormValue("as"); as {
	case "csv":
		kind, ext = "text/csv; charset=utf-8", ".csv"
		err = findings.WriteExperimentCSV(&b, result)
	case "json":
		file += "-figures"
		err = page.WriteIndented(&b, findings.AnswerOf(result))
	case "result":
		b.Write(result.Bytes())
	case "experiment", "study": // study is what earlier pages say
		kind, ext = "text/plain; charset=utf-8", experiment.Ext
		b.WriteString(result.Experiment)
	default:
		return page.Refused("A result as %q: csv, json, result or experiment is right.", as)
	}
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", page.Attachment(file, ext))
	_, err = w.Write(b.Bytes())
	return err
}

func (s *Area) experimentPlot(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	result, err := s.shelf.read(name)
	if err != nil {
		return err
	}
	plots, err := s.shelf.withSeries(findings.ExperimentPlots(result), name, result)
	if err != nil {
		return err
	}
	return page.SendPlot(w, r, plots, plainFile(name))
}
