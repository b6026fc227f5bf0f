package cards

import (
	"embed"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"os"
	"strings"

	lru "github.com/hashicorp/golang-lru/v2"

	"secondpass/desk"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/work/queue"
)

//go:embed templates
var templates embed.FS

// Area is the pages of cards: to look at, to write, and what a whole card is like.
type Area struct {
	*page.Pages
	exercises address.Loader
	cards     store.Cards
	desk      *desk.Desk
	reports   store.Reports
	long      *queue.Jobs

	// windows is in which window of the editor a card was kept last.
	windows *lru.Cache[string, window]
	// found is what was read of reports before, as long as they do not change.
	found *lru.Cache[string, keptReport]
}

// pages are the templates of the area.
var pages = page.Read(page.Folder(templates, "templates"), view.Parts())

// New makes the pages. long counts reports, one after the other.
func New(site *page.Site, exercises address.Loader, d *desk.Desk, long *queue.Jobs) (*Area, error) {
	p, err := site.Pages(pages)
	found, tooFew := lru.New[string, keptReport](reportsKept)
	windows, none := lru.New[string, window](windowsKept)
	if tooFew != nil || none != nil {
		panic("caches without room") // the numbers are above 0
	}
	return &Area{Pages: p, exercises: exercises, cards: d.Files.Cards, desk: d, reports: d.Files.Reports, long: long, windows: windows, found: found}, err
}

// Route is the cards: to look at, and one's own to write.
func (s *Area) Route(mux page.Routes) {
	mux.HandleFunc("GET /cards", s.Handle(s.listCards))
	mux.HandleFunc("POST /cards", s.Handle(s.newCard))
	mux.HandleFunc("GET /cards/{name}", s.Handle(s.showCard))
	mux.HandleFunc("GET /cards/{name}/edit", s.Handle(s.editCard))
	mux.HandleFunc("POST /cards/{name}/text", s.Handle(s.saveCard))
	mux.HandleFunc("GET /cards/{name}/history/{number}", s.Handle(s.showEarlier))
	mux.HandleFunc("POST /cards/{name}/history/{number}", s.Handle(s.goBack))
	mux.HandleFunc("GET /cards/{name}/file", s.Handle(s.exportCard))
	mux.HandleFunc("POST /cards/{name}/delete", s.Handle(s.deleteCard))
	mux.HandleFunc("POST /cards/{name}/restore", s.Handle(s.restoreCard))
	mux.HandleFunc("GET /exercises/{id}/card", s.Handle(s.exerciseCard))
	s.routeReports(mux)
}

// cardLine is a card in the list.
type cardLine struct {
	Name, Path, State string
	Own               bool
}

type cardsPage struct {
	Cards              []cardLine
	Part               page.Part
	Error, Name, Paste string
}

func cardPath(name string) string { return "/cards/" + url.PathEscape(name) }

func (s *Area) listCards(w http.ResponseWriter, r *http.Request) error {
	return s.showCards(w, r, http.StatusOK, cardsPage{})
}

func (s *Area) showCards(w http.ResponseWriter, r *http.Request, code int, p cardsPage) error {
	names, err := s.cards.List()
	if err != nil {
		return err
	}
	practice := card.Practice()
	p.Cards = []cardLine{{Name: practice.Name, Path: cardPath(practice.Name), State: countText(practice) + "; the practice card, our own"}}
	names, p.Part = page.PartOf(r, names)
	for _, name := range names {
		p.Cards = append(p.Cards, cardLine{Name: name, Path: cardPath(name), State: s.cardState(name), Own: true})
	}
	out := page.Page{Title: "Cards", Section: "Cards", Data: p}
	if name := r.FormValue("deleted"); name != "" {
		out.Said, out.Undo = fmt.Sprintf("The card %s is deleted. Exercises that used it keep it.", name), cardPath(name)+"/restore"
	}
	s.Render(w, code, "cards", out)
	return nil
}

func countText(c *card.Card) string {
	return wording.Plural(len(c.Hands), "hand") + ", " + wording.Plural(len(c.Variants), "variant")
}

// cardState is what a card of the folder holds, or that it has errors.
func (s *Area) cardState(name string) string {
	text, err := s.cards.Text(name)
	if err != nil {
		return "cannot be read"
	}
	c, _, err := card.Read(name, text, tile.Usual)
	state := "has errors"
	if err == nil {
		state = countText(c)
	}
	if _, draft := s.cards.Draft(name); draft {
		state += "; a draft with errors waits"
	}
	return state
}

// newCard begins a card: from the explained template, from pasted text, or as a copy of another.
func (s *Area) newCard(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	name, pasted := strings.TrimSpace(r.PostForm.Get("name")), r.PostForm.Get("text")
	err := store.CheckCardName(name)
	if err == nil {
		if _, taken := s.cards.Text(name); taken == nil {
			err = fmt.Errorf("card name %q: another card has it", name)
		}
	}
	if r.PostForm.Get("empty") != "" {
		pasted = "card     " + name + "\nsection  First\n"
	}
	var text []byte
	if err == nil {
		text, err = s.beginning(name, pasted, r.PostForm.Get("copy"))
	}
	if err == nil {
		err = bounded(text)
	}
	if err != nil {
		return s.showCards(w, r, http.StatusUnprocessableEntity, cardsPage{Error: wording.Capital(err.Error()) + ".", Name: name, Paste: pasted})
	}
	if _, err := s.cards.Keep(name, "", text, nil); err != nil { // whatever it is, or the card would not be there
		return s.showCards(w, r, s.Status(err), cardsPage{Error: wording.Capital(s.Sentence(err, "card not saved", "path", r.URL.Path)) + ".", Name: name, Paste: pasted})
	}
	return page.SeeOther(w, r, cardPath(name)+"/edit")
}

// beginning is the first text of a new card, with its name in it.
func (s *Area) beginning(name, pasted, copied string) ([]byte, error) {
	switch {
	case strings.TrimSpace(pasted) != "":
		return []byte(pasted), nil
	case copied != "":
		text, _, err := s.cardText(copied)
		return named(text, name), err
	}
	return named([]byte(card.Template), name), nil
}

// named puts a name into the first card statement of a text.
func named(text []byte, name string) []byte {
	lines := strings.SplitAfter(string(text), "\n")
	for i, line := range lines {
		if rest, ok := strings.CutPrefix(line, "card"); ok && strings.TrimLeft(rest, " \t") != rest {
			lines[i] = "card     " + name + "\n"
			break
		}
	}
	return []byte(strings.Join(lines, ""))
}

// cardText is the text of the practice card or of one of the user's own.
func (s *Area) cardText(name string) (text []byte, own bool, err error) {
	if strings.EqualFold(name, card.Practice().Name) {
		return []byte(card.PracticeText), false, nil
	}
	text, err = s.cards.Text(name)
	if errors.Is(err, os.ErrNotExist) {
		err = page.NotFound("There is no card %s; it may have been deleted.", name)
	}
	return text, true, err
}

// shownHand is a hand of a card. Choice is its pattern where it has alternatives, of which only the first is drawn.
type shownHand struct {
	Name, Pattern, Terms, Note, Variants string
	Choice                               string
	Points                               int
	How                                  string
	Open                                 template.HTML // as the line has it, suits not settled
	Line                                 int
}

type shownSection struct {
	Name  string
	Hands []shownHand
}

// cardPage is a card to look at.
type cardPage struct {
	Name, Path, Title, Count string
	Own                      bool
	From                     string // the exercise it is kept with
	FromPath                 string
	Sections                 []shownSection
	Problems                 []string
}

func (s *Area) showCard(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	text, own, err := s.cardText(name)
	if err != nil {
		return err
	}
	p := cardPage{Name: name, Path: cardPath(name), Title: name, Own: own}
	c, _, err := card.Read(name, text, tile.Usual)
	if err != nil {
		p.Problems = problemLines(err)
	} else {
		p.show(c)
	}
	s.Render(w, http.StatusOK, "card", page.Page{Title: "Card " + p.Title, Section: "Cards", Data: p})
	return nil
}

// exerciseCard is the card that an exercise was made with, as it was then.
func (s *Area) exerciseCard(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.exercises, r)
	if err != nil {
		return err
	}
	p := cardPage{From: x.Exercise.Name, FromPath: view.SheetPath(x.ID)}
	p.show(x.Card)
	s.Render(w, http.StatusOK, "card", page.Page{Title: "Card " + p.Title, Section: "Exercises", Data: p})
	return nil
}

func (p *cardPage) show(c *card.Card) {
	p.Title, p.Count = c.Name, countText(c)
	if c.Season != "" {
		p.Title += " " + c.Season
	}
	for i, name := range c.Sections {
		sec := shownSection{Name: name}
		for _, h := range c.SectionOf(i) {
			sec.Hands = append(sec.Hands, handOf(c, h))
		}
		p.Sections = append(p.Sections, sec)
	}
}

func handOf(c *card.Card, i int) shownHand {
	h := &c.Hands[i]
	variants := c.VariantsOf(i)
	out := shownHand{Name: h.Name, Pattern: h.Pattern, Terms: wording.HandTerms(h), Note: h.Note, Points: h.Points,
		How: wording.Exposed(h.Concealed), Variants: wording.Plural(len(variants), "variant"), Line: h.Line,
		Open: view.LineStrip(h)}
	if strings.Contains(h.Pattern, "|") {
		out.Choice = h.Pattern
	}
	return out
}

// problemLines is every error of a card in a line.
func problemLines(err error) []string {
	var problems card.Problems
	if !errors.As(err, &problems) {
		return []string{wording.Capital(err.Error())}
	}
	var lines []string
	for _, p := range problems {
		lines = append(lines, p.Error())
	}
	return lines
}

func (s *Area) exportCard(w http.ResponseWriter, r *http.Request) error {
	text, _, err := s.cardText(r.PathValue("name"))
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Content-Disposition", page.Attachment(r.PathValue("name"), store.CardExt))
	_, err = w.Write(text)
	return err
}

func (s *Area) deleteCard(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	if _, own, err := s.cardText(name); err != nil || !own {
		return errors.Join(err, page.Refused("The practice card stays."))
	}
	if err := s.cards.Delete(name); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/cards?deleted="+url.QueryEscape(name))
}

func (s *Area) restoreCard(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	if err := s.cards.Restore(name); err != nil {
		if store.CheckCardName(name) != nil || errors.Is(err, os.ErrNotExist) {
			return page.NotFound("There is no deleted card %s.", name)
		}
		return err
	}
	return page.SeeOther(w, r, cardPath(name))
}
