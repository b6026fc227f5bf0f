package documents

import (
	"html"
	"regexp"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

var (
	tag      = regexp.MustCompile(`<[^>]*>`)
	cardText = regexp.MustCompile(`(?s)<pre class="code"[^>]*>(card .*?)</pre>`)
	handLine = regexp.MustCompile(`(?m)^ *(\d+ +(?:exposed|concealed) +.*)$`)
	inCode   = regexp.MustCompile("`([^`\n]+)`")
	inSpan   = regexp.MustCompile(`<(?:code|span class="code")>([^<]+)</`)
	likeRack = regexp.MustCompile(`^[1-9bcdNEWSRG0FJ ]{13,}$`)
)

// TestExampleCardsAreRight reads every card that a page of the workbook shows, and every hand line that a page in docs
// shows outside the files and commands that other tests run.
func TestExampleCardsAreRight(t *testing.T) {
	found := 0
	for _, file := range tracked(t) {
		if !strings.HasSuffix(file, ".html") {
			continue
		}
		for _, m := range cardText.FindAllStringSubmatch(read(t, file), -1) {
			found++
			if _, warnings, err := card.Read(file, []byte(html.UnescapeString(tag.ReplaceAllString(m[1], ""))), tile.Usual); err != nil || len(warnings) > 0 {
				t.Errorf("the card shown in %s: %v %v", file, err, warnings)
			}
		}
	}
	if found == 0 {
		t.Error("no page shows how a card is written")
	}
	lines := 0
	for _, page := range pages(t) {
		text := read(t, page)
		for _, b := range blocks(text) { // files are read by the commands that use them
			if b.file != "" {
				text = strings.Replace(text, strings.Join(b.lines, "\n"), "", 1)
			}
		}
		for _, m := range handLine.FindAllStringSubmatch(text, -1) {
			lines++
			if _, _, err := card.Read(page, []byte("card Example\nsection Example\n"+m[1]+"\n"), tile.Usual); err != nil {
				t.Errorf("%s: %v", page, err)
			}
		}
	}
	if lines == 0 {
		t.Error("no hand lines found")
	}
}

// TestExampleRacksAreRight reads what looks like a player's rack in pages and templates.
func TestExampleRacksAreRight(t *testing.T) {
	found := 0
	for _, file := range tracked(t) {
		form := inCode
		if strings.HasSuffix(file, ".html") {
			form = inSpan
		} else if !strings.HasSuffix(file, ".md") {
			continue
		}
		for _, m := range form.FindAllStringSubmatch(read(t, file), -1) {
			if !likeRack.MatchString(m[1]) {
				continue
			}
			found++
			if _, err := tile.Parse(m[1], tile.Usual); err != nil {
				t.Errorf("%s: rack %q: %v", file, m[1], err)
			}
		}
	}
	if found == 0 {
		t.Error("no racks found")
	}
}

var (
	// figure is a number that only playing can have given: a share, an interval in brackets, or a ratio with one.
	figure = regexp.MustCompile(`\d\.\d+ ?% ?\(|\([+-]?\d+\.\d+ to [+-]?\d+\.\d+\)`)
	// maker is a command that makes figures.
	maker = regexp.MustCompile(`secondpass \w+|go test `)
)

// notPlayed is the remark of a section whose figures come from no games, such as an interval worked by hand.
const notPlayed = "<!-- no games: "

// TestFiguresSayTheirCommand fails where a section of a page quotes a figure from games without the command that makes it.
func TestFiguresSayTheirCommand(t *testing.T) {
	for _, page := range pages(t) {
		if page == "CHANGELOG.md" {
			continue
		}
		for _, section := range sections(read(t, page)) {
			if strings.Contains(section, notPlayed) {
				continue
			}
			if figure.MatchString(section) && !maker.MatchString(section) {
				head, _, _ := strings.Cut(section, "\n")
				t.Errorf("%s: the section %q quotes %s, but not the command that makes it", page, head, figure.FindString(section))
			}
		}
	}
}

// sections cuts a page at its headings of the first and second order.
func sections(text string) []string {
	return strings.Split("\n"+text, "\n## ")
}
