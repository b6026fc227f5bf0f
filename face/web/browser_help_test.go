package web_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"secondpass/internal/browser"
)

// The help is found from each part of the workbook at what it says about it, finds words, and has every key that a page has.
func TestHelp(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := b.see(browser.Desk, "/exercises")
	for page, place := range map[string]string{"/exercises": "walk", "/exercises/1/pictures": "pictures", "/drills": "drills", "/practice": "drills", "/lessons": "lessons", "/experiments": "experiments", "/classes": "classes", "/reader-pages": "readers", "/cards": "cards"} {
		p.Go(b.address + page)
		href := browser.Eval[string](p, `[...document.querySelectorAll("nav.bar a")].find(a => a.innerText === "Help").getAttribute("href")`)
		if href != "/help#"+place {
			t.Errorf("from %s the help opens at %s, wanted %s", page, href, place)
		}
		if _, text := b.get("/help"); !strings.Contains(text, `id="`+place+`"`) {
			t.Errorf("the help has no place %s", place)
		}
	}
	p.Go(b.address + "/help")
	p.Type("#help-find", "clipboard")
	p.UntilText("#help-found", "1 place")
	if got := browser.Eval[string](p, `[...document.querySelectorAll("main section:not([hidden]) h2")].map(h => h.innerText).join()`); got != "Pictures and paper" {
		t.Errorf("clipboard is found under %s", got)
	}
	p.Type("#help-find", "zzz")
	p.UntilText("#help-found", "Nothing in the help has these words.")

	_, help := b.get("/help")
	_, keys, _ := strings.Cut(help, `id="keys"`)
	keys, _, _ = strings.Cut(keys, "</table>")
	files, err := filepath.Glob("*/templates/*.html")
	parts, err2 := filepath.Glob("*/templates/parts/*.html")
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	key := regexp.MustCompile(`data-key="([a-z])"|data-focus="([a-z])"`)
	for _, file := range append(files, parts...) {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range key.FindAllStringSubmatch(string(text), -1) {
			if letter := strings.ToUpper(m[1] + m[2]); !regexp.MustCompile(`<th scope="row">[A-Z, ]*\b` + letter + `\b[A-Z, ]*</th>`).MatchString(keys) {
				t.Errorf("%s has the key %s, which the help does not tell", file, letter)
			}
		}
	}
}
