package web_test

import (
	"net/http/cookiejar"
	"regexp"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

var ownLink = regexp.MustCompile(`<code>(http://[^<]*)(/own/[A-Z0-9]{26})</code>`)

// A student practises on a phone by a link of their own, through the door that lets phones in, and reaches nothing else of the workbook.
func TestPracticeOnAPhone(t *testing.T) {
	t.Parallel()
	b, door, _ := serveWithDoor(t, t.TempDir())
	b.client.Jar, _ = cookiejar.New(nil)
	c, drills := someDrills(t)
	body, kind := drillFile(t, c, drills)
	b.send("POST", "/drills/import", body, "Content-Type", kind)
	b.student("Ana")
	b.student("Ben")
	_, text := b.get("/students/Ana")
	link := ownLink.FindStringSubmatch(text)
	if link == nil || link[1] != door || !strings.Contains(text, "QR code of "+door) {
		t.Fatalf("no link of the student's own at %s: %s", door, shorten(text))
	}
	p := browser.Open(t, browser.Phone, door+link[2])
	p.UntilText("h1", "Practice of Ana")
	judge(t, p, "own")
	p.As(browser.Phone)
	p.Follow(p.Named("Try a new drill"))
	p.Until("the answers", `document.querySelectorAll(".answers button").length > 0`)
	if n := p.Count(`a[href^="/practice"], a[href^="/exercises"], a[href^="/drills"]`); n != 0 {
		t.Errorf("%d links lead where the phone cannot go", n)
	}
	judge(t, p, "own-try")
	p.As(browser.Phone)
	p.Follow(".answers button")
	p.UntilText(".yours", "yours")
	judge(t, p, "own-tried")
	p.As(browser.Phone)
	p.Follow("#next")
	p.Until("the answers", `document.querySelectorAll(".answers button").length > 0`)
	for _, said := range p.Complaints() {
		t.Errorf("the browser complains: %s", said)
	}
	if n := len(b.dataOf("Ana").Tries); n != 1 {
		t.Errorf("Ana has %d answers", n)
	}
	if n := len(b.dataOf("Ben").Tries); n != 0 {
		t.Errorf("Ben has %d answers", n)
	}
}
