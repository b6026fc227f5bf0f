package web_test

import (
	"encoding/json"
	"errors"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"secondpass/store"
)

// again is a form on a page that can be sent once more, with where it goes.
var againForm = regexp.MustCompile(`(?s)<form method="post" action="([^"]*)">(.*?)</form>`)

var againField = regexp.MustCompile(`<input type="hidden" name="([^"]*)" value="([^"]*)">`)

// Each form of the pages of exercises, lessons and drills says that the disk is full, changes nothing, and stays: sent again when
// there is room, it does what it was to do.
func TestFormsOnAFullDisk(t *testing.T) {
	t.Parallel()
	p := newPages(t, 1)
	must := func(method, path string, form url.Values) string {
		t.Helper()
		w := p.ask(method, path, form)
		if w.Code >= 400 {
			t.Fatalf("%s %s %v: %d", method, path, form, w.Code)
		}
		return w.Header().Get("Location")
	}
	c, drills := someDrills(t)
	if _, err := p.kept.AddDrills(drills, c); err != nil {
		t.Fatal(err)
	}
	must("POST", "/exercises", url.Values{"act": {"deal"}, "seed": {"7"}, "name": {"One"}})
	must("POST", "/exercises", url.Values{"act": {"deal"}, "seed": {"8"}, "name": {"Two"}})
	must("POST", "/exercises/2/delete", nil)
	must("POST", "/lessons", url.Values{"title": {"First"}})
	must("POST", "/lessons", url.Values{"title": {"Second"}})
	must("POST", "/lessons/2/delete", nil)
	step := p.ask("GET", "/exercises/1/routes/A", nil).Body.String()
	pass := url.Values{"at": {"0"}}
	for _, m := range tileField.FindAllStringSubmatch(step, -1) {
		if m[1] != "J" && len(pass["tile"]) < 3 {
			pass.Add("tile", m[1])
		}
	}
	for _, c := range []struct {
		path string
		form url.Values
	}{
		{"/exercises", url.Values{"act": {"deal"}, "seed": {"9"}, "name": {"Three"}}},
		{"/exercises/sample", nil},
		{"/exercises/1/routes/A/decide", pass},
		{"/exercises/1/routes/A/pin", url.Values{"hand": {found(handField, step)}}},
		{"/exercises/1/routes/A/fork", url.Values{"at": {"0"}, "name": {"Other"}}},
		{"/exercises/1/routes/Other/rename", url.Values{"name": {"Another"}}},
		{"/exercises/1/routes/Another/remove", nil},
		{"/exercises/1/routes/A/undo", url.Values{"at": {"1"}}},
		{"/exercises/1/rename", url.Values{"name": {"Renamed"}}},
		{"/exercises/1/duplicate", nil},
		{"/exercises/2/restore", nil},
		{"/exercises/2/delete", nil},
		{"/lessons", url.Values{"title": {"Third"}}},
		{"/lessons/1", url.Values{"revision": {"1"}, "title": {"A title"}, "note": {"of two\nlines"}}},
		{"/lessons/add", url.Values{"lesson": {"1"}, "drill": {"1"}}},
		{"/lessons/add", url.Values{"title": {"Of an exercise"}, "exercise": {"1"}, "route": {"A"}, "at": {"0"}}},
		{"/lessons/2/restore", nil},
		{"/lessons/2/delete", nil},
		{"/practice", url.Values{"act": {"add"}, "name": {"Ana"}}},
		{"/drills/delete", url.Values{"drill": {"1", "3"}}},
		{"/students/Ana/delete", url.Values{"sure": {"yes"}}},
	} {
		before := p.everything()
		p.disk.always = &store.Trouble{What: store.ErrFull, Cause: errors.New("/home/somebody: ENOSPC")}
		w := p.ask("POST", c.path, c.form)
		p.disk.always = nil
		if w.Code != http.StatusInsufficientStorage || !strings.Contains(strings.ToLower(w.Body.String()), "not saved: the disk is full") {
			t.Errorf("%s %v: %d\n%.500s", c.path, c.form, w.Code, shorten(w.Body.String()))
		}
		if p.everything() != before {
			t.Errorf("%s %v: something is changed", c.path, c.form)
		}
		again := againForm.FindStringSubmatch(shorten(w.Body.String()))
		if again == nil {
			t.Errorf("%s: nothing to send again", c.path)
			continue
		}
		form := url.Values{}
		for _, m := range againField.FindAllStringSubmatch(again[2], -1) {
			form.Add(html.UnescapeString(m[1]), html.UnescapeString(m[2]))
		}
		if w := p.ask("POST", html.UnescapeString(again[1]), form); w.Code >= 400 || p.everything() == before {
			t.Errorf("%s %v, sent again: %d\n%.500s", c.path, form, w.Code, shorten(w.Body.String()))
		}
	}
	// A file that is sent has to be chosen again, and then all of it is taken or nothing.
	body, kind := drillFile(t, c, drills)
	send := func() int {
		r := httptest.NewRequest("POST", "/drills/import", strings.NewReader(body))
		r.Host = "127.0.0.1:7520"
		r.Header.Set("Content-Type", kind)
		w := httptest.NewRecorder()
		p.handler.ServeHTTP(w, r)
		return w.Code
	}
	before := p.everything()
	p.disk.always = &store.Trouble{What: store.ErrFull, Cause: errors.New("ENOSPC")}
	if code := send(); code != http.StatusInsufficientStorage || p.everything() != before {
		t.Errorf("the import: %d", code)
	}
	p.disk.always = nil
	if code := send(); code != http.StatusSeeOther || p.everything() == before {
		t.Errorf("the import, again: %d", code)
	}
}

// everything is all that is kept in the database, as text.
func (p *pages) everything() string {
	p.Helper()
	var all strings.Builder
	note := func(x any, err error) {
		p.Helper()
		if err != nil {
			p.Fatal(err)
		}
		data, err := json.Marshal(x)
		if err != nil {
			p.Fatal(err)
		}
		all.Write(data)
	}
	for _, deleted := range []bool{false, true} {
		list, err := p.kept.List(deleted)
		note(list, err)
		for _, e := range list {
			if !deleted {
				x, err := p.kept.Load(strconv.FormatInt(e.ID, 10))
				if err != nil {
					p.Fatal(err)
				}
				note(x.Exercise.Write(&all), nil)
			}
		}
	}
	lessons, err := p.kept.Lessons()
	note(lessons, err)
	drills, err := p.kept.Drills(store.DrillFilter{})
	note(drills, err)
	students, err := p.kept.Students()
	note(students, err)
	return all.String()
}
