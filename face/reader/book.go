package reader

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
)

//go:embed templates
var embedded embed.FS

// Book is an exercise as one reader walks it.
type Book struct {
	// number is that of the exercise in addresses.
	number int64
	show   Showing
	tuning player.Tuning
	shelf  shelf
	given  *exercise.Exercise // as it came, with the teacher's routes
	// start is where the reader begins: the deal, or a moment of it that a lesson asks about.
	start     *exercise.Exercise
	x         *exercise.Exercise // the reader's own
	templates *template.Template
	// teachers are the letters, in x, of routes that are the teacher's, by those that they have with her.
	teachers map[string]string
}

// kept is what a browser keeps for its reader.
type kept struct {
	Exercise string            `json:"exercise"`
	Teachers map[string]string `json:"teachers,omitempty"`
	// Over says, to a list of exercises, that the reader has come to the end of a passing.
	Over bool `json:"over,omitempty"`
}

// templatesOf are the parts of pages, the workbook's and those of a reader's page.
func templatesOf() (*template.Template, error) {
	functions := template.FuncMap{
		"plural": wording.Plural, "sub": func(a, b int) int { return a - b }, "capital": wording.Capital, "counts": view.Counts,
		"workbook": func() bool { return false },
	}
	t, err := template.New("").Funcs(functions).ParseFS(view.Parts(), "*.html")
	if err != nil {
		return nil, err
	}
	return t.ParseFS(embedded, "templates/*.html")
}

// begin opens the book where its reader begins, or where they were before, as [Book.Kept] gave it.
func (b *Book) begin(before []byte) error {
	b.x, b.teachers = b.start.Fresh(), map[string]string{}
	if err := b.walkTo(); err != nil {
		return err
	}
	b.goOn(before)
	if b.show == Always {
		return b.showTeachers()
	}
	return nil
}

// walkTo walks the reader's first route to where the lesson asks.
func (b *Book) walkTo() error {
	for _, d := range b.start.Routes[0].Decisions {
		if _, err := b.x.Do(b.x.Routes[0].Name, exercise.Decision{Own: d.Own, Count: d.Count, Stop: d.Stop}); err != nil {
			return err
		}
	}
	return nil
}

// goOn takes up what was kept of the reader's routes.
func (b *Book) goOn(before []byte) {
	var k kept
	if len(before) == 0 || json.Unmarshal(before, &k) != nil {
		return
	}
	if x, err := exercise.Read(strings.NewReader(k.Exercise)); err == nil && sameDeal(x, b.given) {
		if b.x = x; k.Teachers != nil {
			b.teachers = k.Teachers
		}
	}
}

// sameDeal says whether two exercises are the same but for their routes.
func sameDeal(a, b *exercise.Exercise) bool {
	text := func(e *exercise.Exercise) string {
		var s strings.Builder
		if e.Fresh().Write(&s) != nil {
			return ""
		}
		return s.String()
	}
	return text(a) == text(b)
}

// Kept is what a browser keeps for its reader, to be given to begin again.
func (b *Book) Kept() ([]byte, error) {
	var text strings.Builder
	if err := b.x.Write(&text); err != nil {
		return nil, err
	}
	return json.Marshal(kept{text.String(), b.teachers, b.passed()})
}

// Start is where a reader begins, or goes on.
func (b *Book) Start() string { return view.StepPath(b.number, b.last().ID) }

func (b *Book) numbered() view.Exercise { return view.Exercise{ID: b.number, Exercise: b.x} }

// isTeachers says whether a route is the teacher's, which stays as she walked it.
func (b *Book) isTeachers(r *exercise.Route) bool { return b.teachers[r.ID] != "" }

// passed says whether the reader has come to the end of a passing.
func (b *Book) passed() bool {
	return slices.ContainsFunc(b.x.Routes, func(r *exercise.Route) bool {
		t, err := b.x.Replay(r)
		return err == nil && !b.isTeachers(r) && t.Now.Phase() == charleston.Over
	})
}

// showTeachers puts the teacher's routes beside the reader's, those that are not there yet.
func (b *Book) showTeachers() error {
	if b.show == Never {
		return nil
	}
	for _, r := range b.given.Routes {
		if len(r.Decisions) == 0 || b.hasTeachers(r.ID) {
			continue
		}
		name := "Teacher"
		if r.Name != exercise.FirstRoute {
			name += ", " + r.Name
		}
		own, err := b.x.Adopt(r, name)
		if err != nil { // the name may be too long by now, or the reader's
			own, err = b.x.Adopt(r, "")
		}
		if err != nil {
			return fmt.Errorf("the teacher's route %s: %w", r.Name, err)
		}
		b.teachers[own.ID] = r.ID
	}
	return nil
}

// hasTeachers says whether the teacher's route with a letter of hers is there, or was removed by the reader.
func (b *Book) hasTeachers(hers string) bool {
	for _, id := range b.teachers {
		if id == hers {
			return true
		}
	}
	return false
}

// fill fills one template.
func fill(t *template.Template, name string, data any) (string, error) {
	var out bytes.Buffer
	err := t.ExecuteTemplate(&out, name, data)
	return out.String(), err
}

func (b *Book) fill(name string, data any) (string, error) { return fill(b.templates, name, data) }

// index reads racks against the card.
func (b *Book) index() *fit.Index { return prepared.Of(b.x.Card).Index() }
