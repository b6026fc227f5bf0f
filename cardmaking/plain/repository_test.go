package plain

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// lines finds what may be a line of a card in any text: the word for its exposure and what looks like groups and options
// after it. What cannot be read as a hand is none.
var lines = func() *regexp.Regexp {
	const (
		word   = `(?:[0-9]+[xyzbcd]|D+[xyzbcd]|[NEWSRG0F]+)`
		groups = word + `(?:[ \t]*` + word + `)*`
		choice = `\(` + groups + `(?:\|` + groups + `)*\)`
		hand   = `(?:` + word + `|` + choice + `)(?:[ \t]*(?:` + word + `|` + choice + `))*`
	)
	return regexp.MustCompile(`\b(exposed|concealed)[ \t]+(` + hand + `)((?:[ \t]*;[ \t]*(?:slide 2|slide|no jokers))*)`)
}()

// readLine is a card of one hand as found by lines; ok is false where it is none.
func readLine(found []string) (c *card.Card, ok bool) {
	line := "25 " + found[1] + " " + strings.TrimSpace(found[2]) + found[3]
	c, _, err := card.Read("line", []byte("card T\nsection S\n"+line+"\n"), tile.Usual)
	return c, err == nil
}

// No hand that stands in a file of the repository, be it in code, documents, examples or test data, is plain.
func TestRepositoryHasNoPlainHand(t *testing.T) {
	const root = "../.."
	hands := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && strings.HasPrefix(d.Name(), ".") && path != root:
			return fs.SkipDir
		case !d.Type().IsRegular():
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil || bytes.IndexByte(text, 0) >= 0 {
			return err
		}
		for n, line := range strings.Split(string(text), "\n") {
			for _, found := range lines.FindAllStringSubmatch(line, -1) {
				c, ok := readLine(found)
				if !ok {
					continue
				}
				hands++
				if why := Hand(c, 0); why != "" {
					t.Errorf("%s:%d: %s: %s", path, n+1, c.Hands[0].Pattern, why)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if hands < 100 {
		t.Errorf("only %d hands were found", hands)
	}
}

// The finder sees hands in all the places where they stand, and passes over what is none.
func TestLinesAreFound(t *testing.T) {
	for text, want := range map[string]string{
		"25 exposed  FFF 22x 444y 66z 8888x ; slide 2 ; note \"a\"":          "FFF 22x 444y 66z 8888x",
		`text := "card One\nsection A\n25 exposed FFF 22b 444c 66d 8888b\n"`: "FFF 22b 444c 66d 8888b",
		"   6  Runs 8    75 concealed   (NN SS|EE WW) 1111x 22y 33z FF":      "(NN SS|EE WW) 1111x 22y 33z FF",
		"30 exposed FFFFF 22x(NN|SS)4444x R":                                 "FFFFF 22x(NN|SS)4444x R",
		"25 exposed 1122x 00 NEWS DDDDx":                                     "1122x 00 NEWS DDDDx",
		"12 hands are concealed (21 %)":                                      "",
		"it was exposed 22x 33x":                                             "",
	} {
		got := ""
		for _, found := range lines.FindAllStringSubmatch(text, -1) {
			if c, ok := readLine(found); ok {
				got = c.Hands[0].Pattern
			}
		}
		if got != want {
			t.Errorf("%s: found %q, want %q", text, got, want)
		}
	}
}
