package table

import (
	"errors"
	"fmt"
	"strings"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// RecordError says what is wrong with the text of a record and where; Line counts from 1.
type RecordError struct {
	Line int
	Err  error
}

func (e *RecordError) Error() string { return fmt.Sprintf("line %d: %v", e.Line, e.Err) }

// Unwrap is the error without its place.
func (e *RecordError) Unwrap() error { return e.Err }

// ReadRecord reads the text of a record and replays it, checking every line. game gives the game that the
// head speaks of, or an error when there is none; it is refused if it is another. Errors are *[RecordError].
func ReadRecord(text string, game func(Head) (*Game, error)) (*Record, error) {
	r := reader{head: map[string]*headLine{}}
	lines := strings.Split(strings.TrimPrefix(text, "\uFEFF"), "\n")
	for i, line := range lines {
		r.line = i + 1
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		var err error
		switch {
		case r.record != nil:
			err = r.play(line)
		case line == "play":
			err = r.start(game)
		default:
			err = r.headLine(line)
		}
		if err != nil {
			return nil, r.at(err)
		}
	}
	if r.record == nil {
		return nil, r.at(errors.New(`the line "play", which ends the head, is missing`))
	}
	if err := r.endClaims(); err != nil {
		return nil, r.at(err)
	}
	return r.record, nil
}

// reader is a record that is being read, and the game as far as it has come.
type reader struct {
	line   int
	head   map[string]*headLine
	record *Record
	s      State
	// answers are those to the discard that waits, claimed whether any line has claimed it.
	answers [charleston.Seats]Action
	claimed bool
	// follows is what the last lines led to and may be told next.
	follows []string
}

// headLine is a statement of the head; the wall's lines are joined.
type headLine struct {
	text string
	line int
}

// at places an error, unless that has been done.
func (r *reader) at(err error) error {
	if placed := (*RecordError)(nil); errors.As(err, &placed) {
		return placed
	}
	return &RecordError{r.line, err}
}

// play reads a line of play.
func (r *reader) play(line string) error {
	line = strings.Join(strings.Fields(line), " ")
	who, rest, _ := strings.Cut(line, " ")
	verb, what, _ := strings.Cut(rest, " ")
	switch {
	case verb == "claims":
		return r.claim(who, what)
	case verb == "discards", verb == "exchanges", verb == "declares":
		a, err := parseTurn(who, verb, what)
		if err != nil {
			return err
		}
		if err := r.settle(); err != nil {
			return err
		}
		return r.apply(a)
	case verb == "draws", verb == "is", verb == "wins", who == "nobody", who == "payment":
		if err := r.settle(); err != nil {
			return err
		}
		return r.follow(line)
	}
	return fmt.Errorf("%q is no line of play: a seat discards, claims, exchanges or declares", line)
}

// follow checks a line that tells what has come about of itself; lines before it may be missing.
func (r *reader) follow(line string) error {
	for i, told := range r.follows {
		if strings.Join(strings.Fields(told), " ") == line { // a name may have several blanks in a row
			r.follows = r.follows[i+1:]
			return nil
		}
	}
	if len(r.follows) == 0 {
		return fmt.Errorf("%q is not what comes about here", line)
	}
	return fmt.Errorf("%q is not what comes about here, but %q is", line, r.follows[0])
}

// apply carries out an action and notes what follows.
func (r *reader) apply(a Action) error {
	before := r.s
	if err := r.s.Apply(a); err != nil {
		return err
	}
	r.record.Actions = append(r.record.Actions, a)
	r.follows = happened(&before, &r.s)
	r.claimed = false
	for seat := range r.answers {
		r.answers[seat] = Claim{}.By(charleston.Seat(seat), 0)
	}
	return nil
}

// claim reads a claim and keeps it until all claims are there.
func (r *reader) claim(who, what string) error {
	seat, err := charleston.ParseSeat(who)
	if err != nil {
		return err
	}
	name, group, _ := strings.Cut(what, ":")
	discard, err := parseTile(name)
	if err != nil {
		return err
	}
	a := Claim{Mahjong: true}.By(seat, discard)
	if group = strings.TrimSpace(group); group != "mahjong" {
		if a, err = parseExposure(seat, discard, group); err != nil {
			return err
		}
	}
	if err := r.s.check(a); err != nil {
		return err
	}
	if r.answers[seat].Kind != Decline {
		return fmt.Errorf("%s has claimed already", seat.Name())
	}
	r.answers[seat], r.claimed, r.follows = a, true, nil
	return nil
}

// parseExposure reads the tiles of a claimed group.
func parseExposure(seat charleston.Seat, discard tile.Kind, group string) (Action, error) {
	tiles, err := tile.ParseList(group)
	if err != nil {
		return Action{}, err
	}
	if len(tiles) > MaxGroup {
		return Action{}, fmt.Errorf("a group of %d is never claimed, only one of %d to %d", len(tiles), MinGroup, MaxGroup)
	}
	a := Action{Seat: seat, Kind: Expose, Tile: discard, Size: uint8(len(tiles))}
	for _, k := range tiles {
		switch k {
		case tile.Joker:
			a.Jokers++
		case discard:
		default:
			return Action{}, fmt.Errorf("a group claimed with %s holds %s and jokers, not %s", discard, discard, k)
		}
	}
	return a, nil
}

// settle takes the discard that waits, if any does, as answered by all: claimed as the lines say, and declined by the rest.
func (r *reader) settle() error {
	if r.s.phase != Claiming {
		return nil
	}
	answers := r.answers
	for i := charleston.Seat(1); r.s.phase == Claiming && i < charleston.Seats; i++ {
		if seat := (r.s.turn + i) % charleston.Seats; r.s.Waits(seat) {
			// Each was checked when its line was read; one answer does not depend on another.
			if err := r.apply(answers[seat]); err != nil {
				return err
			}
		}
	}
	return nil
}

// endClaims settles a discard at the end of the text, where that can only be meant: after a claim.
func (r *reader) endClaims() error {
	if !r.claimed {
		return nil
	}
	return r.settle()
}

func parseTurn(who, verb, what string) (Action, error) {
	seat, err := charleston.ParseSeat(who)
	if err != nil {
		return Action{}, err
	}
	a := Action{Seat: seat}
	switch verb {
	case "discards":
		a.Kind = Discard
		a.Tile, err = parseTile(what)
	case "declares":
		a.Kind = Declare
		if what != "mahjong" {
			err = fmt.Errorf("%q is nothing to declare; mahjong is", what)
		}
	case "exchanges":
		a.Kind = Exchange
		natural, from, ok := strings.Cut(what, " for a joker of ")
		if !ok {
			return a, fmt.Errorf(`%q is no exchange; write it as in "N exchanges 5b for a joker of E"`, what)
		}
		if a.Tile, err = parseTile(natural); err == nil {
			a.From, err = charleston.ParseSeat(from)
		}
	}
	return a, err
}

func parseTile(text string) (tile.Kind, error) {
	tiles, err := tile.ParseList(text)
	if err != nil {
		return 0, err
	}
	if len(tiles) != 1 {
		return 0, fmt.Errorf("%q is not one tile", text)
	}
	return tiles[0], nil
}
