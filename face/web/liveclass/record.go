package liveclass

import (
	"bytes"
	"fmt"
	"net/http"

	"secondpass/face/web/page"
	"secondpass/hall"
	"secondpass/teach/class"
)

// sendRecord is the class as a file that plays it again.
func (c *Classes) sendRecord(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	on, _ := c.exercise(rm)
	var b bytes.Buffer
	if err := rm.Now().Write(&b, on); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Content-Disposition", page.Attachment(fmt.Sprintf("class %d", rm.ID), ".json"))
	_, err := w.Write(b.Bytes())
	return err
}

// replayRecord shows the sheet of a class as it comes of its record, played again by the rules.
func (c *Classes) replayRecord(w http.ResponseWriter, r *http.Request) error {
	f, head, err := r.FormFile("file")
	if err != nil {
		return page.Refused("No file came, or it is too large. Choose the record of a class first.")
	}
	defer f.Close()
	played, about, err := class.Replay(f)
	if err != nil {
		return page.Refused("The file %s cannot be played again: %s.", head.Filename, err)
	}
	c.Render(w, http.StatusOK, "class_sheet", page.Page{Title: "Sheet of the class on " + about, Section: "Live class", Wide: true, Data: sheetOf(about, played)})
	return nil
}
