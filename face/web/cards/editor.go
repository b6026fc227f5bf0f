package cards

import (
	"bytes"
	"cmp"
	"crypto/rand"
	"errors"
	"html/template"
	"net/http"
	"strconv"
	"strings"

	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
)

// editorPage is one's own card as text, with what is wrong with it.
type editorPage struct {
	Name, Path, Text string
	Window           string // by which the pages of one window are known
	Check            checked
	History          []historyLine // what was kept before, the last first
}

// padKey is a button of the pad by which hands are written: a symbol of a line.
type padKey struct {
	Code, Name string
	// Suited says that the symbol takes a suit.
	Suited  bool
	Drawing template.HTML
}

// Pad is the buttons for every symbol of a hand.
func (editorPage) Pad() []padKey {
	var keys []padKey
	for _, symbol := range "123456789DF0NEWSRG" {
		k := padKey{Code: string(symbol), Name: string(symbol), Suited: symbol >= '1' && symbol <= '9' || symbol == 'D'}
		if kind, honour := tile.HonourKind(symbol); honour {
			k.Name = kind.Name()
		} else if symbol == 'D' {
			k.Name = "dragon of the suit"
		}
		k.Drawing = view.Face{ID: sheet.LineID(symbol), Name: k.Name}.SVG("")
		keys = append(keys, k)
	}
	return keys
}

// checked is card text as read: its errors by line, or what it holds, and the hand under the cursor.
type checked struct {
	Problems []view.LineProblem
	Warnings []view.LineProblem
	Count    string
	Saved    string // what became of the text, or
	Failed   string // why it is not kept
	Seen     string // the revision that is looked at
	Over     string // the one that may be overwritten if that is wanted
	Line     int
	Hand     *shownHand
	More     []template.HTML
	Rest     int
	OwnName  string
}

func (s *Area) editCard(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	text, own, err := s.cardText(name)
	if err != nil {
		return err
	}
	if !own {
		return page.Refused("The practice card cannot be changed. Make a copy of it under a name of your own.")
	}
	seen := s.cards.Revision(name) // before what it is of: what comes between is then taken for unseen
	if draft, ok := s.cards.Draft(name); ok {
		text = draft
	} else if text, _, err = s.cardText(name); err != nil {
		return err
	}
	p := editorPage{Name: name, Path: cardPath(name), Text: string(text), Window: rand.Text(), Check: check(name, text, 1), History: s.historyLines(name)}
	p.Check.Seen = seen
	p.Check.Saved = s.savedText(name, &p.Check)
	out := page.Page{Title: "Edit " + name, Section: "Cards", Wide: true, Data: p}
	out.Said, out.Undo = s.wentBack(r, name, seen)
	s.Render(w, http.StatusOK, "editor", out)
	return nil
}

// windowsKept is of how many cards the window is known in which they were kept last.
const windowsKept = 100

// window is in which window of the editor a card was kept last, and the revision that it left.
type window struct{ id, revision string }

// saveCard keeps the text as it is typed and answers what is wrong with it, or why it is not kept: then it stays on the
// screen, to be saved again. A browser without script gets the page.
func (s *Area) saveCard(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	name := r.PathValue("name")
	if _, own, err := s.cardText(name); err != nil || !own {
		return errors.Join(err, page.Refused("The practice card cannot be changed."))
	}
	text := bytes.ReplaceAll([]byte(r.PostForm.Get("text")), []byte("\r\n"), []byte("\n"))
	line, _ := strconv.Atoi(r.PostForm.Get("line"))
	p := editorPage{Name: name, Path: cardPath(name), Text: string(text), Window: r.PostForm.Get("window"), Check: check(name, text, max(line, 1))}
	status := http.StatusOK
	revision, err := s.keepCard(name, text, cmp.Or(r.PostForm.Get("over"), r.PostForm.Get("seen")), p.Window)
	if err == nil {
		p.Check.Seen, p.Check.Saved = revision, s.savedText(name, &p.Check)
	} else {
		status = s.Status(err)
		p.Check.Seen, p.Check.Failed = r.PostForm.Get("seen"), "Not saved: "+strings.TrimPrefix(strings.TrimSuffix(s.Sentence(err, "card not saved", "path", r.URL.Path), "."), "not saved: ")+"."
		if errors.Is(err, store.ErrCardChanged) {
			p.Check.Over = s.cards.Revision(name)
		}
	}
	if r.Header.Get("HX-Request") == "" {
		if err == nil {
			return page.SeeOther(w, r, cardPath(name)+"/edit")
		}
		p.History = s.historyLines(name)
		s.Render(w, status, "editor", page.Page{Title: "Edit " + name, Section: "Cards", Wide: true, Data: p})
		return nil
	}
	html, err := s.Text("editor", "check", p.Check)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, err = w.Write(html)
	return err
}

// keepCard keeps text without errors as the card, and text with errors as its draft, so that a card in use stays good
// while it is edited. What a window of the editor has not seen it does not overwrite; what it has itself sent just before, it
// knows, also when the answer to that is still on its way.
func (s *Area) keepCard(name string, text []byte, seen, id string) (revision string, err error) {
	if last, ok := s.windows.Get(name); ok && id != "" && last.id == id && last.revision == s.cards.Revision(name) {
		seen = last.revision
	}
	if err := bounded(text); err != nil {
		return "", err
	}
	text, draft := textOrDraft(name, text)
	if revision, err = s.cards.Keep(name, seen, text, draft); err == nil {
		s.windows.Add(name, window{id, revision})
	}
	return revision, err
}

// bounded refuses a text that no card file may have, also as a draft.
func bounded(text []byte) error {
	if len(text) > card.MaxFile {
		return page.Errorf(http.StatusRequestEntityTooLarge, "A card of %d bytes; %d are the most.", len(text), card.MaxFile)
	}
	return nil
}

// savedText says what became of the text.
func (s *Area) savedText(name string, c *checked) string {
	_, draft := s.cards.Draft(name)
	switch {
	case len(c.Problems) == 0:
		return "Saved."
	case draft:
		return "Kept as a draft: new exercises use the last text without errors."
	}
	return "Kept. It can be played once the errors are mended."
}

// variantsShown is how many variants of the hand under the cursor are drawn.
const variantsShown = 8

func check(name string, text []byte, line int) checked {
	out := checked{Line: line}
	c, warnings, err := card.Read(name, text, tile.Usual)
	var problems card.Problems
	switch {
	case errors.As(err, &problems):
		out.Problems = view.ProblemLines(problems)
	case err != nil:
		out.Problems = []view.LineProblem{{Line: 1, Column: 1, Text: wording.Capital(err.Error()) + "."}}
	default:
		out.Count = countText(c)
		out.Warnings = view.ProblemLines(warnings)
		out.OwnName = c.Name
	}
	out.example(name, text)
	return out
}

// example draws the hand of the line under the cursor. The line is read on its own, so that it can be looked at while
// others have errors.
func (out *checked) example(name string, text []byte) {
	lines := strings.Split(string(text), "\n")
	if out.Line > len(lines) {
		return
	}
	alone := "card x\nsection x\n" + lines[out.Line-1] + "\n"
	c, _, err := card.Read(name, []byte(alone), tile.Usual)
	if err != nil || len(c.Hands) != 1 {
		return
	}
	hand := handOf(c, 0)
	variants := c.VariantsOf(0)
	for i := range variants[:min(len(variants), variantsShown)] {
		out.More = append(out.More, view.GroupsStrip("Variant "+strconv.Itoa(i+1), variants[i].Groups))
	}
	out.Hand, out.Rest = &hand, len(variants)-len(out.More)
}
