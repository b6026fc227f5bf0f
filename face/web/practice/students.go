package practice

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/draw"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/drill"
)

// routeProgress is the students and what is kept of them.
func (s *Area) routeProgress(mux page.Routes) {
	mux.HandleFunc("GET /students", s.Handle(s.listStudents))
	mux.HandleFunc("GET /students.csv", s.Handle(s.exportAll))
	mux.HandleFunc("POST /students/import", s.Handle(s.importStudent))
	mux.HandleFunc("POST /students/answers", s.Handle(s.keepAnswers))
	mux.HandleFunc("GET /students/{name}", s.Handle(s.showProgress))
	mux.HandleFunc("GET /students/{name}/file", s.Handle(s.exportStudent))
	mux.HandleFunc("POST /students/{name}/delete", s.Handle(s.deleteStudent))
	mux.HandleFunc("GET /assets/drawing.css", drawingCSS)
}

// drawingCSS is the rules of charts that stand in a page.
func drawingCSS(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/css; charset=utf-8")
	w.Header().Set("Cache-Control", "max-age=3600")
	w.Write([]byte(draw.InlineCSS())) // the reader may have gone; there is nobody to tell
}

// studentLine is a student in the list.
type studentLine struct{ Name, Path, Rating, Since string }

type studentsPage struct {
	Lines []studentLine
	Part  page.Part
}

func (s *Area) listStudents(w http.ResponseWriter, r *http.Request) error {
	students, err := s.store.Students()
	if err != nil {
		return err
	}
	shown, part := page.PartOf(r, students)
	list := studentsPage{Part: part}
	for _, st := range shown {
		list.Lines = append(list.Lines, studentLine{st.Name, view.ProgressPath(st.Name), wording.Strength(st.Rating), st.Created.Local().Format("2 January 2006")})
	}
	p := page.Page{Title: "Students", Section: "Drills", Data: list}
	if name := r.FormValue("deleted"); name != "" {
		p.Said = fmt.Sprintf("%s is deleted with all that was kept, for good.", name)
	}
	switch name := r.FormValue("name"); r.FormValue("done") {
	case "imported":
		p.Said = fmt.Sprintf("%s is here with all that the file holds.", name)
	case "answers":
		kept, _ := strconv.Atoi(r.FormValue("n"))
		unknown, _ := strconv.Atoi(r.FormValue("unknown"))
		p.Said = fmt.Sprintf("%s in the record of %s%s.", wording.Plural(kept, "answer"), name, wording.UnknownAnswers(unknown))
	}
	s.Render(w, http.StatusOK, "students", p)
	return nil
}

// studentData is what is kept of the student of the address.
func (s *Area) studentData(r *http.Request) (store.StudentData, error) {
	data, err := s.store.StudentData(r.PathValue("name"))
	if errors.Is(err, store.ErrNoStudent) {
		return data, page.NotFound("There is no student %s; it may have been deleted.", r.PathValue("name"))
	}
	return data, err
}

// progressPage is how a student is doing.
type progressPage struct {
	Name, Path, Rating string
	Since              string
	Kept               string // what there is of the student, and would be deleted
	Seats              int    // places in classes under the name
	All                []progressRow
	Kinds, Steps       []progressRow
	Themes             []progressRow
	Next               *nextHint
	Clean              []cleanRow
	Charlestons        int
	Chart, Narrow      template.HTML // the same drawing for desks and for phones
	Scale              string        // of the costs
	Tries              []tryLine
	More               int // tries that are not listed
	// Phone is where the student's phone practises; nil while no phone can come in.
	Phone *page.QRCode
}

// nextHint is what is best practised next.
type nextHint struct {
	Text  string
	Query template.URL
}

// progressRow is the figures of a kind or a step.
type progressRow struct {
	Name    string
	Tries   int
	Right   view.Figure
	Cost    view.Figure
	NoCost  string // why there is no cost
	Seconds string
	Change  string
}

// cleanRow is a share of clean Charlestons.
type cleanRow struct {
	Name   string
	Share  view.Figure
	Change string
}

// tryLine is one answer.
type tryLine struct {
	At, What, Answer, Came, Took string
	Path                         string
}

// triesShown is how many answers are listed.
const triesShown = 200

// chartFrom is the fewest Charlestons that are drawn: fewer can be read as they are.
const chartFrom = 5

func (s *Area) showProgress(w http.ResponseWriter, r *http.Request) error {
	data, err := s.studentData(r)
	if err != nil {
		return err
	}
	progress := drill.NewProgress(data.Tries, data.Charlestons)
	st := &data.Student
	p := progressPage{Name: st.Name, Path: view.ProgressPath(st.Name), Rating: wording.Strength(st.Rating), Since: st.Created.Local().Format("2 January 2006"), Kept: keptText(&data), Seats: len(data.Classes), Charlestons: len(data.Charlestons)}
	p.fill(&progress)
	p.list(data.Tries)
	link, err := s.linkOf(st)
	if err == nil && link != "" {
		p.Phone, err = page.QROf(link)
	}
	if err != nil {
		return err
	}
	if len(data.Charlestons) >= chartFrom {
		p.Chart, p.Narrow = template.HTML(sparesChart(data.Charlestons, 760).InlineSVG()), template.HTML(sparesChart(data.Charlestons, 330).InlineSVG())
	}
	s.Render(w, http.StatusOK, "student", page.Page{Title: "Progress of " + st.Name, Section: "Drills", Data: p})
	return nil
}

// keptText says what is kept of a student.
func keptText(d *store.StudentData) string {
	text := "No answer"
	if n := len(d.Tries); n > 0 {
		text = wording.Plural(n, "answer")
	}
	return fmt.Sprintf("%s, %s, and when %s %s due", text, wording.Plural(len(d.Charlestons), "Charleston"), wording.Plural(len(d.Memories), "drill"), map[bool]string{true: "is", false: "are"}[len(d.Memories) == 1])
}

// fill lays the progress out; all costs share one scale, and all shares another.
func (p *progressPage) fill(r *drill.Progress) {
	all := slices.Concat([]drill.Figures{r.All}, r.Kinds, r.Steps, r.Themes)
	var costs []stat.Interval[unit.ChanceDifference]
	for i := range all {
		if all[i].Cost.N > 0 {
			costs = append(costs, all[i].Cost)
		}
	}
	scale := view.ScaleOf(100, costs...)
	p.Scale = scale.Words() + " points"
	rows := make([]progressRow, len(all))
	for i := range all {
		rows[i] = progressRowOf(&all[i], scale)
	}
	rows[0].Name = "All decisions"
	for i := 1; i < len(rows); i++ {
		switch {
		case i <= len(r.Kinds):
			rows[i].Name = kindName(all[i].Name)
		case i <= len(r.Kinds)+len(r.Steps):
			rows[i].Name = wording.Capital(view.StepName(all[i].Name))
		default:
			rows[i].Name = wording.Capital(wording.Theme(drill.Theme(all[i].Name)))
		}
	}
	if r.All.Tries > 0 {
		steps, themes := 1+len(r.Kinds), 1+len(r.Kinds)+len(r.Steps)
		p.All, p.Kinds, p.Steps, p.Themes = rows[:1], rows[1:steps], rows[steps:themes], rows[themes:]
	}
	if r.Next != nil {
		p.Next = &nextHint{wording.Weakness(r.Next), template.URL(url.Values{"theme": {string(r.Next.Theme)}, "kind": {string(r.Next.Kind)}}.Encode())}
	}
	if c := &r.Clean; c.Charlestons > 0 {
		p.Clean = []cleanRow{{"for the three nearest hands", shareFigure(c.Plan), changeText(&c.PlanChange, false)},
			{"for the nearest hand", shareFigure(c.Best), changeText(&c.BestChange, false)}}
	}
}

// shares is the scale of shares, whatever the figures.
var shares = view.Scale[unit.Chance]{Low: 0, High: 100, Step: 25, Factor: 100}

func shareFigure(i stat.Interval[unit.Chance]) view.Figure {
	return view.Figure{Value: fmt.Sprintf("%.0f %%", 100*i.Value), Range: fmt.Sprintf("%.0f to %.0f", 100*i.Low, 100*i.High), Bar: shares.Bar(i)}
}

func changeText[U unit.Chance | unit.ChanceDifference](c *drill.Change[U], lessIsBetter bool) string {
	return view.Minus(wording.Change(c, lessIsBetter))
}

func progressRowOf(f *drill.Figures, costs view.Scale[unit.ChanceDifference]) progressRow {
	row := progressRow{Tries: f.Tries, Right: shareFigure(f.Right)}
	if f.Seconds > 0 {
		row.Seconds = fmt.Sprintf("%.1f s", f.Seconds)
	}
	switch {
	case f.Cost.N > 0:
		row.Cost = view.Figure{Value: view.Minus(fmt.Sprintf("%.2f", 100*f.Cost.Value)), Range: view.Minus(fmt.Sprintf("%.2f to %.2f", 100*f.Cost.Low, 100*f.Cost.High)), Bar: costs.Bar(f.Cost)}
	case f.Name == drill.OfReading:
		row.NoCost = "a reading has none"
	default:
		row.Cost.Value, row.NoCost = view.Minus(fmt.Sprintf("%.2f", 100*f.Cost.Value)), "too few for an interval"
	}
	row.Change = changeText(&f.Change, true)
	if f.Name == drill.OfReading {
		row.Change = changeText(&f.RightChange, false)
	}
	return row
}

// kindName is what a try can be about in words.
func kindName(kind string) string {
	switch kind {
	case drill.OfExercise:
		return "In whole exercises"
	case drill.OfReading:
		return "Reading a rack"
	}
	return wording.Capital(wording.DrillKind(drill.Kind(kind)))
}

// list is the latest answers, the last first.
func (p *progressPage) list(tries []drill.Try) {
	for i := len(tries) - 1; i >= 0; i-- {
		if len(p.Tries) == triesShown {
			p.More = i + 1
			return
		}
		t := &tries[i]
		line := tryLine{At: t.At.Local().Format("2 Jan 2006, 15:04"), What: kindName(t.Kind) + ", " + view.StepName(t.Step), Answer: t.Answer, Came: "right"}
		if !t.Right {
			line.Came = "not right"
			if t.Cost.N > 0 {
				line.Came = "costs " + view.CostSentence(t.Cost)
			}
		}
		if t.Kind == drill.OfReading || t.Kind == drill.OfExercise {
			line.What = kindName(t.Kind) + ": " + t.About
		}
		if t.Taken > 0 {
			line.Took = secondsText(t.Taken)
		}
		if t.Late() {
			line.Took += ", late"
		}
		if t.Drill != 0 {
			line.Path = view.DrillPath(t.Drill)
		}
		p.Tries = append(p.Tries, line)
	}
}

// sparesChart is the spare tiles at the end of each Charleston, in the order of time.
func sparesChart(list []drill.Charleston, width float64) *draw.Scene {
	c := draw.LineChart{ChartFrame: draw.ChartFrame{Title: "Spare tiles at the end of each Charleston", Width: width,
		Caption: fmt.Sprintf("In the order of time. Clean is %d spare tiles or fewer.", exercise.CleanSpares)},
		Across: "Charleston", Up: "Spare tiles", Zero: true}
	plan, best := draw.LineSeries{Name: "for the three nearest hands"}, draw.LineSeries{Name: "for the nearest hand"}
	for i := range list {
		at := func(n int) draw.LinePoint {
			v := float64(n)
			return draw.LinePoint{X: float64(i + 1), Span: draw.Span{Value: v, Low: v, High: v}}
		}
		plan.Points, best.Points = append(plan.Points, at(list[i].SparePlan)), append(best.Points, at(list[i].SpareBest))
	}
	c.Series = []draw.LineSeries{plan, best}
	return c.Scene()
}

// exportStudent is everything that is kept of a student as a file.
func (s *Area) exportStudent(w http.ResponseWriter, r *http.Request) error {
	data, err := s.studentData(r)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := data.Write(&b); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Content-Disposition", page.Attachment(data.Student.Name, ".json"))
	_, err = w.Write(b.Bytes())
	return err
}

func (s *Area) deleteStudent(w http.ResponseWriter, r *http.Request) error {
	data, err := s.studentData(r)
	if err != nil {
		return err
	}
	if err := page.Form(r); err != nil {
		return err
	}
	if r.PostForm.Has("classes") {
		if err := s.leave(data.Classes); err != nil {
			return err
		}
	}
	if err := s.store.DeleteStudent(data.Student.Name); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/students?deleted="+url.QueryEscape(data.Student.Name))
}
