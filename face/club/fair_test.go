//go:build unix

package club

import (
	"database/sql"
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"secondpass/club"
)

// rowsWith are the tables of a database with rows in which a text stands, whichever tables there are.
func rowsWith(t *testing.T, owner, text string) (tables []string) {
	t.Helper()
	db, err := sql.Open("pgx", owner)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var found string
	if err := db.QueryRow(`SELECT COALESCE(string_agg(table_name, ' ' ORDER BY table_name), '') FROM information_schema.tables WHERE table_schema = 'public' AND table_type = 'BASE TABLE'
		AND (xpath('/row/n/text()', query_to_xml(format('SELECT COUNT(*) AS n FROM %I r WHERE strpos(r::text, %L) > 0', table_name, $1::text), false, true, '')))[1]::text <> '0'`, text).Scan(&found); err != nil {
		t.Fatal(err)
	}
	return strings.Fields(found)
}

// A teacher sees what she uses. More than one may keep is refused in a sentence, and so is more work than one has in a day; what was deleted is thrown
// away on request. Account and workbook go for good, by herself or the owner, who type a name; those of others stay.
func TestFairUse(t *testing.T) {
	h, keeper := houseOn(t)
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
	// A student.
	s, _ := h.kept.Kept(ana.Workbook)
	if _, err := s.AddStudent("Zenobia"); err != nil {
		t.Fatal(err)
	}
	token, err := s.StudentToken("Zenobia")
	if err != nil {
		t.Fatal(err)
	}
	zenobia := h.as(nil)
	at, code := v.opened()
	zenobia.must(303)(zenobia.post("/join", url.Values{"code": {code}, "name": {"ZENOBIA"}}))
	v.must(303)(v.post(at+"/vote", url.Values{"after": {"0"}, "route": {v.field(at, `name="route" value="([^"]+)"`)}}))
	var tiles []string
	for _, found := range regexp.MustCompile(`href="#t-([0-9][bcd]|[NEWSRG0F])"`).FindAllStringSubmatch(v.must(200)(v.get(at)), 3) {
		tiles = append(tiles, found[1])
	}
	if status, text := zenobia.choose(1, tiles...); status != 200 {
		t.Errorf("a choice: %d %s", status, shorten(text))
	}
	if text := v.must(200)(v.get("/students/Zenobia/file")); !strings.Contains(text, `"name": "ZENOBIA"`) || !strings.Contains(text, `"choice":`) {
		t.Errorf("not all of a student's is in the file: %s", text)
	}
	if text := v.must(200)(v.get("/students/Zenobia")); !strings.Contains(text, "what was answered in 1 class under the name Zenobia") {
		t.Error(shorten(text))
	}
	for _, what := range []string{"Zenobia", "ZENOBIA", token} {
		if len(rowsWith(t, keeper, what)) == 0 {
			t.Errorf("%s stands nowhere beforehand", what)
		}
	}
	v.must(303)(v.post("/students/Zenobia/delete", url.Values{"classes": {"on"}}))
	for _, what := range []string{"Zenobia", "ZENOBIA", token} {
		if found := rowsWith(t, keeper, what); len(found) > 0 {
			t.Errorf("%s stands in %v", what, found)
		}
	}
	if text := v.must(200)(v.get(at)); strings.Contains(text, "ZENOBIA") {
		t.Error("the open class has her still")
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
	for _, line := range []string{"took a student&#39;s data out", "deleted a student for good", "threw away what was deleted", "deleted for good the workbook of <b>Ana</b>", "deleted for good the workbook of <b>a teacher who had left</b>"} {
		if !strings.Contains(text, line) {
			t.Errorf("not in the list of what was done: %s", line)
		}
	}
}
