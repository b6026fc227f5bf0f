package practice

import (
	"embed"
	"sync"
	"time"

	"secondpass/desk"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/store"
	"secondpass/work/queue"
)

//go:embed templates
var templates embed.FS

// Store is what of the store practising needs.
type Store interface {
	store.Drills
	store.Students
	store.Lessons
	// Load is the exercise of a number, of which a moment goes into a lesson.
	Load(ref string) (*store.Saved, error)
	Now() time.Time
}

// Area is the pages of drills, of students at work and their progress, and of lessons.
type Area struct {
	*page.Pages
	store Store
	cards store.Cards
	desk  *desk.Desk
	jobs  *queue.Jobs
	// judging lets one free answer be judged at a time.
	judging sync.Mutex
	// doors tells where phones reach this machine; nil or nothing where they do not.
	doors func() []string
	// leave takes students out of classes.
	leave func([]store.ClassSeat) error
	// showings is what waits for a student's answer.
	showings *showings
}

// LeavesClassesBy says how students are taken out of classes, also of those that go on.
func (s *Area) LeavesClassesBy(leave func([]store.ClassSeat) error) { s.leave = leave }

// pages are the templates of the area.
var pages = page.Read(page.Folder(templates, "templates"), view.Parts())

// New makes the pages. jobs finds drills and judges them.
func New(site *page.Site, s Store, d *desk.Desk, jobs *queue.Jobs) (*Area, error) {
	p, err := site.Pages(pages)
	return &Area{Pages: p, store: s, cards: d.Files.Cards, desk: d, jobs: jobs, showings: newShowings()}, err
}

// Route is the drills, practice, the students and the lessons.
func (s *Area) Route(mux page.Routes) {
	s.routeDrills(mux)
	s.routeOwnDrills(mux)
	s.routePractice(mux)
	s.routeReadings(mux)
	s.routeProgress(mux)
	s.routeLessons(mux)
}
