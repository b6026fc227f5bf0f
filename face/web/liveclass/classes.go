package liveclass

import (
	"net/http"

	"secondpass/desk"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/hall"
	"secondpass/rules/card"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/work/queue"
)

// Store is where classes are kept, and the exercises that they work on.
type Store interface {
	store.Exercises
	store.Classes
	// Lesson, Drill and DrillCard are what else a class can be opened on.
	Lesson(id int64) (*store.SavedLesson, error)
	Drill(id int64) (*drill.Drill, error)
	DrillCard(fingerprint string) (*card.Card, error)
	// Students, AddStudent and AddExercise are for the records into which answers go when the teacher says whose they are.
	Students() ([]drill.Student, error)
	AddStudent(name string) (drill.Student, error)
	AddExercise(student string, tries []drill.Try, ended *drill.Charleston) error
}

// Classes is the pages of live classes, and the listener by which phones join.
type Classes struct {
	*page.Pages
	hall  *hall.Hall
	store Store
	jobs  *queue.Jobs
	desk  *desk.Desk
	// address is where the workbook listens.
	address func() string
	// public is the address by which all of the program is reached, phones too; "" where phones need a door of their own.
	public  string
	door    door
	screens screens
	// beside routes what else phones are let in to; nil for nothing.
	beside func(page.Routes)
}

// LetInTo lets phones in to other pages too. It is called before phones come.
func (c *Classes) LetInTo(route func(page.Routes)) { c.beside = route }

// ServedAs says that phones reach the program by its public address, as in https://club.example, and need no door. It is
// called before requests come.
func (c *Classes) ServedAs(public string) { c.public = public }

// pages are the templates of the area.
var pages = page.Read(folder("templates"), view.Parts())

// New makes the pages of the live classes of a store. address tells where the workbook listens.
func New(site *page.Site, s Store, d *desk.Desk, jobs *queue.Jobs, address func() string) (*Classes, error) {
	p, err := site.Pages(pages)
	if err != nil {
		return nil, err
	}
	return &Classes{Pages: p, hall: hall.New(s, rater{d}, site.Log, nil), store: s, jobs: jobs, desk: d, address: address,
		screens: screens{by: map[*hall.Room]shownScreen{}}}, nil
}

// Close ends the listener for phones and everything that goes on by itself.
func (c *Classes) Close() {
	c.CloseDoor()
	c.hall.Close()
}

// Known is what errors of a hall mean to a reader.
var Known = []page.Known{
	{Err: hall.Wrong, Status: http.StatusUnprocessableEntity}, {Err: hall.Unknown, Status: http.StatusNotFound}, {Err: hall.Stranger, Status: http.StatusUnauthorized},
	{Err: hall.Late, Status: http.StatusConflict}, {Err: hall.Changed, Status: http.StatusConflict}, {Err: hall.TooOften, Status: http.StatusTooManyRequests},
	{Err: hall.Crowded, Status: http.StatusServiceUnavailable}, {Err: hall.NotSaved, Status: http.StatusServiceUnavailable},
	{Err: hall.Unreadable, Status: http.StatusServiceUnavailable},
}
