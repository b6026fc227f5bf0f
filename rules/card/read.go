package card

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"secondpass/rules/tile"
)

// maxPoints keeps payments, eight times the points, far from overflow.
const maxPoints = 1_000_000

// Read reads a card file and expands its hands. file names it in messages. All
// errors are reported together as [Problems]; warnings (the same hand twice) come
// beside a card that can be used. A card without hands is let through: it is one
// that somebody has just begun.
func Read(file string, data []byte, set tile.Set) (c *Card, warnings []Problem, err error) {
	r := &reader{
		file: file, budget: maxCombinations,
		card:     &Card{Set: set, Source: string(data)},
		sections: map[string]int{}, names: map[string]int{}, sets: map[[32]byte]int{},
	}
	if len(data) > MaxFile {
		return nil, nil, Problems{{file, 1, 1, fmt.Sprintf("a card file of %d bytes", len(data)), fmt.Sprintf("%d bytes at most", MaxFile)}}
	}
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	for line := range bytes.SplitSeq(data, []byte("\n")) {
		r.line++
		r.readLine(bytes.TrimSuffix(line, []byte("\r")))
		if len(r.problems) >= maxProblems {
			r.line = min(r.line+1, bytes.Count(data, []byte("\n"))+1) // the last line has none behind it
			r.problem(1, fmt.Sprintf("more errors than can be listed, so that nothing is read from here on, after %d of them", len(r.problems)), "a card file with fewer")
			break
		}
	}
	r.card.Combinations = maxCombinations - r.budget
	if r.cardLine == 0 && len(r.problems) < maxProblems {
		r.line = 1
		r.problem(1, "no line that names the card", `a line like "card Lantern"`)
	}
	r.checkDefaultNames()
	if len(r.problems) > 0 {
		slices.SortStableFunc(r.problems, func(a, b Problem) int {
			if a.Line != b.Line {
				return a.Line - b.Line
			}
			return a.Column - b.Column
		})
		return nil, r.warnings, r.problems
	}
	return r.card, r.warnings, nil
}

type reader struct {
	file                 string
	line                 int
	card                 *Card
	problems             Problems
	warnings             []Problem
	cardLine, seasonLine int
	sections             map[string]int   // name -> line
	names                map[string]int   // given hand name -> line
	sets                 map[[32]byte]int // digest of a hand's set of variants -> line
	placed               int              // hand lines of the current section so far
	budget               int              // combinations the file may still stand for
	spent                bool             // the budget ran out and that was said
}

func (r *reader) problem(column int, found, right string) {
	r.problems = append(r.problems, Problem{r.file, r.line, column, found, right})
}

func (r *reader) readLine(raw []byte) {
	text := make([]rune, 0, len(raw))
	for len(raw) > 0 {
		c, width := utf8.DecodeRune(raw)
		if c == utf8.RuneError && width == 1 {
			r.problem(len(text)+1, fmt.Sprintf("the byte %#02x, which is no UTF-8", raw[0]), "text saved as UTF-8")
			return
		}
		text, raw = append(text, c), raw[width:]
	}
	line, ok := r.stripComment(span{text, 1})
	if line = line.trim(); !ok || len(line.text) == 0 {
		return
	}
	word := line.words()[0]
	rest := span{line.text[len(word.text):], line.column + len(word.text)}.trim()
	switch word.String() {
	case "card":
		r.card.Name = r.name(word, rest, &r.cardLine)
	case "season":
		r.card.Season = r.name(word, rest, &r.seasonLine)
	case "section":
		r.section(word, rest)
	default:
		r.hand(word, rest)
	}
}

// stripComment cuts the line at the first # outside quotes.
func (r *reader) stripComment(line span) (span, bool) {
	quote := -1
	for i, c := range line.text {
		switch {
		case c == '"' && quote >= 0:
			quote = -1
		case c == '"':
			quote = i
		case c == '#' && quote < 0:
			return span{line.text[:i], line.column}, true
		}
	}
	if quote >= 0 {
		r.problem(line.column+quote, "a quote that is not closed", `a closing " in the same line`)
		return line, false
	}
	return line, true
}

// unquote takes the quotes off a text that stands in quotes as a whole.
func unquote(s string) string {
	if n := len(s); n >= 2 && s[0] == '"' && s[n-1] == '"' && !strings.Contains(s[1:n-1], `"`) {
		return s[1 : n-1]
	}
	return s
}

// name reads a statement that may stand once; seen is its line so far.
func (r *reader) name(word, rest span, seen *int) string {
	if *seen > 0 {
		r.problem(word.column, fmt.Sprintf("%q a second time (it stands in line %d)", word, *seen), "one such line in a file")
	}
	*seen = r.line
	name := unquote(rest.String())
	if strings.TrimSpace(name) == "" {
		r.problem(word.column, fmt.Sprintf("%q without a name", word), fmt.Sprintf("a name after %q", word))
	}
	return name
}

func (r *reader) section(word, rest span) {
	name := unquote(rest.String())
	if strings.TrimSpace(name) == "" {
		r.problem(word.column, "a section without a name", `a name after "section"`)
	} else if first, twice := r.sections[name]; twice {
		r.problem(rest.column, fmt.Sprintf("section %q a second time (it stands in line %d)", name, first), "another name")
	} else {
		r.sections[name] = r.line
	}
	r.card.Sections = append(r.card.Sections, name)
	r.placed = 0
}

// hand reads a hand line: points, exposed or concealed, groups, options.
func (r *reader) hand(first, rest span) {
	pieces := rest.cut(';')
	words := pieces[0].words()
	if !startsHand(first.String()) && !(len(words) > 0 && exposure(words[0].String())) {
		r.problem(first.column, fmt.Sprintf("%q", first), "card, season, section, or a hand line that starts with its points")
		return
	}
	before := len(r.problems)
	h := Hand{Section: len(r.card.Sections) - 1, Jokers: true, Line: r.line, Points: r.points(first)}
	if h.Section < 0 {
		r.problem(first.column, "a hand before any section", `a line like "section Runs" above it`)
	} else {
		r.placed++
		h.Number = r.placed
	}
	groups := r.exposure(&h, first, pieces[0])
	slide := r.options(&h, pieces[1:])
	parts, ok := parsePattern(groups, r.problem)
	if ok && len(parts) == 0 {
		r.problem(groups.column, "no groups", "14 tiles in groups, as in FFF 22x 444y 66z 8888x")
		ok = false
	}
	h.Pattern = strings.Join(strings.Fields(groups.String()), " ")
	h.First, h.End = len(r.card.Variants), len(r.card.Variants)
	r.card.Hands = append(r.card.Hands, h)
	if !ok || r.spent {
		return
	}
	if slide > 0 && !hasRanks(parts) {
		r.problem(groups.column, "a slide with no ranks", "ranks to slide, or no slide")
	}
	r.expand(groups.column, parts, slide, len(r.problems) == before)
}

// startsHand says whether a line's first word was meant as points.
func startsHand(w string) bool {
	return w[0] >= '0' && w[0] <= '9' || w[0] == '-' || w[0] == '+' || exposure(w)
}

func exposure(w string) bool { return w == "exposed" || w == "concealed" }

func (r *reader) points(word span) int {
	text := word.String()
	n, err := strconv.Atoi(text)
	if err != nil || n <= 0 || n > maxPoints || text[0] < '1' || text[0] > '9' {
		r.problem(word.column, fmt.Sprintf("points %q", text), fmt.Sprintf("a positive whole number in plain digits, %d at most", maxPoints))
		return 1
	}
	return n
}

// exposure reads the second word of a hand line and returns what follows it. A line
// that goes straight on to its groups is read on as if the word stood there.
func (r *reader) exposure(h *Hand, first, piece span) span {
	const right = "exposed or concealed after the points"
	words := piece.words()
	if exposure(first.String()) { // the points are missing and that was said
		return piece
	}
	if len(words) == 0 {
		r.problem(first.column+len(first.text), "nothing after the points", right)
		return piece
	}
	word := words[0]
	switch word.String() {
	case "concealed":
		h.Concealed = true
	case "exposed":
	default:
		r.problem(word.column, fmt.Sprintf("%q", word), right)
		if _, bad := parseWord(word.text); bad == nil || word.text[0] == '(' {
			return piece
		}
	}
	from := word.column - piece.column + len(word.text)
	return span{piece.text[from:], piece.column + from}.trim()
}

func hasRanks(parts []part) bool {
	for _, p := range parts {
		for _, runs := range p {
			if slices.ContainsFunc(runs, run.ranked) {
				return true
			}
		}
	}
	return false
}

// options reads what stands after each ; and returns the slide: 0, 1 or 2.
func (r *reader) options(h *Hand, pieces []span) (slide int) {
	seen := map[string]bool{}
	var plain []string
	for _, piece := range pieces {
		p := piece.trim()
		text := p.String()
		key := strings.Join(strings.Fields(text), " ")
		option, quoted := key, ""
		if i := strings.IndexByte(text, '"'); i >= 0 {
			option, quoted = strings.TrimSpace(text[:i]), text[i:]
		}
		switch {
		case text == "":
			r.problem(piece.column, "an empty option", `an option after each ;: slide, slide 2, no jokers, name "...", note "..."`)
			continue
		case option == "name" || option == "note":
			value := unquote(quoted)
			if quoted == "" || value == quoted {
				r.problem(p.column, fmt.Sprintf("option %q without one text in quotes", text), fmt.Sprintf(`%s "..."`, option))
			} else if option == "name" {
				r.handName(h, p, value, seen)
			} else {
				h.Note = value
			}
		case quoted == "" && key == "slide":
			slide = 1
		case quoted == "" && key == "slide 2":
			option, slide = "slide", 2
		case quoted == "" && key == "no jokers":
			h.Jokers = false
		default:
			r.problem(p.column, fmt.Sprintf("the unknown option %q", text), `slide, slide 2, no jokers, name "..." or note "..."`)
			continue
		}
		if seen[option] {
			r.problem(p.column, fmt.Sprintf("the option %q a second time", option), "each option once")
		}
		seen[option] = true
		if option != "name" && option != "note" {
			plain = append(plain, key)
		}
	}
	h.Options = strings.Join(plain, "; ")
	return slide
}

func (r *reader) handName(h *Hand, at span, name string, seen map[string]bool) {
	if strings.TrimSpace(name) == "" {
		r.problem(at.column, "an empty name", "a name between the quotes, or no name")
		return
	}
	if line, twice := r.names[name]; twice && !seen["name"] {
		r.problem(at.column, fmt.Sprintf("the hand name %q a second time (it stands in line %d)", name, line), "another name")
		return
	}
	r.names[name] = r.line
	h.Name = name
}

// checkDefaultNames gives the hands without a name that of section and place, and
// refuses one that somebody else was given.
func (r *reader) checkDefaultNames() {
	for i := range r.card.Hands {
		h := &r.card.Hands[i]
		if h.Name != "" || h.Section < 0 {
			continue
		}
		h.Name = fmt.Sprintf("%s %d", r.card.Sections[h.Section], h.Number)
		if line, twice := r.names[h.Name]; twice {
			r.line = h.Line
			r.problem(1, fmt.Sprintf("a hand called %q by its section and place, a name that line %d has", h.Name, line), "another name there")
			continue
		}
		r.names[h.Name] = h.Line
	}
}

// expand adds the variants of the last hand read; without keep they are only checked.
func (r *reader) expand(column int, parts []part, slide int, keep bool) {
	c := r.card
	h := &c.Hands[len(c.Hands)-1]
	x := expansion{hand: len(c.Hands) - 1, parts: parts, slide: slide, budget: &r.budget, seen: map[variantKey]bool{}}
	err := x.run()
	var size *errSize
	var many *errTooMany
	switch {
	case errors.As(err, &size):
		found := fmt.Sprintf("%d tiles", size.tiles)
		if size.tiles == 1 {
			found = "1 tile"
		}
		if slices.ContainsFunc(parts, func(p part) bool { return len(p) > 1 }) {
			found += " with one choice of the alternatives"
		}
		r.problem(column, found, fmt.Sprintf("%d tiles", HandTiles))
		return
	case errors.As(err, &many):
		r.problem(column, many.found, many.right)
		r.spent = r.budget < 0
		return
	}
	for i := range x.variants {
		if why := makeable(c, &x.variants[i]); why != "" {
			r.problem(column, fmt.Sprintf("a variant that no set of tiles can make, %s: %s", groupsText(x.variants[i].Groups), why),
				"groups that the tiles of the set suffice for")
			return
		}
	}
	if len(c.Variants)+len(x.variants) > maxVariants {
		r.problem(column, fmt.Sprintf("a card of more than %d variants", maxVariants), "fewer alternatives in its lines")
		return
	}
	if !keep {
		return
	}
	c.Variants = append(c.Variants, x.variants...)
	h.End = len(c.Variants)
	r.warnIfTwice(column, x.variants)
}

func (r *reader) warnIfTwice(column int, variants []Variant) {
	keys := make([]string, len(variants))
	for i, v := range variants {
		keys[i] = string(v.Small[:]) + string(v.Large[:])
	}
	slices.Sort(keys)
	digest := sha256.Sum256([]byte(strings.Join(keys, "")))
	if line, twice := r.sets[digest]; twice {
		r.warnings = append(r.warnings, Problem{r.file, r.line, column,
			fmt.Sprintf("the same hand as in line %d", line), "each hand once"})
		return
	}
	r.sets[digest] = r.line
}

// groupsText is groups as a person reads them, with blanks between.
func groupsText(groups []Group) string {
	words := make([]string, len(groups))
	for i, g := range groups {
		words[i] = g.String()
	}
	return strings.Join(words, " ")
}
