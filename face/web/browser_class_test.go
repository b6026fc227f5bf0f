package web_test

import (
	"bufio"
	"fmt"
	"net"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// school is a workbook in a process of its own with phones let in, at addresses that it keeps when it is started again.
type school struct {
	*book
	door   string
	listen []string
	kill   func()
}

func newSchool(t *testing.T) *school {
	t.Helper()
	s := &school{book: at(t, t.TempDir(), "")}
	for range 2 {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		s.listen = append(s.listen, l.Addr().String())
		l.Close()
	}
	s.address, s.door = "http://"+s.listen[0], "http://"+s.listen[1]
	s.start(t)
	return s
}

// start runs the program and waits until it says where it is.
func (s *school) start(t *testing.T) {
	t.Helper()
	cmd := exec.Command(program, "serve", "--no-browser", "--listen", s.listen[0], "--class", s.listen[1], "--data", s.dir)
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	killed := false
	s.kill = func() {
		if !killed {
			killed = true
			cmd.Process.Kill() // SIGKILL, as kill -9
			cmd.Wait()
		}
	}
	t.Cleanup(s.kill)
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if strings.HasPrefix(lines.Text(), "Phones") {
			go func() {
				for lines.Scan() { // what else is said must not fill the pipe
				}
			}()
			return
		}
	}
	t.Fatal("the server did not start")
}

// student joins in a browser of its own.
func (s *school) student(code, name string) *browser.Page {
	s.t.Helper()
	p := browser.Open(s.t, browser.Phone, s.door+"/join/"+code)
	p.Type("#name", name)
	p.Follow(p.Named("Join the class"))
	p.UntilText("header", "as "+name)
	return p
}

// tap chooses tiles of the rack by their places from 1.
func tap(p *browser.Page, places ...int) {
	for _, n := range places {
		p.Click(fmt.Sprintf(".rack li:nth-child(%d) input", n))
	}
}

// picture writes what a page shows, where pictures were asked for.
func picture(p *browser.Page, name string) {
	if *pictures != "" {
		p.Picture(filepath.Join(*pictures, name+".png"))
	}
}

// looks sees a page on a phone and in the dark, and as it was again.
func (s *school) looks(p *browser.Page, name string) {
	s.t.Helper()
	for _, page := range []struct {
		name string
		look browser.Look
	}{{name + "-360", browser.Phone}, {name + "-dark", browser.Look{Width: 1280, Height: 900, Dark: true, Still: true}}, {name + "-360-dark", browser.Look{Width: 360, Height: 740, Dark: true, Still: true}}} {
		p.As(page.look)
		picture(p, page.name)
		if wide := p.Sideways(); len(wide) > 0 {
			s.t.Errorf("%s runs out sideways: %v", page.name, wide)
		}
		if barriers := p.Barriers(); len(barriers) > 0 {
			s.t.Errorf("%s: %v", page.name, barriers)
		}
	}
	p.As(browser.Desk)
}

// TestClassInTheBrowser is a teacher and five students through three steps: one reloads, one joins late, one answers
// twice, one after the close, and the server is killed in the middle of a vote.
func TestClassInTheBrowser(t *testing.T) {
	t.Parallel()
	s := newSchool(t)
	desk := browser.Open(t, browser.Desk, s.address+"/exercises/1")
	desk.Click(desk.Named("Open a class on this exercise"))
	desk.Follow(desk.Named("Open the class"))
	desk.UntilText("#connection", "Connected")
	desk.UntilText("body", "Nobody has joined yet")
	code := desk.Text(".bigcode")
	wall := browser.Open(t, browser.Look{Width: 1920, Height: 1080, Still: true}, browser.Eval[string](desk, `document.querySelector(".linkfield").value`))
	wall.Go(s.address + "/classes/1/projector")
	wall.UntilText(".bigcode", code)
	plum, fig, kiwi, lime := s.student(code, "Plum"), s.student(code, "Fig"), s.student(code, "Kiwi"), s.student(code, "Lime")
	desk.UntilText("[data-region=joined]", "4 joined, 4 connected")
	plum.UntilText("#state", "You are in.")
	picture(desk, "class-desk-join")
	s.looks(desk, "class-desk-join")
	s.looks(browser.Open(t, browser.Phone, s.door+"/join/"+code), "class-phone-join")

	// Step 1: everybody answers; Plum reloads, Fig answers twice, Date joins late, Lime taps after the close.
	desk.Click(desk.Named("Open the vote"))
	for _, p := range []*browser.Page{plum, fig, kiwi, lime} {
		p.UntilText("h1", "Three to the right")
	}
	plum.Click("#card summary")
	plum.Until("the card", `document.querySelectorAll("[data-pin]").length > 40`)
	hand := browser.Eval[string](plum, `[...document.querySelectorAll("[data-pin]")].map(b => b.dataset.pin).find(n => ![...document.querySelectorAll("input[name=plan]")].some(i => i.value === n))`)
	plum.Click(fmt.Sprintf("[data-pin=%q]", hand))
	plum.UntilText("[aria-pressed=true]", "Pinned")
	if wide := plum.Sideways(); len(wide) > 0 {
		t.Errorf("the card runs out sideways on a phone: %v", wide)
	}
	picture(plum, "class-phone-card")
	plum.Click("#card summary")
	tap(plum, 1, 2)
	plum.UntilText("#state", "One to go.")
	tap(plum, 3)
	plum.UntilText("#state", "Your three are kept.")
	plum.Reload()
	plum.UntilText("#state", "Your three are kept.")
	if n := plum.Count(".rack .chosen"); n != 3 {
		t.Errorf("%d tiles are chosen after the reload; three were", n)
	}
	tap(fig, 1, 2, 4)
	fig.UntilText("#state", "Your three are kept.")
	tap(fig, 4, 3) // changes the mind: now as Plum
	fig.UntilText("#state", "Your three are kept.")
	tap(kiwi, 1, 2, 3, 3, 3)
	kiwi.UntilText("#state", "Your three are kept.")
	tap(lime, 1, 2, 5)
	lime.UntilText("#state", "Your three are kept.")
	picture(lime, "class-phone-kept")
	desk.UntilText(".count-line", "4 of 4")
	if n := desk.Count(".groups"); n != 0 {
		t.Error("the spread shows while the vote is open")
	}
	date := s.student(code, "Date")
	date.UntilText("h1", "Three to the right")
	desk.UntilText(".count-line", "4 of 5")
	picture(desk, "class-desk-open")
	wall.UntilText(".count-line", "4 of 5")
	if width := browser.Eval[[]float64](wall, `[...document.querySelectorAll(".wall-rack .t")].map(t => t.getBoundingClientRect().width)`); len(width) < 13 || slices.Min(width) < 90 {
		t.Errorf("while the vote is open the wall shows tiles of %v pixels, wanted 90 and more", width)
	}
	if n := wall.Count(".wall-votes, .wall-spread"); n != 0 {
		t.Error("the projector shows answers while the vote is open")
	}
	tap(date, 1, 2, 3)
	date.UntilText("#state", "Your three are kept.")
	desk.UntilText(".count-line", "5 of 5")
	desk.Click(desk.Named("Close the vote"))
	lime.UntilText("h1", "The vote is closed")
	if late := browser.Eval[string](lime, sendChoice(1, 99, "")); !strings.Contains(late, "closed before") {
		t.Errorf("a choice after the close was answered with %q", late)
	}
	desk.UntilText(".groups", "Plum, Fig, Kiwi, Date")
	desk.UntilText(".count-line", hand+": 1") // pinned by Plum, and kept over the reload
	if n := desk.Text(".groups tbody tr:first-child .num"); n != "4" {
		t.Errorf("the first group has %s students; four chose it", n)
	}
	picture(desk, "class-desk-spread")
	picture(plum, "class-phone-spread")
	onTheWall(t, wall)
	desk.Click(desk.Named("Open the advice"))
	desk.UntilText(".advice-box, #follow", "Games lost in a hundred")
	desk.Until("the end of the judgement", `!document.querySelector("[data-region=vote]").innerText.includes("shown when it is over")`)
	plum.Until("what the own pass cost", `document.querySelector("[data-result]").textContent.startsWith("Your pass")`)
	picture(desk, "class-desk-judged")
	picture(plum, "class-phone-judged")
	wall.Until("the reasons", `document.querySelector(".wall-spread .because")?.innerText.length > 20`)
	picture(wall, "class-projector")
	s.looks(desk, "class-desk-judged")
	s.looks(plum, "class-phone-judged")
	desk.Click(".groups tbody tr:first-child input")
	desk.Click(desk.Named("Follow this"))

	// Step 2: the server is killed while the vote is open. What was acknowledged is there, and what was tapped
	// meanwhile arrives.
	desk.Click(desk.Named("Open the vote: Three across"))
	for _, p := range []*browser.Page{plum, fig, kiwi, lime} {
		p.UntilText("h1", "Three across")
		tap(p, 1, 2, 3)
		p.UntilText("#state", "Your three are kept.")
	}
	date.UntilText("h1", "Three across")
	tap(date, 2)
	s.kill()
	plum.UntilText("#state", "No connection.")
	tap(date, 3, 4)
	date.UntilText("#state", "Your three are kept on this phone")
	picture(date, "class-phone-lost")
	desk.UntilText("#connection", "No connection")
	s.start(t)
	date.UntilText("#state", "Your three are kept. They count")
	desk.UntilText("#connection", "Connected")
	desk.UntilText(".count-line", "5 of 5")
	desk.Click(desk.Named("Close the vote"))
	desk.UntilText(".groups", "Plum, Fig, Kiwi, Lime")
	desk.UntilText(".groups", "Date")
	desk.Click(".groups tbody tr:nth-child(1) input")
	desk.Click(".groups tbody tr:nth-child(2) input")
	desk.Click(desk.Named("Follow these two"))

	// Step 3, on the fork.
	desk.Until("two routes to go on with", `document.querySelectorAll("form.next").length === 2`)
	picture(desk, "class-desk-forks")
	desk.Click(".next:nth-of-type(2) button")
	for _, p := range []*browser.Page{plum, fig, kiwi, lime, date} {
		p.UntilText("h1", "Three to the left")
	}
	plum.Press("Tab")
	plum.Click(".rack li:first-child input")
	plum.Press("Right", "Space")
	plum.Click(plum.Named("1"))
	plum.UntilText("#state", "Your three are kept.")
	desk.UntilText(".count-line", "1 of 5")
	desk.Click(desk.Named("Close the vote"))
	fig.UntilText("[data-result]", "")
	desk.UntilText(".groups", "Plum")
	desk.Click(desk.Named("End the class")) // the teacher's link, which opens the class to anybody, stays folded
	if desk.Count("details#more[open]") != 0 {
		t.Error("the teacher's link is open when the class ends")
	}
	plum.UntilText("h1", "The class has ended")
	picture(plum, "class-phone-ended")
	desk.Go(s.address + "/classes/1/sheet")
	desk.UntilText("main", "Who chose what")
	picture(desk, "class-sheet")
	s.looks(desk, "class-sheet")
	desk.Go(s.address + "/classes/1/students")
	desk.UntilText("main", "Whose they are")
	s.looks(desk, "class-students")
	if status, _ := s.get("/join/" + code); status != 404 {
		t.Errorf("the code of a class that ended answers %d", status)
	}
	for _, p := range []*browser.Page{plum, fig, kiwi, lime, date, desk, wall} {
		for _, text := range p.Complaints() {
			if !strings.HasPrefix(text, "Failed to load resource") { // the server was away for a while
				t.Errorf("the browser complains: %s", text)
			}
		}
	}
}

// onTheWall looks at the projector's page after the first vote: large tiles, the votes on each, no names and no teacher's link.
func onTheWall(t *testing.T, wall *browser.Page) {
	t.Helper()
	wall.UntilText(".wall-spread", "4")
	width := browser.Eval[[]float64](wall, `[...document.querySelectorAll(".wall-votes .t")].map(t => t.getBoundingClientRect()).flatMap(r => [r.width, r.top])`)
	if len(width) < 26 || width[0] < 90 || width[len(width)-1] != width[1] {
		t.Errorf("the rack at a width of 1920 is %v, wanted one row of 13 or 14 tiles of 90 or more", width)
	}
	if sum := browser.Eval[float64](wall, `[...document.querySelectorAll(".wall-votes b")].reduce((n, b) => n + Number(b.innerText), 0)`); sum != 15 {
		t.Errorf("the tiles have %v votes; five students chose three each", sum)
	}
	if html := browser.Eval[string](wall, `document.documentElement.outerHTML`); strings.Contains(html, "key=") || strings.Contains(html, "Kiwi") {
		t.Error("the projector shows names or the teacher's link")
	}
	if wide := wall.Sideways(); len(wide) > 0 {
		t.Errorf("the projector's page runs out sideways: %v", wide)
	}
	if barriers := wall.Barriers(); len(barriers) > 0 {
		t.Errorf("the projector's page: %v", barriers)
	}
	wall.Follow(wall.Named("Show the names"))
	wall.UntilText(".wall-spread", "Kiwi")
	wall.Follow(wall.Named("Hide the names"))
	wall.UntilText(".wall-spread", "4")
}

// sendChoice is a script that sends a choice past the page's own script and gives the answer.
func sendChoice(round, seq int, tiles string) string {
	return fmt.Sprintf(`(() => { const x = new XMLHttpRequest(); x.open("POST", "/room/choice", false);
		x.send(JSON.stringify({round: %d, seq: %d, made: 1, choice: {tiles: %q}})); return x.responseText })()`, round, seq, tiles)
}
