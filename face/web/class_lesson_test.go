package web_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"mime/multipart"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// lessonHall is a class on a lesson of three drills: a pass, a vote and a claim.
func lessonHall(t testing.TB, dir string) (h *hall, stop func()) {
	t.Helper()
	b, door, stop := serveWithDoor(t, dir)
	b.client.Jar, _ = cookiejar.New(nil)
	c, drills := someDrills(t)
	body, kind := drillFile(t, c, drills)
	if code, text := b.send("POST", "/drills/import", body, "Content-Type", kind); code != 200 {
		t.Fatalf("import: %d %s", code, shorten(text))
	}
	lesson := b.post("/lessons/add", url.Values{"drill": {"1", "2", "3"}, "title": {"First evening"}})
	path := b.post("/classes", url.Values{"lesson": {strings.TrimPrefix(lesson, "/lessons/")}})
	_, text := b.get(path)
	h = &hall{book: b, door: door, code: first(codeField, text)}
	if h.code == "" {
		t.Fatalf("no code on %s: %s", path, shorten(text))
	}
	return h, stop
}

// picks are the tiles that a phone may choose of, as their codes.
var picks = regexp.MustCompile(`name="tile" value="([^"]+)" aria-label="[^"]*">`)

// A class goes through a lesson of drills: any three tiles are an answer to a pass, and all are judged by the key; a claim is one of
// several answers. What was decided is there after a restart.
func TestAClassOnALesson(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	h, stop := lessonHall(t, dir)
	_, drills := someDrills(t)
	plum, fig := h.join("Plum"), h.join("Fig")
	pass := 1
	for i, d := range drills {
		if d.Ask() == "pass" {
			pass = i + 1
		}
	}
	offered := drills[pass-1].Choices
	h.act("vote", "after", "0", "route", fmt.Sprint(pass))
	s := plum.live()
	if s.Phase != "vote" || !strings.Contains(s.HTML, "<h1>Three ") || s.Kind != "tiles" {
		t.Fatalf("the phone shows %+v", s)
	}
	plum.choose(1, 1, offered[drills[pass-1].Key.Best()].String())
	var free string // three tiles that the drill does not offer
	all := picks.FindAllStringSubmatch(s.HTML, -1)
search:
	for a := range all {
		for b := range a {
			for c := range b {
				free = strings.Join([]string{all[c][1], all[b][1], all[a][1]}, " ")
				if _, err := drills[pass-1].Choose(free); err != nil {
					break search
				}
			}
		}
	}
	if code, text := fig.choose(1, 1, free); code != 200 {
		t.Fatalf("the free answer %s: %d %s", free, code, text)
	}
	h.act("close", "round", "1")
	h.untilCounted()
	h.act("judge", "round", "1", "act", "go")
	fig.until("/room/live", func(event string) bool {
		return strings.Contains(event, "Your pass cost") || strings.Contains(event, "Your pass is right")
	})
	if s := plum.live(); !strings.HasPrefix(s.Result, "Your pass is the best") {
		t.Errorf("the best pass is told as %q", s.Result)
	}
	if text := h.desk(); !strings.Contains(text, "games of the drill&#39;s key") || !strings.Contains(text, "because") || strings.Contains(text, `name="choice"`) {
		t.Errorf("the desk shows no costs with reasons, or something to follow: %s", shorten(text))
	}

	// The others in their order, in the end over a restart.
	for n := 2; n <= 3; n++ {
		next := first(regexp.MustCompile(`name="after" value="[0-9]+"><input type="hidden" name="route" value="([0-9]+)"><button class="first">Open the vote`), h.desk())
		h.act("vote", "after", fmt.Sprint(n-1), "route", next)
		s := plum.live()
		choice := `{"said":true}`
		if s.Kind == "option" {
			choice = `{"option":1}`
			if code, _ := fig.sendJSON("/room/choice", fmt.Sprintf(`{"round":%d,"seq":1,"made":1,"choice":{"option":9}}`, n)); code != 422 {
				t.Errorf("an option that there is not: %d", code)
			}
			if !strings.Contains(s.HTML, "What lies open") {
				t.Errorf("a claim is asked without the table: %s", shorten(s.HTML))
			}
		}
		if code, text := plum.sendJSON("/room/choice", fmt.Sprintf(`{"round":%d,"seq":1,"made":1,"choice":%s}`, n, choice)); code != 200 {
			t.Fatalf("vote %d: %d %s", n, code, text)
		}
		h.act("close", "round", fmt.Sprint(n))
		h.untilCounted()
	}
	stop()
	again, _, _ := serveWithDoor(t, dir)
	again.client.Jar = h.client.Jar
	h.address = again.address
	h.act("end")
	h.until("/classes/1/live", func(event string) bool { return !strings.Contains(event, "is being simulated") })
	_, printed := h.get("/classes/1/sheet")
	for _, want := range []string{"First evening", "Plum", "Fig", "item 3", "right"} {
		if !strings.Contains(strings.ToLower(printed), strings.ToLower(want)) {
			t.Errorf("the sheet does not say %q: %s", want, shorten(printed))
		}
	}
	// Nicknames are nobody's until the teacher says whose; putting them in twice counts once, and what is deleted is gone.
	h.post("/practice", url.Values{"act": {"add"}, "name": {"=Ben"}})
	for range 2 {
		h.post("/classes/1/students", url.Values{"student-1": {"+"}, "student-2": {"=Ben"}})
	}
	_, table := h.get("/students.csv")
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 1+3+1 || rows[1][0] != "'=Ben" || rows[4][0] != "Plum" || rows[4][4] != "class 1 on First evening" || !slices.ContainsFunc(rows, func(r []string) bool { return r[0] == "Plum" && r[3] == "play" }) {
		t.Errorf("the table is %q", rows)
	}
	h.post("/students/Plum/delete", url.Values{"sure": {"Plum"}})
	if _, table := h.get("/students.csv"); strings.Contains(table, "Plum") {
		t.Errorf("Plum is deleted, and the table has %s", table)
	}
	_, record := h.get("/classes/1/record.json")
	var form bytes.Buffer
	parts := multipart.NewWriter(&form)
	file, err := parts.CreateFormFile("file", "class.json")
	if err != nil {
		t.Fatal(err)
	}
	file.Write([]byte(record))
	parts.Close()
	code, replayed := h.send("POST", "/classes/replay", form.String(), "Content-Type", parts.FormDataContentType())
	votes := func(page string) string { return page[strings.Index(page, `<section class="class-vote">`):] }
	if code != 200 || votes(replayed) != votes(printed) {
		t.Errorf("the record shows another sheet, status %d: %s", code, shorten(replayed))
	}
	if n := strings.Count(printed, "of the drill&#39;s key"); n != 3 {
		t.Errorf("%d votes are judged by their drill's key, wanted 3", n)
	}
}
