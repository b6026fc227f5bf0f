package web

import (
	"bytes"
	"encoding/json"
	"net/http"

	"secondpass/face/web/page"
	"secondpass/paper/findings"
	"secondpass/research/experiment"
)

// experimentFile is what can be taken away of a result: its figures as CSV or JSON, the result itself, the experiment file.
func (s *Server) experimentFile(w http.ResponseWriter, r *http.Request) error {
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
		err = writeIndented(&b, findings.AnswerOf(result))
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

func writeIndented(b *bytes.Buffer, v any) error {
	enc := json.NewEncoder(b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// plotMargin is left round a chart that is a file of its own.
const plotMargin = 24

// sendPlot answers with a chart as a file.
func sendPlot(w http.ResponseWriter, r *http.Request, plots []findings.Plot, name string) error {
	wish, err := wishOf(r)
	if err != nil {
		return err
	}
	p := findings.FindPlot(plots, r.FormValue("of"))
	if p == nil {
		var keys []string
		for _, p := range plots {
			keys = append(keys, p.Key)
		}
		return page.NotFound("There is no plot %q here; there are %q.", r.FormValue("of"), keys)
	}
	return sendPicture(w, p.Draw(0).Padded(plotMargin), wish, name+" "+p.Key)
}

func (s *Server) experimentPlot(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	result, err := s.shelf.read(name)
	if err != nil {
		return err
	}
	return sendPlot(w, r, findings.ExperimentPlots(result), plainFile(name))
}
