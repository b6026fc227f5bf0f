package web_test

import (
	"fmt"
	"image"
	"image/color"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

func TestStrangersDoNothingButJoin(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	stranger := h.phone()
	for _, path := range []string{"/", "/exercises", "/exercises/1", "/classes", "/classes/1", "/classes/1/sheet", "/classes/1/live", "/cards", "/help",
		"/assets/workbook.js", "/assets/class.js", "/assets/htmx.min.js", "/assets/", "/lessons", "/rack?rack=1b"} {
		status, text := stranger.get(path)
		if want := http.StatusNotFound; path == "/" {
			if status != http.StatusOK || !strings.Contains(text, "The code on the teacher") {
				t.Errorf("%s leads to %d %s", path, status, shorten(text))
			}
		} else if status != want {
			t.Errorf("GET %s at the door: %d", path, status)
		}
	}
	for _, act := range []string{"vote", "close", "follow", "judge", "end", "delete", "door", "joining", "remove", "ranking", "routes"} {
		r, err := stranger.client.PostForm(h.door+"/classes/1/"+act, url.Values{"sure": {"yes"}})
		if status, _ := stranger.answer(r, err); status != http.StatusNotFound {
			t.Errorf("POST %s at the door: %d", act, status)
		}
		r, err = stranger.client.PostForm(h.address+"/classes/1/"+act, url.Values{"sure": {"yes"}})
		if status, _ := stranger.answer(r, err); status != http.StatusForbidden {
			t.Errorf("POST %s at the workbook without the key: %d", act, status)
		}
	}
	stranger.address = h.address
	for _, path := range []string{"/classes/1", "/classes/1?key=", "/classes/1?key=wrong", "/classes/1/live", "/classes/1/sheet"} {
		if status, text := stranger.get(path); status != http.StatusForbidden || strings.Contains(text, h.code) {
			t.Errorf("%s without the key: %d", path, status)
		}
	}
	stranger.address = h.door
	for _, path := range []string{"/room/live"} {
		if status, _ := stranger.get(path); status != http.StatusUnauthorized {
			t.Errorf("%s without a place: %d", path, status)
		}
	}
	for _, path := range []string{"/own/AAAAAAAAAAAAAAAAAAAAAAAAAA", "/own/AAAAAAAAAAAAAAAAAAAAAAAAAA/next", "/own/x/tries/1", "/practice", "/practice/next", "/students"} {
		if status, text := stranger.get(path); status != http.StatusNotFound || strings.Contains(text, "/exercises") {
			t.Errorf("%s at the door: %d %s", path, status, shorten(text))
		}
	}
	if status, _ := stranger.choose(1, 1, "1b"); status != http.StatusUnauthorized {
		t.Errorf("a choice without a place: %d", status)
	}
	if status, _ := stranger.sendJSON("/room/back", `{"token":"AAAAAAAAAAAAAAAAAAAAAA"}`); status != http.StatusUnauthorized {
		t.Errorf("a token that nobody has: %d", status)
	}
}

func TestTheTeachersLink(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	link := first(regexp.MustCompile(`value="http://[^/]+(/classes/1\?key=[^"]+)"`), h.desk())
	elsewhere := at(t, h.dir, h.address)
	elsewhere.client.Jar, _ = cookiejar.New(nil)
	if status, text := elsewhere.get(link); status != http.StatusOK || !strings.Contains(text, h.code) {
		t.Errorf("the teacher's link answers %d", status)
	}
	if status, _ := elsewhere.get("/classes/1"); status != http.StatusOK {
		t.Errorf("after the link: %d", status)
	}
}

func TestGuessingCodesIsLimited(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	p := h.phone()
	refusals, right := 0, "CCCCC"
	if h.code == right {
		right = "DDDDD"
	}
	for range 30 {
		status, text := p.get("/join/" + right)
		switch status {
		case http.StatusNotFound:
		case http.StatusTooManyRequests:
			refusals++
			if !strings.Contains(text, "Too many wrong codes were tried") {
				t.Errorf("the refusal says %s", shorten(text))
			}
		default:
			t.Fatalf("a wrong code answers %d", status)
		}
	}
	if refusals < 18 {
		t.Errorf("of 30 wrong codes %d were refused unread", refusals)
	}
	if status, _ := p.get("/join/" + h.code); status != http.StatusTooManyRequests {
		t.Errorf("then the right code answers %d: that tells right from wrong", status)
	}
}

// Students who type the right code are not counted: a whole class may sit behind one address.
func TestAWholeClassBehindOneAddress(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	for i := range 40 {
		h.join(fmt.Sprint("Student ", i))
	}
	if text := h.desk(); !strings.Contains(text, "40 joined") {
		t.Error(shorten(text))
	}
}

func TestNicknamesAreText(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	name := `<script>x(1)</script>`
	p := h.join(name)
	h.act("vote", "route", "Class", "after", "0")
	p.choose(1, 1, tilesOf(h, 3))
	h.act("close", "round", "1")
	h.untilCounted()
	_, room := p.get("/room")
	_, printed := h.get("/classes/1/sheet")
	for where, text := range map[string]string{"the teacher's screen": h.desk(), "the room": room, "the sheet": printed} {
		if strings.Contains(text, name) || !strings.Contains(text, "&lt;script&gt;x(1)") {
			t.Errorf("%s shows the nickname as it came: %s", where, shorten(text))
		}
	}
	r, err := h.phone().client.PostForm(h.door+"/join", url.Values{"code": {h.code}, "name": {"a\x07b"}})
	if status, _ := h.answer(r, err); status != http.StatusUnprocessableEntity {
		t.Errorf("a control character: %d", status)
	}
}

// The QR code is read back by another library, and has the quiet zone of ISO/IEC 18004.
func TestQRCodeIsReadBack(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	svg := first(regexp.MustCompile(`(?s)(<svg class="qr".*?</svg>)`), h.desk())
	size, err := strconv.Atoi(first(regexp.MustCompile(`viewBox="0 0 (\d+) `), svg))
	if err != nil {
		t.Fatal(svg)
	}
	const scale = 4
	img := image.NewGray(image.Rect(0, 0, size*scale, size*scale))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, m := range regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1`).FindAllStringSubmatch(svg, -1) {
		x, _ := strconv.Atoi(m[1])
		y, _ := strconv.Atoi(m[2])
		n, _ := strconv.Atoi(m[3])
		if x < 4 || y < 4 || x+n > size-4 || y >= size-4 {
			t.Errorf("module at %d %d in the quiet zone", x, y)
		}
		for dy := range scale {
			for dx := range n * scale {
				img.SetGray(x*scale+dx, y*scale+dy, color.Gray{})
			}
		}
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		t.Fatal(err)
	}
	read, err := qrcode.NewQRCodeReader().Decode(bits, nil)
	if err != nil || !regexp.MustCompile("^"+h.door+"/join/[A-Za-z0-9_-]{22}$").MatchString(read.GetText()) {
		t.Errorf("read back: %v %v", read, err)
	}
}

// One phone joins under three names and no more, with its cookie or without; the teacher takes one out, and its phone has
// to join again.
func TestNamesOfOnePhone(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	plum := h.join("Plum")
	for _, cookies := range []bool{true, false} {
		p, in := h.phone(), 0
		if cookies {
			p.get("/join/" + h.code)
		}
		for i := range 30 {
			if !cookies {
				p = h.phone()
			}
			r, err := p.client.PostForm(h.door+"/join", url.Values{"code": {h.code}, "name": {fmt.Sprint("Prank ", cookies, i)}})
			status, text := p.answer(r, err)
			switch {
			case status == http.StatusOK && i == in:
				in++
				r, err = p.client.PostForm(h.door+"/room/leave", nil)
				p.answer(r, err)
			case status != http.StatusUnprocessableEntity || !strings.Contains(text, "3 names"):
				t.Errorf("name %d: %d %s", i, status, shorten(text))
			}
		}
		if in != 3 {
			t.Errorf("one phone joined under %d names; cookies: %v", in, cookies)
		}
	}
	h.act("remove", "student", "1")
	if text := h.desk(); strings.Contains(text, "Plum") || !strings.Contains(text, "6 joined") {
		t.Error(shorten(text))
	}
	if status, _ := plum.get("/room/live"); status != http.StatusUnauthorized {
		t.Errorf("the phone of one who is out: %d", status)
	}
	if plum = h.join("Plum"); plum.live().Phase != "wait" {
		t.Error("the name cannot join again")
	}
}

// The link of the square lets in behind an address from which codes were guessed.
func TestTheSquareBehindGuessers(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	link := first(regexp.MustCompile(`aria-label="QR code of [^"]*(/join/[^"]+)"`), h.desk())
	wrong := "CCCCC"
	if wrong == h.code {
		wrong = "DDDDD"
	}
	for range 20 {
		h.phone().get("/join/" + wrong)
	}
	p := h.phone()
	if status, _ := p.get("/join/" + h.code); status != http.StatusTooManyRequests {
		t.Errorf("behind guessers the code answers %d", status)
	}
	_, text := p.get(link)
	way := first(regexp.MustCompile(`name="code" value="([^"]+)"`), text)
	if path := p.post("/join", url.Values{"code": {way}, "name": {"Plum"}}); path != "/room" {
		t.Errorf("who scans the square comes to %s", path)
	}
	if status, _ := h.phone().get("/join/" + strings.Repeat("A", 22)); status != http.StatusNotFound {
		t.Errorf("a link that is none answers %d", status)
	}
}

func TestTheTeacherClosesTheWayIn(t *testing.T) {
	t.Parallel()
	h, _ := openHall(t, t.TempDir(), "vote")
	h.join("Plum")
	h.act("joining", "act", "close")
	if text := h.desk(); strings.Contains(text, h.code) || !strings.Contains(text, "Nobody else can join") {
		t.Error(shorten(text))
	}
	if status, _ := h.phone().get("/join/" + h.code); status != http.StatusNotFound {
		t.Errorf("the code answers %d", status)
	}
	h.act("joining", "act", "open")
	h.code = first(codeField, h.desk())
	h.join("Fig")
}
