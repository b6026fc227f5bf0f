package web

import (
	"secondpass/face/web/live"
	"secondpass/face/web/page"
	"secondpass/face/web/ready"
	"secondpass/hall"
	"secondpass/store"
)

// Classes is the pages of live classes, and the listener by which phones join.
type Classes struct {
	*page.Pages
	hall  *hall.Hall
	store store.Store
	jobs  *live.Jobs
	cards *ready.Cards
	// address is where the workbook listens.
	address func() string
	door    door
	screens screens
}

// newClasses makes the pages of the live classes of a store. address tells where the workbook listens.
func newClasses(p *page.Pages, s store.Store, jobs *live.Jobs, cards *ready.Cards, address func() string) *Classes {
	return &Classes{Pages: p, hall: hall.New(s, rater{cards}, p.Log, nil), store: s, jobs: jobs, cards: cards, address: address,
		screens: screens{by: map[*hall.Room]shownScreen{}}}
}

// Close ends the listener for phones and everything that goes on by itself.
func (c *Classes) Close() {
	c.CloseDoor()
	c.hall.Close()
}
