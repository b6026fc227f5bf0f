package workbook

import (
	"net/http"

	"secondpass/face/web/page"
	"secondpass/paper/handout"
	"secondpass/paper/sheet"
)

// exercisePaper is the routes side by side on paper: of=summary is one page on how they ended, else the whole sheet.
func (s *Area) exercisePaper(w http.ResponseWriter, r *http.Request) error {
	paper, err := page.PaperOf(r)
	if err != nil {
		return err
	}
	x, columns, figures, err := s.drawn(r)
	if err != nil {
		return err
	}
	if r.FormValue("of") == "summary" {
		return page.SendPaper(w, r, handout.Comparison(x.Exercise, columns, figures, paper), x.Exercise.Name+" summary")
	}
	return page.SendPaper(w, r, sheet.RoutesDocument(x.Exercise, columns, figures, paper), x.Exercise.Name)
}
