package experiment

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"secondpass/deal"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// What an experiment file may cost: bytes, and errors that are listed.
const (
	maxFile     = 64 << 10
	maxProblems = 100
)

// Read reads an experiment file and checks it. file names it in messages; cardFor gives the card for the set of tiles that the
// file asks for. All errors of the file are reported together as card.Problems, each with line and column; an error of
// cardFor comes as it is, unless it is that the card cannot be made of the tiles that the file asks for.
func Read(file string, data []byte, cardFor func(tile.Set) (*card.Card, error)) (*Experiment, *card.Card, error) {
	if len(data) > maxFile {
		return nil, nil, card.Problems{{File: file, Line: 1, Column: 1, Found: fmt.Sprintf("an experiment file of %d bytes", len(data)), Right: fmt.Sprintf("%d bytes at most", maxFile)}}
	}
	r := &reader{file: file, experiment: New(), seen: map[string]place{}}
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	for raw := range bytes.SplitSeq(data, []byte("\n")) {
		r.line++
		r.readLine(bytes.TrimSuffix(raw, []byte("\r")))
		if len(r.problems) >= maxProblems {
			r.problemAt(place{r.line, 1}, "more errors than can be listed, so that nothing is read from here on", "an experiment file with fewer")
			return nil, nil, r.problems
		}
	}
	for _, word := range []string{"experiment", "measure", "claim"} {
		if _, there := r.seen[word]; !there {
			r.problemAt(place{1, 1}, fmt.Sprintf("no line %q", word), "a line like: "+statements[word].example)
		}
	}
	r.effect()
	set, err := r.experiment.House.Set()
	if err != nil {
		set = tile.Usual // the check says it
	}
	c, err := cardFor(set)
	var ofCard card.Problems
	if at, asked := r.seen["tiles"]; errors.As(err, &ofCard) && asked && !r.bad["tiles"] { // with other tiles it can be made
		r.fail("tiles", at, "a set in which the card cannot be made ("+ofCard[0].Error()+")", "tiles that suffice for all hands of the card")
	} else if err != nil {
		return nil, nil, err
	} else {
		r.check(c)
	}
	if len(r.problems) > 0 {
		slices.SortStableFunc(r.problems, func(a, b card.Problem) int {
			if a.Line != b.Line {
				return a.Line - b.Line
			}
			return a.Column - b.Column
		})
		return nil, c, r.problems
	}
	return r.experiment, c, nil
}

type place struct{ line, column int }

type reader struct {
	file       string
	line       int
	experiment *Experiment
	seen       map[string]place // statements, and "way 0" and so on
	bad        map[string]bool  // those with a problem already
	claim      claimText        // until the measure is known
	problems   card.Problems
}

func (r *reader) problemAt(p place, found, right string) {
	r.problems = append(r.problems, card.Problem{File: r.file, Line: p.line, Column: p.column, Found: found, Right: right})
}

// statement is how a line that begins with a word is read.
type statement struct {
	example string
	read    func(r *reader, rest string) (right string)
}

// statements are the words that a line can begin with; those that can stand several times are read by reader.way and reader.also.
var statements map[string]statement

func init() { // they refer to the reader, which refers to them
	statements = map[string]statement{
		"experiment": {`experiment "Keep flowers"`, func(r *reader, rest string) string { return r.quoted(rest, &r.experiment.Name) }},
		"asks":       {`asks "Does it pay?"`, func(r *reader, rest string) string { return r.quoted(rest, &r.experiment.Asks) }},
		"cell":       {`cell "card Lantern"`, func(r *reader, rest string) string { return r.quoted(rest, &r.experiment.Cell) }},
		"together":   {"together 3", (*reader).together},
		"tiles":      {"tiles 8 flowers, 8 jokers", (*reader).tiles},
		"house":      {"house " + strings.Join(offIn(house.House{}), " ; "), (*reader).house},
		"population": {"population jokers 0..1 ; has FF", (*reader).population},
		"seat":       {"seat rotate", func(r *reader, rest string) string { r.experiment.Seat = rest; return "" }},
		"others":     {"others strong", (*reader).others},
		"measure":    {"measure win", func(r *reader, rest string) string { return readMeasure(rest, &r.experiment.Measure) }},
		"split":      {"split clean best", func(r *reader, rest string) string { return readBand(rest, &r.experiment.Split) }},
		"also":       {"also points ; more by 0.5", nil},
		"compare":    {"compare all", (*reader).compare},
		"among":      {"among away 4..5", func(r *reader, rest string) string { return readBand(rest, &r.experiment.Among) }},
		"claim":      {"claim more by 0.5 %", (*reader).readClaim},
		"deals":      {"deals 100000", (*reader).deals},
		"until":      {"until verdict", (*reader).until},
		"pairing":    {"pairing wall", (*reader).pairing},
		"way":        {`way "flowers kept" strong+keep-flowers`, nil},
	}
}

// earlierWord is what files have in place of "experiment" that were written when experiments were called studies.
const earlierWord = "study"

func words() string {
	return "experiment, asks, cell, together, over, tiles, house, population, seat, others, measure, also, compare, split, among, claim, deals, until, pairing or way"
}

func (r *reader) readLine(raw []byte) {
	if !utf8.Valid(raw) {
		r.problemAt(place{r.line, 1}, "bytes that are no UTF-8", "text saved as UTF-8")
		return
	}
	text, open := stripComment(string(raw))
	if open > 0 {
		r.problemAt(place{r.line, open}, "a quote that is not closed", `a closing " in the same line`)
		return
	}
	trimmed := strings.TrimSpace(text)
	if trimmed == "" {
		return
	}
	word := strings.Fields(trimmed)[0]
	rest := strings.TrimSpace(strings.TrimPrefix(trimmed, word))
	at := place{r.line, column(text, word, 0)}
	key := word
	if key == earlierWord {
		key = "experiment"
	}
	if key == "over" {
		r.problemAt(at, "a series of experiments", "one experiment, without lines that begin with over; secondpass experiment run plays a series")
		return
	}
	s, known := statements[key]
	if !known {
		r.problemAt(at, fmt.Sprintf("%q", word), words())
		return
	}
	value := place{r.line, at.column + utf8.RuneCountInString(word)}
	if rest != "" {
		value.column = column(text, rest, strings.Index(text, word)+len(word))
	}
	switch key {
	case "way":
		r.way(value, rest)
		return
	case "also":
		r.also(value, rest)
		return
	}
	if first, twice := r.seen[key]; twice {
		r.problemAt(at, fmt.Sprintf("%q a second time (it stands in line %d)", word, first.line), "one such line in a file")
		return
	}
	r.seen[key] = value
	if rest == "" {
		r.fail(key, value, fmt.Sprintf("%q with nothing after it", word), "a line like: "+s.example)
		return
	}
	if right := s.read(r, rest); right != "" {
		r.fail(key, value, fmt.Sprintf("%q", rest), right)
	}
}

// fail notes a problem of a statement, which the check then leaves alone.
func (r *reader) fail(key string, at place, found, right string) {
	if r.bad == nil {
		r.bad = map[string]bool{}
	}
	r.bad[key] = true
	r.problemAt(at, found, right)
}

// column is that of a part of a line, in characters from 1, searched from a byte on.
func column(line, part string, from int) int {
	return utf8.RuneCountInString(line[:from+strings.Index(line[from:], part)]) + 1
}

// stripComment cuts a line at the first # outside quotes; open is the column of a quote that is not closed, or 0.
func stripComment(line string) (text string, open int) {
	quoted := -1
	for i, c := range line {
		switch {
		case c == '"' && quoted >= 0:
			quoted = -1
		case c == '"':
			quoted = i
		case c == '#' && quoted < 0:
			return line[:i], 0
		}
	}
	if quoted >= 0 {
		return line, utf8.RuneCountInString(line[:quoted]) + 1
	}
	return line, 0
}

func (r *reader) quoted(rest string, into *string) string {
	*into = rest
	if n := len(rest); n >= 2 && rest[0] == '"' && rest[n-1] == '"' {
		*into = strings.TrimSpace(rest[1 : n-1])
	}
	return ""
}

const tilesRight = "as in tiles 8 flowers, 8 jokers"

func (r *reader) tiles(rest string) string {
	tiles, err := house.ParseTiles(rest)
	if err != nil {
		return tilesRight
	}
	r.experiment.House.Tiles = tiles
	return ""
}

func (r *reader) others(rest string) string {
	var parts []string
	for part := range strings.SplitSeq(rest, ";") {
		parts = append(parts, strings.TrimSpace(part))
	}
	r.experiment.Others = strings.Join(parts, " ; ")
	return ""
}

// house reads the house rules of all ways.
func (r *reader) house(rest string) string {
	if rest == "usual" {
		return ""
	}
	for part := range strings.SplitSeq(rest, ";") {
		if before := r.experiment.House; !turnOff(&r.experiment.House, strings.Join(strings.Fields(part), " ")) || before == r.experiment.House {
			return "house rules that are off, each once, with ; between them: " + strings.Join(offIn(house.House{}), ", ")
		}
	}
	return ""
}

var rangeForm = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^(-?\d{1,6})(?:\.\.(-?\d{1,6}))?$`) })

func readRange(text string) (deal.Range, bool) {
	m := rangeForm().FindStringSubmatch(text)
	if m == nil {
		return deal.Range{}, false
	}
	low, _ := strconv.Atoi(m[1]) // six digits at most
	high := low
	if m[2] != "" {
		high, _ = strconv.Atoi(m[2])
	}
	return deal.Range{Low: low, High: high}, low <= high
}

func readMeasure(rest string, into *Measure) string {
	m, err := ParseMeasure(rest)
	if err != nil {
		return err.Error()
	}
	*into = m
	return ""
}

func readBand(rest string, into **Band) string {
	b := Band{Range: deal.Range{Low: 1, High: 1}}
	text := strings.Join(strings.Fields(rest), " ")
	at := strings.LastIndex(text, " ")
	ranged := false
	if bounds, ok := readRange(text[at+1:]); ok && at > 0 {
		text, b.Range, ranged = text[:at], bounds, true
	}
	m, err := ParseMeasure(text)
	if ranged && m.Of == WinWith { // the number is that of a hand
		b.Range, ranged = deal.Range{Low: 1, High: 1}, false
		m, err = ParseMeasure(strings.Join(strings.Fields(rest), " "))
	}
	switch {
	case err != nil:
		return err.Error() + "; with a range after it, as in away 3..5, unless it is yes or no"
	case ranged == m.Share():
		return "a range after a number, as in away 3..5, and none after what is yes or no, as in clean best"
	}
	b.Measure = m
	*into = &b
	return ""
}

func (r *reader) deals(rest string) string {
	n, err := strconv.Atoi(rest)
	if err != nil || n < 1 || n > maxDeals {
		return fmt.Sprintf("a whole number from 1 to %d", maxDeals)
	}
	r.experiment.Deals = n
	return ""
}

func (r *reader) together(rest string) string {
	n, err := strconv.Atoi(rest)
	if err != nil || n < 1 || n > maxCells {
		return fmt.Sprintf("how many experiments of a series hold together, a whole number from 1 to %d", maxCells)
	}
	r.experiment.Together = n
	return ""
}

func (r *reader) until(rest string) string {
	if rest != "verdict" {
		return "until verdict, or no such line"
	}
	r.experiment.UntilVerdict = true
	return ""
}

func (r *reader) pairing(rest string) string {
	i := slices.Index(pairingWords, rest)
	if i < 0 {
		return strings.Join(pairingWords, ", ")
	}
	r.experiment.Pairing = Pairing(i)
	return ""
}

// way reads the rest of a line that begins with way: a name, a player, then switches after semicolons.
func (r *reader) way(at place, rest string) {
	w := Way{House: house.Usual}
	key := numbered("way", len(r.experiment.Ways))
	r.seen[key] = at
	defer func() { r.experiment.Ways = append(r.experiment.Ways, w) }()
	parts := cutOutsideQuotes(rest)
	name, description, ok := strings.Cut(strings.TrimPrefix(parts[0], `"`), `"`)
	if !strings.HasPrefix(parts[0], `"`) || !ok {
		r.fail(key, at, fmt.Sprintf("%q", parts[0]), "a name in quotes and a player: "+statements["way"].example)
		return
	}
	w.Name, w.Player = strings.TrimSpace(name), strings.TrimSpace(description)
	said := map[string]bool{}
	for _, part := range parts[1:] {
		word, _, _ := strings.Cut(part, " ")
		if right := w.option(part); right != "" || said[word] {
			r.fail(key, at, fmt.Sprintf("%q", part), optionsRight())
		}
		said[word] = true
	}
}

func cutOutsideQuotes(text string) []string {
	quoted := false
	var parts []string
	start := 0
	for i, c := range text {
		switch {
		case c == '"':
			quoted = !quoted
		case c == ';' && !quoted:
			parts = append(parts, strings.TrimSpace(text[start:i]))
			start = i + 1
		}
	}
	return append(parts, strings.TrimSpace(text[start:]))
}

func (w *Way) option(part string) (right string) {
	part = strings.Join(strings.Fields(part), " ")
	if turnOff(&w.House, part) {
		return ""
	}
	if fill, ok := strings.CutPrefix(part, "fill "); ok {
		if i := slices.Index(fillWords, fill); i > 0 {
			w.Fill = Fill(i)
			return ""
		}
	}
	if text, ok := strings.CutPrefix(part, "measure "); ok {
		w.Measure = &Measure{}
		return readMeasure(text, w.Measure)
	}
	return "no such option"
}

func optionsRight() string {
	return "each once after a semicolon: " + strings.Join(offIn(house.House{}), ", ") + ", fill gap, fill short, measure and what to measure"
}

// numbered is what the reader calls a statement that can stand several times.
func numbered(word string, i int) string { return fmt.Sprintf("%s %d", word, i) }

// check gives the faults of the experiment their places.
func (r *reader) check(c *card.Card) {
	var faults Faults
	if !errors.As(r.experiment.Check(c), &faults) {
		return
	}
	for _, f := range faults {
		key := f.Statement
		if f.Number >= 0 {
			key = numbered(f.Statement, f.Number)
		}
		at, there := r.seen[key]
		missing := !there && (key == "experiment" || key == "measure" || key == "claim")
		if r.bad[key] || missing || key == "claim" && r.bad["measure"] {
			continue // it was said
		}
		if !there { // what is missing is missed where the experiment has its name
			if at, there = r.seen["experiment"]; !there {
				at = place{1, 1}
			}
		}
		r.problemAt(at, f.Found, f.Right)
	}
}
