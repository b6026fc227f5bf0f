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
	content *Content
	given   *exercise.Exercise // as it came, with the teacher's routes
	x       *exercise.Exercise // the reader's own
	// teachers are the letters, in x, of routes that are the teacher's, by those that they have with her.
	teachers  map[string]string
	templates *template.Template
	// rounds is how often more games were asked for, by moment.
	rounds map[string]int
}

// number is that of the exercise in addresses: a page has one.
const number = 1

// kept is what a browser keeps for its reader.
type kept struct {
	Exercise string            `json:"exercise"`
	Teachers map[string]string `json:"teachers,omitempty"`
	// Over says, to a list of exercises, that the reader has come to the end of a passing.
	Over bool `json:"over,omitempty"`
}

// Open opens the content of a page, as [Content] is in JSON. before is what [Book.Kept] gave earlier, empty for nothing: what
// cannot be read of it, or is of another exercise, is let go.
func Open(content, before []byte) (*Book, error) {
	c, given, err := read(content)
	if err != nil {
		return nil, err
	}
	b := &Book{content: c, given: given, x: given.Fresh(), teachers: map[string]string{}, rounds: map[string]int{}}
	functions := template.FuncMap{
		"plural": wording.Plural, "sub": func(a, b int) int { return a - b }, "capital": wording.Capital, "counts": view.Counts,
		"workbook": func() bool { return false },
	}
	b.templates, err = template.New("").Funcs(functions).ParseFS(view.Parts(), "*.html")
	if err == nil {
		b.templates, err = b.templates.ParseFS(embedded, "templates/*.html")
	}
	if err != nil {
		return nil, err
	}
	b.goOn(before)
	if c.Show == Always {
		err = b.showTeachers()
	}
	return b, err
}

// goOn takes up what was kept of the reader's routes.
func (b *Book) goOn(before []byte) {
	var k kept
	if len(before) == 0 || json.Unmarshal(before, &k) != nil {
		return
	}
	if x, err := exercise.Read(strings.NewReader(k.Exercise)); err == nil && sameDeal(x, b.given) {
		b.x = x
		if k.Teachers != nil {
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

// Kept is what a browser keeps for its reader, to be given to [Open] again.
func (b *Book) Kept() ([]byte, error) {
	var text strings.Builder
	if err := b.x.Write(&text); err != nil {
		return nil, err
	}
	return json.Marshal(kept{text.String(), b.teachers, b.passed()})
}

// Start is where a reader begins, or goes on.
func (b *Book) Start() string { return view.StepPath(number, b.last().ID) }

func (b *Book) numbered() view.Exercise { return view.Exercise{ID: number, Exercise: b.x} }

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
	if b.content.Show == Never {
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
func (b *Book) fill(name string, data any) (string, error) {
	var out bytes.Buffer
	err := b.templates.ExecuteTemplate(&out, name, data)
	return out.String(), err
}

// index reads racks against the card.
func (b *Book) index() *fit.Index { return prepared.Of(b.x.Card).Index() }

// Name is what the exercise is called.
func (b *Book) Name() string { return b.x.Name }
