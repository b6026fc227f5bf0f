package liveclass

import (
	"html/template"
	"net/http"

	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/hall"
	"secondpass/rules/card"
)

// cardPart is the card as a phone shows it: each hand can be pinned as the student's plan.
type cardPart struct {
	Name     string
	Sections []cardSection
}

type cardSection struct {
	Name  string
	Hands []cardHand
}

type cardHand struct {
	Name, Note string
	Concealed  bool
	Points     int
	Line       template.HTML
}

// showCard is the card that the class works with, as a part of the room.
func (c *Classes) showCard(w http.ResponseWriter, r *http.Request) error {
	rm, _, err := c.student(r)
	if err != nil {
		return err
	}
	on := c.cardOf(rm)
	if on == nil {
		return page.NotFound("The card of this class cannot be read.")
	}
	p := cardPart{Name: on.Name}
	for _, name := range on.Sections {
		p.Sections = append(p.Sections, cardSection{Name: name})
	}
	for i := range on.Hands {
		h := &on.Hands[i]
		s := &p.Sections[h.Section]
		s.Hands = append(s.Hands, cardHand{h.Name, h.Note, h.Concealed, h.Points, view.LineStrip(h)})
	}
	html, err := c.Text("room", "room-card", p)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, err = w.Write(html)
	return err
}

// cardOf is the card of what the class is asked now; nil where it cannot be read.
func (c *Classes) cardOf(rm *hall.Room) *card.Card {
	if rm.Lesson == nil {
		_, x := c.exercise(rm)
		if x == nil {
			return nil
		}
		return x.Card
	}
	at := 0
	if r := rm.Now().Round(); r != nil {
		at = r.At
	}
	if at >= len(rm.Lesson.Items) {
		return nil
	}
	if item := &rm.Lesson.Items[at]; item.Exercise != nil {
		return item.Exercise.Card
	}
	return rm.Lesson.Items[at].Card
}
