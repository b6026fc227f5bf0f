package table

import (
	"fmt"
	"strconv"
	"strings"

	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Record is a game as it was played: racks and wall at the start, and what the seats did. Its text
// ([Record.Text], [ReadRecord]) is for people to read and for the program to replay.
//
// The text has a head of one statement a line,
//
//	record   1
//	card     Lantern
//	tiles    8 flowers, 8 jokers
//	East     134b 89c 2d ...
//	...
//	wall     3b F 9c ...
//	play
//
// with the wall in the order in which it is drawn, on any number of lines, and with a line, as in "points   off", for each
// house rule of the play that is not as usual. Then comes a line for each thing that happens:
//
//	E discards 4c
//	S claims 4c: 444c J
//	W claims 4c: mahjong
//	N exchanges 5b for a joker of E
//	W declares mahjong
//
// All claims to a discard stand below it, also those that another goes before; who is not named has
// declined. Between them stands what follows of itself: "S draws 3c", "S is dead: ...", "W wins ...",
// "payment ...", "nobody wins: ...". A reader checks these lines and can do without them. A record that ends
// with a discard is one whose answers are not in yet. Blank lines and lines that begin with # are skipped.
type Record struct {
	Game  *Game
	Racks [charleston.Seats]tile.Rack
	Wall  []tile.Kind
	// Actions are all that was applied, declined discards among them, in the order of time. Those of one discard
	// may stand in any order; ReadRecord gives them in the order of play.
	Actions []Action
}

// Head is what the head of a record says of the game.
type Head struct {
	Card string
	house.Tiles
	house.Play
}

// Head is the head of the record.
func (r *Record) Head() Head {
	rules := r.Game.House()
	return Head{r.Game.card.Name, rules.Tiles, rules.Play}
}

// Replay is the state after all actions. The error for one that is refused tells which.
func (r *Record) Replay() (State, error) {
	s, err := r.Game.Start(r.Racks, r.Wall)
	if err != nil {
		return State{}, err
	}
	for i, a := range r.Actions {
		if err := s.Apply(a); err != nil {
			return State{}, fmt.Errorf("action %d, %q: %w", i+1, a, err)
		}
	}
	return s, nil
}

// wallLine is the number of tiles of the wall written on one line.
const wallLine = 20

// Text is the record as text. It fails when an action is refused. Answers to a last discard that
// others still owe theirs to are left out.
func (r *Record) Text() (string, error) {
	s, err := r.Game.Start(r.Racks, r.Wall)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	r.writeHead(&b)
	var claims [charleston.Seats]Action
	for i, a := range r.Actions {
		before := s
		if err := s.Apply(a); err != nil {
			return "", fmt.Errorf("action %d, %q: %w", i+1, a, err)
		}
		if before.phase == Discarding {
			fmt.Fprintln(&b, a)
		} else if claims[a.Seat] = a; s.phase == Claiming {
			continue
		}
		for _, line := range append(claimLines(&before, &claims), happened(&before, &s)...) {
			fmt.Fprintln(&b, line)
		}
		claims = [charleston.Seats]Action{}
	}
	return b.String(), nil
}

func (r *Record) writeHead(b *strings.Builder) {
	head := r.Head()
	name := head.Card
	if name != strings.TrimSpace(name) || strings.HasPrefix(name, `"`) {
		name = strconv.Quote(name) // blanks at its ends would be lost
	}
	fmt.Fprintf(b, "record   1\ncard     %s\ntiles    %s\n", name, head.Tiles.Text())
	for _, rule := range house.Of(house.OfPlay) {
		if on := rule.On(house.House{Play: head.Play}); on != rule.On(house.Usual) {
			fmt.Fprintf(b, "%-8s %s\n", rule.Key, onOff[on])
		}
	}
	for seat, rack := range r.Racks {
		fmt.Fprintf(b, "%-8s %s\n", charleston.Seat(seat).Name(), rack)
	}
	for i, k := range r.Wall {
		switch {
		case i%wallLine > 0:
		case i == 0:
			b.WriteString("wall    ")
		default:
			b.WriteString("\nwall    ")
		}
		fmt.Fprintf(b, " %s", k)
	}
	b.WriteString("\nplay\n")
}

// claimLines are the claims to the last discard in the order of play; the zero Action is no claim.
func claimLines(s *State, claims *[charleston.Seats]Action) []string {
	var lines []string
	for i := range charleston.Seat(charleston.Seats) {
		if a := claims[(s.turn+i)%charleston.Seats]; a.Kind == Expose || a.Kind == Mahjong {
			lines = append(lines, a.String())
		}
	}
	return lines
}

// happened tells what followed of itself when an action led from one state to another.
func happened(before, after *State) []string {
	var lines []string
	for seat := range charleston.Seat(charleston.Seats) {
		if after.dead[seat] && !before.dead[seat] {
			lines = append(lines, seat.String()+" is dead: its open groups fit no hand")
		}
	}
	if after.drawn > before.drawn {
		lines = append(lines, fmt.Sprintf("%s draws %s", after.turn, tile.Kind(after.wall[after.drawn-1])))
	}
	switch after.ending {
	case SelfDrawn, OnDiscard:
		lines = append(lines, after.winLines()...)
	case WallGame:
		lines = append(lines, "nobody wins: the wall is empty")
	}
	return lines
}

// winLines tell how a game was won, and who pays if anybody does.
func (s *State) winLines() []string {
	r := s.Result()
	how := "self-drawn"
	if r.Ending == OnDiscard {
		how = fmt.Sprintf("on %s of %s", s.waiting(), r.Discarder)
	}
	variant := &s.game.card.Variants[r.Variant]
	line := fmt.Sprintf("%s wins %s with %s:", r.Winner, how, s.game.card.Hands[variant.Hand].Name)
	for _, group := range variant.Groups {
		line += " " + group.String()
	}
	if !s.game.rules.Points {
		return []string{line}
	}
	payment := "payment"
	for seat, net := range r.Net {
		payment += fmt.Sprintf(" %s %+d", charleston.Seat(seat), net)
	}
	return []string{line, payment}
}
