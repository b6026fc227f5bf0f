package workbook

import (
	"net/http"

	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/paper/handout"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
)

// exercisePaper is the routes side by side on paper: of=summary is one page on how they ended, else the whole sheet.
func (s *Area) exercisePaper(w http.ResponseWriter, r *http.Request) error {
	paper, err := page.PaperOf(r)
	if err != nil {
		return err
	}
	x, picked, columns, err := s.picked(r)
	if err != nil {
		return err
	}
	figures := s.pictureFigures(x, picked)
	if r.FormValue("of") == "summary" {
		return page.SendPaper(w, r, handout.Comparison(x.Exercise, columns, figures, paper), x.Exercise.Name+" summary")
	}
	return page.SendPaper(w, r, sheet.RoutesDocument(x.Exercise, columns, figures, paper), x.Exercise.Name)
}

// lessonStep is a step of an exercise that can be asked about in a lesson.
type lessonStep struct {
	At   int
	Name string
}

// lessonSteps is the moments of a route, from the deal on.
func lessonSteps(t *exercise.Trail) []lessonStep {
	steps := []lessonStep{{0, "from the deal"}}
	for i, snap := range t.Snapshots {
		steps = append(steps, lessonStep{i + 1, "after " + wording.Step(snap.Decision.Step) + ": " + wording.Decision(snap.Decision)})
	}
	return steps
}
