//go:build unix

package club

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"secondpass/club"
	"secondpass/internal/browser"
)

var pictures = flag.String("pictures", "", "folder in which a picture of every page of the club is put")

// looks sees a page as people do: wide and narrow, light and dark. What programs can judge of it must be well.
func (h *house) looks(p *browser.Page, name string) {
	h.t.Helper()
	for _, look := range []struct {
		name string
		look browser.Look
	}{{"-1280", browser.Desk}, {"-360", browser.Phone}, {"-1280-dark", browser.Look{Dark: true, Still: true}}, {"-360-dark", browser.Look{Width: 360, Height: 740, Dark: true, Still: true}}} {
		if *pictures == "" && (look.name == "-360" || look.name == "-1280-dark") {
			continue // two of the four show what the others would
		}
		p.As(look.look)
		if *pictures != "" {
			if err := os.MkdirAll(*pictures, 0o755); err != nil {
				h.t.Fatal(err)
			}
			p.Picture(filepath.Join(*pictures, name+look.name+".png"))
		}
		for what, found := range map[string][]string{"runs out sideways": p.Sideways(), "barriers": p.Barriers(), "too small to tap": p.Cramped(24),
			"small text": p.Small(16), "one word a line": p.Stacked(), "called alike": p.Namesakes()} {
			if len(found) > 0 {
				h.t.Errorf("%s%s: %s: %v", name, look.name, what, found)
			}
		}
	}
	p.As(browser.Desk)
}

// looksToo is looks of a page that is much like another, where pictures are asked for.
func (h *house) looksToo(p *browser.Page, name string) {
	if *pictures != "" {
		h.looks(p, name)
	}
}

// The owner comes by the link of the command line, makes a passkey, signs out and in with it; invites a teacher, whose link works once; makes
// a second passkey on another device by a recovery code, and removes the first; ends the teacher's account while she works. All in Chromium,
// with a device that the browser plays, and with two processes that take turns (W3C Web Authentication, level 2, section 11: WebDriver's virtual authenticators).
func TestPasskeysInTheBrowser(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	beside := h.beside()
	for _, f := range []*Front{h.front, beside.front} {
		f.Storage, f.Work = 256<<20, 8*time.Hour
	}
	h.takingTurns(beside)
	token, err := h.club.OwnerToken()
	if err != nil {
		t.Fatal(err)
	}
	invitation := h.address + "/invitation/" + token
	p := browser.OpenTrusting(t, browser.Desk, invitation)
	h.looks(p, "invitation")
	p.Type("#name", "Olga")
	p.Press("Tab", "Enter") // by keys alone
	p.UntilText("h1", "You are in")
	if n := p.Count(".codes li"); n != club.CodesEach {
		t.Errorf("%d recovery codes", n)
	}
	h.looks(p, "codes")
	code := p.Text(".codes li")
	p.Follow("[data-on]")
	p.UntilText("h1", "A new exercise")
	p.Go(invitation)
	p.UntilText("main", "used already")

	p.Go(h.address + "/account")
	p.Follow(p.Named("Sign out"))
	p.UntilText("h1", "Sign in")
	h.looks(p, "sign-in")
	p.Go(h.address + "/lessons")
	p.UntilText("h1", "Sign in") // and back to where one was going
	p.Follow(p.Named("Sign in with a passkey"))
	p.UntilText("h1", "Lessons")

	p.Go(h.address + "/exercises")
	p.Follow(p.Named("Deal a rack"))
	p.Go(h.address + "/shelf")
	browser.Eval[bool](p, `(document.querySelector("[name=what]").selectedIndex = 1) === 1`)
	p.Type("[name=remark]", "For the first evening")
	p.Press("Enter")
	p.UntilText(".said", "on the shelf")
	h.looks(p, "shelf")
	p.Go(h.address + "/people")
	p.Type("[name=name]", "Ana")
	p.Follow(p.Named("Make an invitation"))
	h.looks(p, "people")
	link := p.Text(".address")
	ana := browser.OpenTrusting(t, browser.Phone, link)
	ana.Click(ana.Named("Make a passkey and come in"))
	ana.UntilText("h1", "You are in")
	ana.Follow("[data-on]")
	ana.UntilText("h1", "A new exercise")
	ana.Go(h.address + "/people/audit")
	ana.UntilText("main", "That is for the owner of the club")

	if *pictures != "" { // a second one waits for the first
		for _, ready := range []string{"keep-flowers", "clean-plan"} {
			p.Go(h.address + "/experiments")
			p.Follow("button[value=" + ready + "]")
		}
		p.UntilText("main", "next in the queue")
		h.looks(p, "queue")
		p.Follow("button[value=stop]")
	}

	// The device is lost.
	p.Go(h.address + "/account")
	p.Follow(p.Named("Sign out"))
	p.NewDevice()
	p.Click("summary")
	p.Type("[name=code]", strings.ToLower(code))
	p.Follow(p.Named("Sign in with the code"))
	p.UntilText("main", "7 codes left")
	p.Click(p.Named("Make a passkey on this device"))
	p.UntilText(".said", "The passkey is made")
	h.looks(p, "account")
	p.Follow(`[aria-label^="Remove the passkey"]`)
	p.UntilText(".said", "The passkey is removed")
	p.Follow(`[aria-label^="Remove the passkey"]`)
	p.UntilText("main", "The last passkey cannot be removed")
	p.Go(h.address + "/account")
	p.Follow(p.Named("Sign out"))
	p.Click("summary")
	p.Type("[name=code]", code)
	p.Follow(p.Named("Sign in with the code"))
	p.UntilText("main", "No recovery code is so, or it was used already")
	p.Go(h.address + "/sign-in")
	p.Follow(p.Named("Sign in with a passkey"))

	p.Go(h.address + "/people")
	p.Follow(`[aria-label="End the account of Ana"]`)
	p.Click("details.more summary")
	h.looksToo(p, "ending")
	p.Follow(p.Named("End the account"))
	p.UntilText(".said", "ended")
	h.looksToo(p, "orphans")
	ana.Go(h.address + "/exercises")
	ana.UntilText("h1", "Sign in")
	ana.Click(ana.Named("Sign in with a passkey"))
	ana.UntilText("[data-problem]", "does not belong to anybody")
	p.Go(h.address + "/people/audit")
	h.looks(p, "audit")
	if text := p.Text("table"); !strings.Contains(text, "Olga ended the account of Ana") || strings.Contains(text, token) {
		t.Error(text)
	}
	for _, page := range []*browser.Page{p, ana} {
		for _, said := range page.Complaints() {
			if strings.Contains(said, "Content Security Policy") || strings.Contains(said, "Uncaught") {
				t.Errorf("the browser complains: %s", said)
			}
		}
	}
}
