package cards

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"os"
	"slices"
	"strconv"

	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
)

// historyLine is a text in the history of a card.
type historyLine struct{ Path, Kept string }

// historyTime is how the time of a text is told, by this machine's clock.
const historyTime = "2 January 2006, 15:04:05"

// historyLines is the history for the editor; where it cannot be read, the editor goes on without.
func (s *Area) historyLines(name string) (lines []historyLine) {
	list, err := s.cards.History(name)
	if err != nil {
		s.Sentence(err, "history of a card not read", "card", name)
	}
	for _, t := range list {
		lines = append(lines, historyLine{cardPath(name) + "/history/" + strconv.Itoa(t.Number), t.Kept.Local().Format(historyTime)})
	}
	return lines
}

// earlierPage is a text of the history beside what there is now.
type earlierPage struct {
	Name, Path, Kept, State string
	Seen                    string // the revision that is looked at
	Lines                   []comparedLine
	Missing                 []string // lines that only the text of now has
	Same                    bool
}

// comparedLine is a line of an earlier text; Only says that the text of now does not have it.
type comparedLine struct {
	Text string
	Only bool
}

// historyOf finds a text of the history by the address.
func (s *Area) historyOf(r *http.Request) (at store.CardText, text []byte, err error) {
	name := r.PathValue("name")
	none := page.NotFound("The card %s has no text %s in its history.", name, r.PathValue("number"))
	number, err := strconv.Atoi(r.PathValue("number"))
	if err != nil || store.CheckCardName(name) != nil {
		return at, nil, none
	}
	list, err := s.cards.History(name)
	if err != nil {
		return at, nil, err
	}
	for _, t := range list {
		if t.Number == number {
			text, err = s.cards.HistoryText(name, number)
			if errors.Is(err, os.ErrNotExist) { // let go meanwhile
				err = none
			}
			return t, text, err
		}
	}
	return at, nil, none
}

func (s *Area) showEarlier(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	at, text, err := s.historyOf(r)
	if err != nil {
		return err
	}
	seen := s.cards.Revision(name)
	now, _, err := s.cardText(name)
	if draft, ok := s.cards.Draft(name); ok {
		now = draft
	}
	if err != nil {
		return err
	}
	p := earlierPage{Name: name, Path: cardPath(name), Kept: at.Kept.Local().Format(historyTime), State: stateOf(name, text), Seen: seen, Same: bytes.Equal(text, now)}
	old, young := linesOf(text), linesOf(now)
	for _, line := range old {
		p.Lines = append(p.Lines, comparedLine{line, !slices.Contains(young, line)})
	}
	for _, line := range young {
		if !slices.Contains(old, line) {
			p.Missing = append(p.Missing, line)
		}
	}
	s.Render(w, http.StatusOK, "earlier", page.Page{Title: name + " as of " + p.Kept, Section: "Cards", Data: p})
	return nil
}

func linesOf(text []byte) (lines []string) {
	for line := range bytes.Lines(text) {
		lines = append(lines, string(bytes.TrimRight(line, "\r\n")))
	}
	return lines
}

// stateOf is what a text holds, or how many errors it has.
func stateOf(name string, text []byte) string {
	c, _, err := card.Read(name, text, tile.Usual)
	if err != nil {
		return wording.Plural(len(problemLines(err)), "error")
	}
	return countText(c)
}

// goBack puts a text of the history in place of what there is now, which stays in the history. Its answer can take that back.
func (s *Area) goBack(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	name := r.PathValue("name")
	_, text, err := s.historyOf(r)
	if err != nil {
		return err
	}
	before, err := s.cards.History(name)
	if err != nil {
		return err
	}
	kept, draft := textOrDraft(name, text)
	if _, err := s.cards.KeepApart(name, r.Form.Get("seen"), kept, draft); err != nil {
		return err
	}
	return page.SeeOther(w, r, fmt.Sprintf("%s/edit?from=%d", cardPath(name), before[0].Number))
}

// wentBack is what the editor says after goBack, and where that is taken back.
func (s *Area) wentBack(r *http.Request, name, seen string) (said, undo string) {
	if from, err := strconv.Atoi(r.FormValue("from")); err == nil {
		return "This is the earlier text again. The one before it is in the history.", fmt.Sprintf("%s/history/%d?seen=%s", cardPath(name), from, seen)
	}
	return "", ""
}

// textOrDraft is how a text is kept: one with errors as a draft, so that a card in use stays good while it is edited.
func textOrDraft(name string, text []byte) (kept, draft []byte) {
	if _, _, wrong := card.Read(name, text, tile.Usual); wrong != nil {
		return nil, text
	}
	return text, nil
}
