//go:build unix

package club

import (
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"secondpass/club"
)

// A teacher sees what she uses. More than one may keep is refused in a sentence, and so is more work than one has in a day; what was deleted is thrown
// away on request. Account and workbook go for good, by herself or the owner, who type a name; those of others stay.
func TestFairUse(t *testing.T) {
	h := newHouse(t)
	owner := h.somebody(nil, club.Owner, "Olga")
	ana, bea := h.somebody(&owner, club.Teacher, "Ana"), h.somebody(&owner, club.Teacher, "Bea")
	hal := h.somebody(&ana, club.Assistant, "Hal")
	held, _, _ := h.settle(&ana, "Quince", 1)
	h.settle(&bea, "Plum", 1)
	v, w, o, assists := h.as(&ana), h.as(&bea), h.as(&owner), h.as(&hal)
	account := func() string { return v.must(200)(v.get("/account")) }
	if text := account(); !strings.Contains(text, "of <b class=\"num\">") && !strings.Contains(text, "Your workbook keeps <b class=\"num\">less than 0.1 MB</b>.") {
		t.Error(shorten(text[strings.Index(text, "What you use"):]))
	}
	// Storage.
	h.front.Storage, h.kept.Most = 1000, 1000
	h.kept.Database.Most = 1000
	for path, form := range map[string]url.Values{"/exercises": {"act": {"deal"}, "name": {"One more"}, "seed": {"3"}}, "/cards": {"name": {"One more"}, "text": {"card One more\n"}}} {
		if status, text := v.post(path, form); status/100 != 4 || !strings.Contains(text, "Your workbook keeps as much as one may in this club") {
			t.Errorf("%s with no room: %d %s", path, status, shorten(text))
		}
	}
	if text := account(); !strings.Contains(text, "of less than 0.1 MB") || !strings.Contains(text, "<progress") {
		t.Error(shorten(text[strings.Index(text, "What you use"):]))
	}
	phone := h.as(nil)
	phone.must(303)(phone.post("/join", url.Values{"code": {held["{code}"]}, "name": {"Cy"}}))
	v.must(303)(v.post("/cards/Quince/delete", nil))
	assists.must(403)(assists.post("/account/workbook/purge", nil))
	v.must(303)(v.post("/account/workbook/purge", nil))
	h.front.Storage, h.kept.Database.Most = 0, 0
	// Work.
	h.front.books.close()
	h.front.Work = time.Minute
	if _, err := h.kept.AddWork(ana.Workbook, time.Now(), 59*time.Second); err != nil {
		t.Fatal(err)
	}
	if text := account(); !strings.Contains(text, "<b class=\"num\">59 seconds</b> for your simulations today, of 1 minute") {
		t.Error(shorten(text[strings.Index(text, "What you use"):]))
	}
	if _, err := h.kept.AddWork(ana.Workbook, time.Now(), time.Second); err != nil {
		t.Fatal(err)
	}
	ask := url.Values{"ready": {"keep-flowers"}, "deals": {"64"}, "card": {""}, "seed": {"1"}}
	if status, text := v.post("/experiments", ask); status != 429 || !strings.Contains(text, "Your simulations have had the 1 minute of processor time") {
		t.Errorf("with no work left: %d %s", status, shorten(text))
	}
	if status, text := w.post("/experiments", ask); status != 303 {
		t.Errorf("another teacher: %d %s", status, shorten(text))
	}
	// For good.
	assists.must(403)(assists.post("/account/workbook/delete", url.Values{"name": {"Hal"}}))
	v.must(422)(v.post("/account/workbook/delete", url.Values{"name": {"ana"}}))
	v.must(303)(v.post("/account/workbook/delete", url.Values{"name": {"Ana"}}))
	v.must(303)(v.get("/account"))
	assists.must(401)(assists.get("/exercises"))
	phone.must(404)(phone.get("/own/" + held["{token}"]))
	o.must(409)(o.post("/account/workbook/delete", url.Values{"name": {"Olga"}}))
	delete := fmt.Sprintf("/people/workbooks/%d/delete", bea.Workbook)
	w.must(403)(w.post(delete, url.Values{"name": {"Bea"}}))
	o.must(422)(o.post(delete, url.Values{"name": {"Ana"}}))
	w.must(200)(w.get("/students/Plum"))
	o.must(303)(o.post(fmt.Sprintf("/people/%d/end", bea.ID), url.Values{"sure": {"yes"}}))
	if text := o.must(200)(o.get("/people")); !strings.Contains(text, "Workbooks in which nobody works") || !strings.Contains(text, delete) {
		t.Error(shorten(text))
	}
	o.must(422)(o.post(delete, url.Values{"name": {"Bea"}}))
	o.must(303)(o.post(delete, url.Values{"name": {"delete"}}))
	if text := o.must(200)(o.get("/people")); strings.Contains(text, delete) {
		t.Error("it is there still")
	}
	text := o.must(200)(o.get("/people/audit"))
	for _, line := range []string{"threw away what was deleted", "deleted for good the workbook of <b>Ana</b>", "deleted for good the workbook of <b>a teacher who had left</b>"} {
		if !strings.Contains(text, line) {
			t.Errorf("not in the list of what was done: %s", line)
		}
	}
}
