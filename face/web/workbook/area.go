package workbook

import (
	"embed"
	"net/http"
	"net/url"
	"time"

	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/work/queue"
)

//go:embed templates
var templates embed.FS

// Store is what of the store exercises need: themselves, the students they are recorded for, and the lessons that a
// moment of them can go into.
type Store interface {
	store.Exercises
	Student(name string) (drill.Student, error)
	Students() ([]drill.Student, error)
	Lessons() ([]store.LessonEntry, error)
	Lesson(id int64) (*store.SavedLesson, error)
	Now() time.Time
}

// Play is the game after the passing, which stands at the address of its route.
type Play interface {
	// Show writes the page; said is why a form was refused.
	Show(w http.ResponseWriter, code int, x *store.Saved, route *exercise.Route, t exercise.Trail, said string) error
	// ShowPast writes the page of the player's decision number at, from 0, which is one of the play, as it was.
	ShowPast(w http.ResponseWriter, code int, x *store.Saved, route *exercise.Route, at int) error
	// Act carries out the action that a form holds.
	Act(x *store.Saved, route *exercise.Route, t *exercise.Trail, f url.Values) error
}

// Area is the pages of exercises: the first page, the decision that is due, the routes side by side, what is
// simulated of them, and what is taken away or recorded.
type Area struct {
	*page.Pages
	store Store
	cards store.Cards
	desk  *desk.Desk
	jobs  *queue.Jobs
	play  Play
	// practising is the student who practises in the browser of a request.
	practising func(*http.Request) (drill.Student, error)
}

// pages are the templates of the area.
var pages = page.Read(page.Folder(templates, "templates"), view.Parts())

// New makes the pages. jobs simulates; practising is the student who practises in the browser of a request, with an
// error where nobody does.
func New(site *page.Site, s Store, d *desk.Desk, jobs *queue.Jobs, play Play, practising func(*http.Request) (drill.Student, error)) (*Area, error) {
	p, err := site.Pages(pages)
	return &Area{Pages: p, store: s, cards: d.Files.Cards, desk: d, jobs: jobs, play: play, practising: practising}, err
}

// Route is the exercises, their routes and what is made of them.
func (s *Area) Route(mux page.Routes) {
	s.routeExercises(mux)
	s.routeSteps(mux)
	s.routeMoments(mux)
	s.routeEnd(mux)
	s.routeSheet(mux)
	s.routeReview(mux)
	s.routeLive(mux)
	s.routePictures(mux)
	s.routeRecord(mux)
	s.routeReplies(mux)
	s.routeReaderPages(mux)
}
